"""Borewright: the arithmetic of engine building as a stateless REST service."""
