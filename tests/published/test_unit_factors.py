"""Unit factors against NIST Special Publication 811 (2008), Appendix B.8.

The figures are from memory of that table (rounded there to seven digits, exact ones in full); tests/quantities/test_units.py holds the same
units against scipy.constants. Beside them three conversions worked by hand from the exact definitions.
"""

import pytest

from borewright.quantities import from_si, read_quantity, to_si

# kind, unit, SI value of one unit, half a unit of the last published digit (0: exact)
NIST_SP_811 = [
    ("length", "in", 2.54e-2, 0.0),
    ("length", "ft", 3.048e-1, 0.0),
    ("length", "thou", 2.54e-5, 0.0),  # listed as mil
    ("area", "in2", 6.4516e-4, 0.0),
    ("volume", "in3", 1.638706e-5, 5e-12),
    ("mass", "lb", 4.5359237e-1, 0.0),
    ("mass", "oz", 2.834952e-2, 5e-9),
    ("force", "lbf", 4.448222, 5e-7),
    ("torque", "lbf·ft", 1.355818, 5e-7),
    ("pressure", "psi", 6.894757e3, 5e-4),
    ("pressure", "atm", 1.01325e5, 0.0),
    ("pressure", "bar", 1.0e5, 0.0),
    ("pressure", "mbar", 1.0e2, 0.0),
    ("pressure", "inHg", 3.386389e3, 5e-4),
    ("pressure", "mmHg", 1.333224e2, 5e-5),
    ("power", "hp", 7.456999e2, 5e-5),  # 550 ft·lbf/s
    ("power", "PS", 7.354988e2, 5e-5),  # listed as horsepower (metric)
    ("speed", "ft/min", 5.08e-3, 0.0),
    ("acceleration", "ft/s2", 3.048e-1, 0.0),
    ("rotation", "rpm", 1.047198e-1, 5e-8),
    ("angle", "deg", 1.745329e-2, 5e-9),
    ("mass_flow", "lb/min", 7.559873e-3, 5e-10),
    ("mass_flow", "lb/h", 1.259979e-4, 5e-11),
    ("density", "lb/ft3", 1.601846e1, 5e-6),
    ("specific_energy", "BTU/lb", 2.326e3, 0.0),  # international table
    ("temperature_difference", "degF", 5 / 9, 0.0),
]

# Full figures that follow from the exact definitions (inch, pound, standard gravity), as scipy.constants also has them.
IN_FULL = [
    ("force", "lbf", 4.4482216152605),
    ("power", "PS", 735.49875),
    ("power", "hp", 745.69987158227022),
    ("pressure", "psi", 6894.757293168361),
    ("volume", "in3", 16.387064e-6),
]


@pytest.mark.parametrize(("kind", "unit", "published", "half_digit"), NIST_SP_811)
def test_published_factor(kind: str, unit: str, published: float, half_digit: float) -> None:
    """Each factor rounds to the published figure; exact ones agree to the last digit of a double."""
    assert to_si(1.0, unit, kind) - to_si(0.0, unit, kind) == pytest.approx(published, rel=4e-16, abs=half_digit)


@pytest.mark.parametrize(("kind", "unit", "full"), IN_FULL)
def test_factor_in_full(kind: str, unit: str, full: float) -> None:
    """The derived factors to all digits."""
    assert to_si(1.0, unit, kind) == pytest.approx(full, rel=1e-15)


def test_conversions() -> None:
    """350 in3 is 5735.5 cm3, 300 hp is 223.71 kW, 77 °F is 298.15 K: from the definitions, to the digits shown."""
    assert from_si(read_quantity("350 in3", "displacement").value, "cm3", "displacement") == pytest.approx(5735.5, abs=0.05)
    assert from_si(read_quantity("300 hp", "power").value, "kW", "power") == pytest.approx(223.71, abs=0.005)
    assert read_quantity("77 degF", "temperature").value == pytest.approx(298.15, rel=1e-15)
