"""Tables of materials, fuels and common practice; every row carries its source."""
