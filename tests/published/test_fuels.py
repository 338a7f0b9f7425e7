"""The table of fuels against the chemistry: atoms for the air, enthalpies of formation for the heat; nothing of the table is in either.

Enthalpies: NASA TM-4513. Heats of vaporisation at 298.15 K, from memory of the NIST WebBook: 308, 919 and 1173 kJ/kg.
"""

import re

import pytest

from borewright.physics.gas.fuel import ETHANOL, ISOOCTANE, METHANOL, Fuel, lower_heating_value
from borewright.practice.tables import table

FUELS = [("gasoline", ISOOCTANE, 308e3), ("ethanol", ETHANOL, 919e3), ("methanol", METHANOL, 1173e3)]
WEIGHTS = {"C": 12.011, "H": 1.008, "O": 15.999}


@pytest.mark.parametrize(("name", "fuel", "vaporisation"), FUELS)
def test_lower_heating_value_of_the_liquid(name: str, fuel: Fuel, vaporisation: float) -> None:
    """What the vapour gives less what it takes to evaporate it."""
    given = table("fuels").row(name).si("lower_heating_value")
    assert lower_heating_value(fuel) - vaporisation == pytest.approx(given, rel=5e-3)


@pytest.mark.parametrize("name", ["gasoline", "ethanol", "methanol"])
def test_air_that_burns_it(name: str) -> None:
    """Heywood's eq. 3.6 with his air, 4.773 mol of 28.96 g/mol to a mole of oxygen."""
    row = table("fuels").row(name)
    atoms = {element: int(count or 1) for element, count in re.findall(r"([CHO])(\d*)", row.word("formula"))}
    oxygen = atoms["C"] + atoms["H"] / 4.0 - atoms.get("O", 0) / 2.0
    weight = sum(WEIGHTS[element] * count for element, count in atoms.items())
    assert oxygen * 4.773 * 28.96 / weight == pytest.approx(row.si("air_fuel_ratio"), rel=3e-3)
