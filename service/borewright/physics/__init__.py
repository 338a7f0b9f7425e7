"""Formulas on arrays, in SI; NumPy and SciPy only."""
