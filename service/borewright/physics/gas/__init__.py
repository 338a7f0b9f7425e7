"""Gases: properties, equilibrium, fuels, octane, ideal cycles, air."""
