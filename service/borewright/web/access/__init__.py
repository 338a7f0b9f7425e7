"""Who may ask, and how often."""
