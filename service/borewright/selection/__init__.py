"""Exact search over candidate parts."""
