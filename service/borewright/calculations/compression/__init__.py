"""Displacement, compression, and what reaches a target compression."""
