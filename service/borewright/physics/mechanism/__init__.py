"""Crank mechanism: piston motion, volumes, milling, valves, balance."""
