"""Formulas on arrays, in SI; NumPy only."""
