"""Each fit rule once: sizes to a clearance, its limit, its reason, its name; and how every check is judged."""
