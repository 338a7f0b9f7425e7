"""How parts fit: clearances, interference, wear, gauging, heat."""
