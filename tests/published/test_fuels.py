"""The table of fuels against the chemistry: atoms for the air, enthalpies of formation for the heat; nothing of the table is in either.

Enthalpies: NASA TM-4513. Heats of vaporization at 298.15 K: 325 to 375 kJ/kg of gasolines (OSTI 1242469); ethanol 919 and methanol 1173
kJ/kg from memory of the NIST WebBook.
"""

import re

import pytest

from borewright.physics.gas.fuel import ETHANOL, GASOLINE, METHANOL, Fuel, lower_heating_value, stoichiometric_air_fuel_ratio
from borewright.physics.gas.fuel import FUELS as BURNED
from borewright.practice.tables import table

FUELS = [("gasoline", GASOLINE, 350e3), ("ethanol", ETHANOL, 919e3), ("methanol", METHANOL, 1173e3)]
WEIGHTS = {"C": 12.011, "H": 1.008, "O": 15.999}


@pytest.mark.parametrize(("name", "fuel", "vaporization"), FUELS)
def test_lower_heating_value_of_the_liquid(name: str, fuel: Fuel, vaporization: float) -> None:
    """What the vapor gives less what it takes to evaporate it."""
    given = table("fuels").row(name).si("lower_heating_value")
    assert lower_heating_value(fuel) - vaporization == pytest.approx(given, rel=5e-3)


@pytest.mark.parametrize("name", ["gasoline", "ethanol", "methanol"])
def test_air_that_burns_it(name: str) -> None:
    """Heywood's eq. 3.6 with his air, 4.773 mol of 28.96 g/mol to a mole of oxygen."""
    row = table("fuels").row(name)
    atoms = {element: float(count or 1) for element, count in re.findall(r"([CHO])([\d.]*)", row.word("formula"))}
    oxygen = atoms["C"] + atoms["H"] / 4.0 - atoms.get("O", 0.0) / 2.0
    weight = sum(WEIGHTS[element] * count for element, count in atoms.items())
    assert oxygen * 4.773 * 28.96 / weight == pytest.approx(row.si("air_fuel_ratio"), rel=4.5e-3)


@pytest.mark.parametrize("name", ["gasoline", "ethanol", "methanol"])
def test_the_table_is_what_the_cycle_burns(name: str) -> None:
    row = table("fuels").row(name)
    assert stoichiometric_air_fuel_ratio(BURNED[name]) == pytest.approx(row.si("air_fuel_ratio"), rel=5e-3)


def test_gasoline_is_near_handbook_gasoline() -> None:
    """J. B. Heywood, 1988, Appendix D (from memory): gasoline 14.6 of air and 44.0 MJ/kg; pump fuels differ by a few percent."""
    row = table("fuels").row("gasoline")
    assert row.si("air_fuel_ratio") == pytest.approx(14.6, rel=0.01)
    assert row.si("lower_heating_value") == pytest.approx(44.0e6, rel=0.025)
