"""The unit table against scipy.constants, and what every kind must have."""

import math
import string

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants as c

from borewright.quantities import KINDS, SYSTEMS, from_si, to_si

PSI = c.pound_force / c.inch**2
BTU_IT = c.Btu_IT
MECHANICAL_HORSEPOWER = 550 * c.foot * c.pound_force  # its definition; scipy.constants.hp is the same number
MILLIMETER_OF_MERCURY = 13595.1 * c.g * c.milli  # the conventional one: density 13.5951 g/cm3 (scipy.constants.mmHg is the torr)
METRIC_HORSEPOWER = 75 * c.kilogram_force  # m/s

LENGTH = {"mm": c.milli, "cm": c.centi, "m": 1, "um": c.micro, "µm": c.micro, "in": c.inch, "thou": c.mil, "ft": c.foot}
VOLUME = {
    "cm3": c.centi**3,
    "cc": c.centi**3,
    "mL": c.milli * c.liter,
    "L": c.liter,
    "mm3": c.milli**3,
    "m3": 1,
    "in3": c.inch**3,
    "cu in": c.inch**3,
}
PRESSURE = {
    "Pa": 1,
    "hPa": c.hecto,
    "kPa": c.kilo,
    "MPa": c.mega,
    "GPa": c.giga,
    "bar": c.bar,
    "mbar": c.milli * c.bar,
    "psi": c.psi,
    "atm": c.atm,
    "inHg": 25.4 * MILLIMETER_OF_MERCURY,
    "mmHg": MILLIMETER_OF_MERCURY,
}
FOOT_POUND = c.foot * c.pound_force
# Every factor of the table, each from scipy.constants (CODATA and the international yard and pound).
FACTORS = {
    "length": LENGTH,
    "altitude": {"m": 1, "km": c.kilo, "ft": c.foot},
    "volume": VOLUME,
    "displacement": VOLUME,
    "area": {"mm2": c.milli**2, "cm2": c.centi**2, "m2": 1, "in2": c.inch**2},
    "pressure": PRESSURE,
    "stress": PRESSURE,
    "temperature": {"degC": 1, "°C": 1, "degF": c.degree_Fahrenheit, "°F": c.degree_Fahrenheit, "K": 1},
    "temperature_difference": {
        "K": 1,
        "degC": 1,
        "degF": c.degree_Fahrenheit,
        "delta_degC": 1,
        "delta_degF": c.degree_Fahrenheit,
    },
    "power": {"W": 1, "kW": c.kilo, "hp": c.hp, "PS": METRIC_HORSEPOWER},
    "torque": {"N·m": 1, "N m": 1, "Nm": 1, "lbf·ft": FOOT_POUND, "lbf ft": FOOT_POUND, "ft·lb": FOOT_POUND, "ft lb": FOOT_POUND},
    "mass": {"g": c.gram, "kg": 1, "lb": c.pound, "oz": c.oz},
    "force": {"N": 1, "kN": c.kilo, "lbf": c.pound_force},
    "speed": {"m/s": 1, "ft/min": c.foot / c.minute},
    "acceleration": {"m/s2": 1, "ft/s2": c.foot},
    "rotation": {"rpm": 2 * c.pi / c.minute, "rad/s": 1},
    "time": {"h": c.hour, "min": c.minute, "s": 1},
    "rotation_rate": {"rpm/s": 2 * c.pi / c.minute, "rad/s2": 1},
    "viscosity": {"mPa·s": c.milli, "Pa·s": 1, "cP": c.milli},
    "specific_consumption": {"g/kWh": c.gram / (c.kilo * c.hour), "lb/hp·h": c.pound / (c.hp * c.hour)},
    "fuel_volume_flow": {"L/h": c.liter / c.hour, "L/min": c.liter / c.minute, "gal/h": c.gallon / c.hour},
    "fuel_mass_flow": {"kg/h": 1 / c.hour, "g/s": c.gram, "lb/h": c.pound / c.hour, "lb/min": c.pound / c.minute},
    "injector_flow": {"cm3/min": c.centi**3 / c.minute, "cc/min": c.centi**3 / c.minute},
    "air_volume_flow": {"m3/min": 1 / c.minute, "ft3/min": c.foot**3 / c.minute},
    "moment_of_inertia": {
        "kg·m2": 1,
        "kg m2": 1,
        "g·m2": c.gram,
        "kg·cm2": c.centi**2,
        "lb·ft2": c.pound * c.foot**2,
        "lb·in2": c.pound * c.inch**2,
    },
    "angle": {"deg": c.degree, "rad": 1},
    "ratio": {"1": 1, "%": c.centi},
    "percentage": {"1": 1, "%": c.centi},
    "expansion": {"1e-6/K": c.micro, "1e-6/degC": c.micro, "1e-6/degF": c.micro / c.degree_Fahrenheit},
    "volume_per_length": {
        "cm3/mm": c.centi**3 / c.milli,
        "cc/mm": c.centi**3 / c.milli,
        "cm3/in": c.centi**3 / c.inch,
        "cc/in": c.centi**3 / c.inch,
    },
    "mass_flow": {
        "g/s": c.gram,
        "kg/s": 1,
        "kg/h": 1 / c.hour,
        "lb/min": c.pound / c.minute,
        "lb/h": c.pound / c.hour,
    },
    "density": {"kg/m3": 1, "g/cm3": c.gram / c.centi**3, "lb/ft3": c.pound / c.foot**3},
    "specific_energy": {"MJ/kg": c.mega, "kJ/kg": c.kilo, "BTU/lb": BTU_IT / c.pound},
}
# The conventional columns of mercury are published to seven digits (NIST SP 811, B.8); everything else is exact in a double.
PRECISION = {"inHg": 2e-7, "mmHg": 2e-7}
EVERY_UNIT = [(kind.name, unit) for kind in KINDS.values() for unit in kind.units]
OFFSETS = {"degC": c.zero_Celsius, "°C": c.zero_Celsius, "degF": 459.67 * c.degree_Fahrenheit, "°F": 459.67 * c.degree_Fahrenheit}


def test_no_unit_is_without_an_outside_factor() -> None:
    """A new kind or unit has to be held against scipy.constants here too."""
    assert {(kind, unit) for kind, units in FACTORS.items() for unit in units} == set(EVERY_UNIT)


@pytest.mark.parametrize(("kind", "unit"), EVERY_UNIT)
def test_factor(kind: str, unit: str) -> None:
    """Each factor and each offset agrees with scipy.constants."""
    found = KINDS[kind].units[unit]
    assert found.factor == pytest.approx(FACTORS[kind][unit], rel=PRECISION.get(unit, 1e-14))
    assert found.offset == pytest.approx(OFFSETS.get(unit, 0.0) if kind == "temperature" else 0.0, rel=1e-14)


def test_scipy_means_the_same_units() -> None:
    """The constants leaned on above are the definitions meant here (NIST SP 811 B.8, notes 21-24)."""
    assert c.hp == pytest.approx(MECHANICAL_HORSEPOWER, rel=1e-14)
    assert c.psi == pytest.approx(PSI, rel=1e-14)
    assert BTU_IT / c.pound == pytest.approx(2326, rel=1e-12)  # the international table Btu is defined by 2326 J/kg


@pytest.mark.parametrize("kind", KINDS)
def test_kind_answers_and_reads_in_its_own_units(kind: str) -> None:
    """The answer's units and the meaning of a bare number are units of the kind, and the key is the kind's name."""
    table = KINDS[kind]
    assert table.name == kind
    assert {table.metric, table.inch, *table.bare_means.values()} <= set(table.units)
    assert set(table.bare_means) == set(SYSTEMS)
    assert (table.answer_unit("metric"), table.answer_unit("inch")) == (table.metric, table.inch)


@pytest.mark.parametrize(("kind", "unit"), EVERY_UNIT)
def test_spelling_can_be_typed_and_read(kind: str, unit: str) -> None:
    """No unit holds a character that the reader takes for a sign, and only ·, ° and µ lie outside ASCII."""
    assert "±" not in unit
    assert "+/-" not in unit
    assert set(unit) <= set(string.ascii_letters + string.digits + " /%-·°µ_")
    assert len(unit) <= 16


def test_further_spellings_stand_for_units_of_their_kind() -> None:
    """None of them hides a unit, and each is read as the one it stands for."""
    for kind in KINDS.values():
        assert not set(kind.also) & set(kind.units)
        for spelling, unit in kind.also.items():
            assert kind.read(spelling) is kind.units[unit]
            assert "±" not in spelling
            assert "+" not in spelling


@pytest.mark.parametrize(("kind", "unit"), EVERY_UNIT)
@given(value=st.floats(1e-9, 1e9) | st.floats(-1e9, -1e-9) | st.just(0.0))
def test_round_trip(kind: str, unit: str, value: float) -> None:
    """Into SI and back gives the value again, to the last digits of a double."""
    scale = KINDS[kind].units[unit]
    slack = 5e-16 * (abs(value) + abs(scale.offset / scale.factor))
    assert math.isclose(from_si(to_si(value, unit, kind), unit, kind), value, rel_tol=0, abs_tol=slack)


@pytest.mark.parametrize(("wrong", "meant"), [("MM", "mm"), ("mmm", "mm"), ("IN", "in"), ("inc", "in"), ("thous", "thou")])
def test_nearest_unit(wrong: str, meant: str) -> None:
    """A slip is met with the unit that was meant."""
    assert KINDS["length"].nearest(wrong) == meant


def test_no_nearest_unit() -> None:
    """Nonsense is met with nothing."""
    assert KINDS["length"].nearest("furlong") is None
