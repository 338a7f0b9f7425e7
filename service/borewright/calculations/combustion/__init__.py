"""What burns: detonation, power, and the air it is measured in."""
