"""Bores and what runs in them: clean-up, ring gaps, skirt clearance."""
