"""The unit table: which units a kind of quantity accepts and which it answers in.

Factors are those of NIST SP 811 (2008), Appendix B.8; each turns one of the unit into SI.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

System = Literal["metric", "inch"]
SYSTEMS: tuple[System, ...] = ("metric", "inch")

INCH = 0.0254  # exact
FOOT = 0.3048  # exact
GALLON = 231 * INCH**3  # U.S.
POUND = 0.45359237  # exact
STANDARD_GRAVITY = 9.80665  # exact
POUND_FORCE = POUND * STANDARD_GRAVITY
PSI = POUND_FORCE / INCH**2
CONVENTIONAL_INCH_OF_MERCURY = 3386.389  # NIST SP 811 B.8, conventional
CONVENTIONAL_MILLIMETER_OF_MERCURY = 133.3224  # NIST SP 811 B.8, conventional
METRIC_HORSEPOWER = 75 * STANDARD_GRAVITY
MECHANICAL_HORSEPOWER = 550 * FOOT * POUND_FORCE
OUNCE = POUND / 16

# names that people write out, each with the unit to write
NAMES: Mapping[str, str] = MappingProxyType(
    {
        "millimeter": "mm",
        "centimeter": "cm",
        "meter": "m",
        "micrometer": "um",
        "foot": "ft",
        "milliliter": "mL",
        "liter": "L",
        "cubic centimeter": "cm3",
        "cubic inch": "in3",
        "gram": "g",
        "kilogram": "kg",
        "pound": "lb",
        "ounce": "oz",
        "newton": "N",
        "kilopascal": "kPa",
        "megapascal": "MPa",
        "celsius": "degC",
        "fahrenheit": "degF",
        "kelvin": "K",
        "degree": "deg",
        "radian": "rad",
        "kilowatt": "kW",
        "horsepower": "hp",
        "percent": "%",
    }
)
FOOT_MARKS: Mapping[str, str] = MappingProxyType({"'": "ft", "′": "ft"})
"""Marks that stand for a foot on paper; not read, for a lost stroke would make an inch of it, but known when a unit is suggested."""


@dataclass(frozen=True)
class Unit:
    """One unit: `SI value = value * factor + offset`."""

    factor: float
    offset: float = 0.0


@dataclass(frozen=True)
class Kind:
    """A kind of quantity, the spellings it accepts and the unit of the answer in each system.

    also : further spellings that are read, each with the unit it stands for
    """

    name: str
    units: Mapping[str, Unit]
    metric: str
    inch: str
    bare_means: Mapping[System, str]
    also: Mapping[str, str]

    def answer_unit(self, system: System) -> str:
        """Name the unit an answer is given in.

        >>> KINDS["length"].answer_unit("inch")
        'in'
        """
        return self.metric if system == "metric" else self.inch

    def read(self, spelling: str) -> Unit | None:
        """The unit that a spelling stands for, or None where it stands for none of this kind.

        >>> KINDS["length"].read("inches") == KINDS["length"].units["in"]
        True
        """
        return self.units.get(self.also.get(spelling, spelling))

    def nearest(self, spelling: str) -> str | None:
        """Suggest the accepted unit closest to a misspelled one, or None.

        >>> KINDS["length"].nearest("mmm")
        'mm'
        >>> KINDS["length"].nearest("'")
        'ft'
        >>> KINDS["length"].nearest("milimeters")
        'mm'
        """
        marked = FOOT_MARKS.get(spelling)
        if marked in self.units:
            return marked
        names = {name: unit for name, unit in NAMES.items() if unit in self.units}
        named = difflib.get_close_matches(spelling.casefold(), names, n=1, cutoff=0.7)
        if named:
            return names[named[0]]
        folded = {name.casefold(): name for name in self.units}
        found = difflib.get_close_matches(spelling.casefold(), folded, n=1, cutoff=0.5)
        return folded[found[0]] if found else None


def _kind(name: str, metric: str, inch: str, units: Mapping[str, Unit | float], also: Mapping[str, str] = MappingProxyType({})) -> Kind:
    table = {spelling: unit if isinstance(unit, Unit) else Unit(unit) for spelling, unit in units.items()}
    bare: Mapping[System, str] = MappingProxyType({"metric": metric, "inch": inch})
    return Kind(name, MappingProxyType(table), metric, inch, bare, MappingProxyType(dict(also)))


_LENGTH = {
    "mm": 1e-3,
    "cm": 1e-2,
    "m": 1.0,
    "um": 1e-6,
    "µm": 1e-6,
    "in": INCH,
    "thou": 2.54e-5,  # INCH / 1000 is one bit off
    "ft": FOOT,
}
# what people and our own sheet write for them
_LENGTH_ALSO = {
    '"': "in",
    "″": "in",
    "”": "in",
    "''": "in",
    "in.": "in",
    "inch": "in",
    "inches": "in",
    "mil": "thou",
    "mils": "thou",
    "μm": "um",  # the Greek letter; the sign of the unit is another character
    "feet": "ft",
}
_VOLUME = {
    "cm3": 1e-6,
    "cc": 1e-6,
    "mL": 1e-6,
    "L": 1e-3,
    "mm3": 1e-9,
    "m3": 1.0,
    "in3": INCH**3,
    "cu in": INCH**3,
}
_VOLUME_ALSO = {
    "ml": "mL",
    "l": "L",
    "cm³": "cm3",
    "mm³": "mm3",
    "m³": "m3",
    "in³": "in3",
    "cu. in.": "in3",
    "cu.in.": "in3",
    "cubic inch": "in3",
    "cubic inches": "in3",
    "ci": "in3",
    "cid": "in3",
}
_AREA_ALSO = {"mm²": "mm2", "cm²": "cm2", "m²": "m2", "in²": "in2", "sq in": "in2", "sq. in.": "in2"}
_PRESSURE = {
    "Pa": 1.0,
    "hPa": 100.0,
    "kPa": 1e3,
    "MPa": 1e6,
    "GPa": 1e9,
    "bar": 1e5,
    "mbar": 100.0,
    "psi": PSI,
    "atm": 101325.0,
    "inHg": CONVENTIONAL_INCH_OF_MERCURY,
    "mmHg": CONVENTIONAL_MILLIMETER_OF_MERCURY,
}
_FAHRENHEIT = Unit(5 / 9, 459.67 * 5 / 9)
_TEMPERATURE = {"degC": Unit(1.0, 273.15), "°C": Unit(1.0, 273.15), "degF": _FAHRENHEIT, "°F": _FAHRENHEIT, "K": Unit(1.0)}
_DIFFERENCE = {"K": 1.0, "degC": 1.0, "degF": 5 / 9, "delta_degC": 1.0, "delta_degF": 5 / 9}
_TORQUE = {
    "N·m": 1.0,
    "N m": 1.0,
    "Nm": 1.0,
    "lbf·ft": POUND_FORCE * FOOT,
    "lbf ft": POUND_FORCE * FOOT,
    "ft·lb": POUND_FORCE * FOOT,
    "ft lb": POUND_FORCE * FOOT,
}
_TORQUE_ALSO = {
    "N⋅m": "N·m",
    "N-m": "N·m",
    "lbf⋅ft": "lbf·ft",
    "lbf-ft": "lbf·ft",
    "ft·lbf": "lbf·ft",
    "ft lbf": "lbf·ft",
    "ft-lbf": "lbf·ft",
    "ft-lb": "ft·lb",
    "ft⋅lb": "ft·lb",
    "lb·ft": "lbf·ft",
    "lb ft": "lbf·ft",
    "lb-ft": "lbf·ft",
}
_ROTATION_ALSO = {"r/min": "rpm", "rev/min": "rpm", "RPM": "rpm"}
_REVOLUTION_PER_MINUTE = 2 * math.pi / 60

KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        kind.name: kind
        for kind in (
            _kind("length", "mm", "in", _LENGTH, _LENGTH_ALSO),
            _kind("altitude", "m", "ft", {"m": 1.0, "km": 1e3, "ft": FOOT}, {"feet": "ft"}),
            _kind("volume", "cm3", "cm3", _VOLUME, _VOLUME_ALSO),
            _kind("displacement", "cm3", "in3", _VOLUME, _VOLUME_ALSO),
            _kind("area", "cm2", "in2", {"mm2": 1e-6, "cm2": 1e-4, "m2": 1.0, "in2": INCH**2}, _AREA_ALSO),
            _kind("pressure", "kPa", "psi", _PRESSURE),
            _kind("stress", "MPa", "psi", _PRESSURE),
            _kind("temperature", "degC", "degF", _TEMPERATURE),
            _kind("temperature_difference", "K", "delta_degF", _DIFFERENCE, {"°C": "delta_degC", "°F": "delta_degF"}),
            _kind("power", "kW", "hp", {"W": 1.0, "kW": 1e3, "hp": MECHANICAL_HORSEPOWER, "PS": METRIC_HORSEPOWER}),
            _kind("torque", "N·m", "lbf·ft", _TORQUE, _TORQUE_ALSO),
            _kind("mass", "g", "g", {"g": 1e-3, "kg": 1.0, "lb": POUND, "oz": OUNCE}, {"lbs": "lb"}),
            _kind("force", "N", "lbf", {"N": 1.0, "kN": 1e3, "lbf": POUND_FORCE}),
            _kind("speed", "m/s", "ft/min", {"m/s": 1.0, "ft/min": FOOT / 60}, {"fpm": "ft/min"}),
            _kind("acceleration", "m/s2", "ft/s2", {"m/s2": 1.0, "ft/s2": FOOT}, {"m/s²": "m/s2", "ft/s²": "ft/s2"}),
            _kind("rotation", "rpm", "rpm", {"rpm": _REVOLUTION_PER_MINUTE, "rad/s": 1.0}, _ROTATION_ALSO),
            _kind(
                "specific_consumption",
                "g/kWh",
                "lb/hp·h",
                {"g/kWh": 1e-3 / 3.6e6, "lb/hp·h": POUND / (MECHANICAL_HORSEPOWER * 3600)},
                {"g/(kW·h)": "g/kWh", "g/kW·h": "g/kWh", "lb/(hp·h)": "lb/hp·h", "lb/hp-h": "lb/hp·h", "lb/hph": "lb/hp·h"},
            ),
            _kind("fuel_volume_flow", "L/h", "gal/h", {"L/h": 1e-3 / 3600, "L/min": 1e-3 / 60, "gal/h": GALLON / 3600}, {"gph": "gal/h"}),
            _kind(
                "fuel_mass_flow",
                "kg/h",
                "lb/h",
                {"kg/h": 1 / 3600, "g/s": 1e-3, "lb/h": POUND / 3600, "lb/min": POUND / 60},
                {"lb/hr": "lb/h"},
            ),
            _kind("injector_flow", "cm3/min", "cm3/min", {"cm3/min": 1e-6 / 60, "cc/min": 1e-6 / 60}, {"cm³/min": "cm3/min"}),
            _kind(
                "air_volume_flow",
                "m3/min",
                "ft3/min",
                {"m3/min": 1 / 60, "ft3/min": FOOT**3 / 60},
                {"m³/min": "m3/min", "ft³/min": "ft3/min", "cfm": "ft3/min"},
            ),
            _kind("time", "h", "h", {"h": 3600.0, "min": 60.0, "s": 1.0}, {"hour": "h", "hours": "h", "hr": "h"}),
            _kind(
                "rotation_rate", "rpm/s", "rpm/s", {"rpm/s": _REVOLUTION_PER_MINUTE, "rad/s2": 1.0}, {"rad/s²": "rad/s2", "RPM/s": "rpm/s"}
            ),
            _kind(
                "moment_of_inertia",
                "kg·m2",
                "lb·ft2",
                {"kg·m2": 1.0, "kg m2": 1.0, "g·m2": 1e-3, "kg·cm2": 1e-4, "lb·ft2": POUND * FOOT**2, "lb·in2": POUND * INCH**2},
                {"kg·m²": "kg·m2", "kg m²": "kg·m2", "lb·ft²": "lb·ft2", "lb ft2": "lb·ft2", "lb·in²": "lb·in2", "lb in2": "lb·in2"},
            ),
            _kind("angle", "deg", "deg", {"deg": math.pi / 180, "rad": 1.0}, {"°": "deg", "degrees": "deg"}),
            _kind("ratio", "1", "1", {"1": 1.0, "%": 0.01}, {":1": "1", ": 1": "1", "to 1": "1"}),
            _kind("percentage", "%", "%", {"%": 0.01, "1": 1.0}),
            _kind(
                "viscosity",
                "mPa·s",
                "mPa·s",
                {"mPa·s": 1e-3, "Pa·s": 1.0, "cP": 1e-3},
                {"mPa s": "mPa·s", "Pa s": "Pa·s", "mPa.s": "mPa·s"},
            ),
            _kind(
                "expansion",
                "1e-6/K",
                "1e-6/degF",
                {"1e-6/K": 1e-6, "1e-6/degC": 1e-6, "1e-6/degF": 1.8e-6},
                {"10⁻⁶/K": "1e-6/K", "10⁻⁶/°C": "1e-6/degC", "10⁻⁶/°F": "1e-6/degF"},
            ),
            _kind(
                "volume_per_length",
                "cm3/mm",
                "cm3/in",
                {"cm3/mm": 1e-3, "cc/mm": 1e-3, "cm3/in": 1e-6 / INCH, "cc/in": 1e-6 / INCH},
                {"cm³/mm": "cm3/mm", "cm³/in": "cm3/in"},
            ),
            _kind(
                "mass_flow",
                "g/s",
                "lb/min",
                {"g/s": 1e-3, "kg/s": 1.0, "kg/h": 1 / 3600, "lb/min": POUND / 60, "lb/h": POUND / 3600},
            ),
            _kind(
                "density",
                "kg/m3",
                "lb/ft3",
                {"kg/m3": 1.0, "g/cm3": 1e3, "lb/ft3": POUND / FOOT**3},
                {"kg/m³": "kg/m3", "g/cm³": "g/cm3", "lb/ft³": "lb/ft3"},
            ),
            _kind("specific_energy", "MJ/kg", "BTU/lb", {"MJ/kg": 1e6, "kJ/kg": 1e3, "BTU/lb": 2326.0}),
        )
    }
)


def to_si(value: float, unit: str, kind: str) -> float:
    """Turn a value in a named unit into SI.

    >>> round(to_si(320.0, "in3", "displacement") * 1e6, 1)
    5243.9
    """
    found = KINDS[kind].units[unit]
    return value * found.factor + found.offset


def from_si(value: float, unit: str, kind: str) -> float:
    """Turn an SI value into a named unit.

    >>> round(from_si(298.15, "degF", "temperature"), 9)
    77.0
    """
    found = KINDS[kind].units[unit]
    return (value - found.offset) / found.factor
