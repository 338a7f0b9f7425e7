"""How a quantity is written for a person: the unit's sign, and as many decimals as the trade reads."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any

Figure = Mapping[str, Any]
Digits = Callable[[str, Iterable[float]], int]

NOTHING = "—"
MINUS = "−"
SIGNS = {
    "in2": "in²",
    "in3": "in³",
    "mm2": "mm²",
    "cm2": "cm²",
    "cm3": "cm³",
    "cm3/min": "cm³/min",
    "m3/min": "m³/min",
    "ft3/min": "ft³/min",
    "kg·m2": "kg·m²",
    "lb·ft2": "lb·ft²",
    "cm3/mm": "cm³/mm",
    "cm3/in": "cm³/in",
    "m/s2": "m/s²",
    "ft/s2": "ft/s²",
    "kg/m3": "kg/m³",
    "lb/ft3": "lb/ft³",
    "deg": "°",
    "degC": "°C",
    "degF": "°F",
    "delta_degF": "°F",
    "1e-6/K": "10⁻⁶/K",
    "1e-6/degF": "10⁻⁶/°F",
    "1": "",
}
# fewest and most decimals; the most are written only where the last of them says something
DECIMALS = {
    "in": (3, 4),  # a thousandth, and its tenths where there are any
    "mm": (2, 3),  # a hundredth, and the micron where there is one
    "cm3": (1, 2),
    "in3": (1, 2),
    "cm2": (1, 2),
    "in2": (2, 3),
    "1": (2, 3),
    "%": (1, 1),
    "m/s": (1, 2),
    "g": (0, 1),
    "deg": (0, 1),
    "degC": (0, 0),
    "degF": (0, 0),
    "delta_degF": (0, 0),
    "K": (0, 0),
    "rpm": (0, 0),
    "ft/min": (0, 0),
    "N": (0, 0),
    "lbf": (0, 0),
    "hp": (0, 1),
    "kW": (0, 1),
}


def is_figure(value: Any) -> bool:
    """Whether a value of an answer is a quantity.

    >>> is_figure({"value": 1.0, "unit": "in"}), is_figure({"name": "x"})
    (True, False)
    """
    return isinstance(value, Mapping) and "value" in value and isinstance(value.get("unit"), str)


def sign(unit: str) -> str:
    """The sign of a unit.

    >>> sign("in3"), sign("mm")
    ('in³', 'mm')
    """
    return SIGNS.get(unit, unit)


def places(unit: str, values: Iterable[float]) -> int:
    """Decimals that one column of values of a unit takes, the same for all of it.

    >>> places("in", [0.018, 3.892]), places("in", [0.018, 3.8807]), places("1", [10.25])
    (3, 4, 2)
    """
    numbers = [value for value in values if math.isfinite(value)]
    least, finest = DECIMALS.get(unit) or _by_size(max(map(abs, numbers), default=0.0))
    if unit == "1" and any(abs(value) >= 2 for value in numbers):
        finest = least  # a compression ratio; what lies near one (a factor) needs its thousandth
    if least == finest:
        return least
    step = 10.0**-finest
    return finest if any(round(value / step) % 10 for value in numbers) else least


def _by_size(largest: float) -> tuple[int, int]:
    """Decimals that show about four digits."""
    decimals = 0 if largest >= 1000 else 1 if largest >= 100 else 2 if largest >= 10 or largest == 0 else 3
    return decimals, decimals


def number(value: float, decimals: int) -> str:
    """A number with so many decimals and a true minus sign; nothing is written as minus zero.

    >>> number(-0.0053, 3), number(-0.00001, 3)
    ('−0.005', '0.000')
    """
    if abs(value) >= 1e9:
        return f"{value:.3e}".replace("-", MINUS)
    text = f"{value:.{decimals}f}"
    if float(text) == 0:
        return text.lstrip("-")
    return text.replace("-", MINUS)


def with_unit(text: str, unit: str) -> str:
    """A written number with the sign of its unit.

    >>> with_unit("60", "deg"), with_unit("10.25", "1")
    ('60°', '10.25')
    """
    mark = sign(unit)
    if not mark:
        return text
    return text + mark if mark == "°" else f"{text} {mark}"


def fewest(unit: str, values: Iterable[float]) -> int:
    """Decimals of what a gauge, clay or a feeler reads.

    >>> fewest("in", [0.35183]), fewest("rpm", [6200.0])
    (3, 0)
    """
    return DECIMALS[unit][0] if unit in DECIMALS else places(unit, values)


def most(unit: str, values: Iterable[float]) -> int:
    """Decimals of what is honed or filed to: all that the unit is read to.

    >>> most("in", [3.882]), most("rpm", [6200.0])
    (4, 0)
    """
    return DECIMALS[unit][1] if unit in DECIMALS else places(unit, values)


def shown(figure: Figure | None, digits: Digits = places) -> str:
    """One quantity, as the trade reads it.

    digits : how many decimals the unit and the values take

    >>> shown({"value": 0.018, "unit": "in"}), shown({"value": 3.88073, "unit": "in"}), shown({"value": 0.4593, "unit": "mm"}), shown(None)
    ('0.018 in', '3.8807 in', '0.459 mm', '—')
    """
    if figure is None:
        return NOTHING
    unit = figure["unit"]
    return with_unit(number(figure["value"], digits(unit, [figure["value"]])), unit)


def worst_case(figure: Figure | None, digits: Digits = places) -> str:
    """The range of a quantity over the corners of the tolerances, empty where there is none.

    >>> worst_case({"value": 10.25, "unit": "1", "low": 10.14, "high": 10.35})
    '10.14 to 10.35'
    """
    if figure is None or figure.get("low") is None or figure.get("high") is None or figure["low"] == figure["high"]:
        return ""
    unit, ends = figure["unit"], (figure["low"], figure["high"])
    decimals = digits(unit, ends)
    low, high = (number(end, decimals) for end in ends)
    return "" if low == high else with_unit(f"{low} to {high}", unit)


def limits_shown(limits: Mapping[str, Figure], against: Figure | None = None) -> str:
    """What a value was held against; a limit that would read like the value it was not met by gets the digits that tell them apart.

    >>> limits_shown({"low": {"value": 0.035, "unit": "in"}, "high": {"value": 0.06, "unit": "in"}})
    '0.035 to 0.060 in'
    >>> limits_shown({"low": {"value": 0.003817, "unit": "in"}}, {"value": 0.0038, "unit": "in"})
    'at least 0.00382 in'
    """
    low, high = limits.get("low"), limits.get("high")
    ends = [end for end in (low, high) if end is not None]
    if not ends:
        return ""
    unit = ends[0]["unit"]
    decimals = places(unit, [end["value"] for end in ends])
    if against is not None and against["unit"] == unit:
        decimals = max(decimals, *(_telling(end["value"], against["value"], decimals) for end in ends))
    written = [number(end["value"], decimals) for end in ends]
    if len(ends) == 2:
        return with_unit(" to ".join(written), unit)
    return ("at least " if low is not None else "at most ") + with_unit(written[0], unit)


def _telling(limit: float, found: float, decimals: int) -> int:
    """Decimals at which a limit no longer reads like a value that differs from it."""
    if math.isclose(limit, found, rel_tol=1e-9, abs_tol=1e-12):
        return decimals
    return next((more for more in range(decimals, decimals + 4) if round(limit, more) != round(found, more)), decimals)


def column(values: Iterable[Figure | None]) -> tuple[str, list[str]]:
    """A column of quantities: their common unit and the numbers without it; where the units differ, each with its own.

    >>> column([{"value": 0.0038, "unit": "in"}, None, {"value": 0.004, "unit": "in"}])
    ('in', ['0.0038', '—', '0.0040'])
    """
    found = list(values)
    units = {value["unit"] for value in found if value is not None}
    if len(units) != 1:
        return "", [shown(value) for value in found]
    unit = units.pop()
    decimals = places(unit, [value["value"] for value in found if value is not None])
    return sign(unit), [NOTHING if value is None else number(value["value"], decimals) for value in found]


def spoken(name: str) -> str:
    """A name of the service as words.

    >>> spoken("valve-clearance"), spoken("rod_big_end")
    ('valve clearance', 'rod big end')
    """
    return name.replace("-", " ").replace("_", " ")


def label(name: str) -> str:
    """A name of the answer as a label.

    >>> label("out_of_round"), label("top-gap")
    ('Out of round', 'Top gap')
    """
    words = LABELS.get(name) or spoken(name)
    return words[:1].upper() + words[1:]


LABELS = {
    "compression_ratio": "compression ratio",
    "dynamic_compression_ratio": "dynamic compression ratio",
    "cleanup_diameter": "cleans up at",
    "fuel_air": "fuel-air cycle",
    "air_standard": "air-standard cycle",
    "practice": "common practice",
    "skirt_exposed_at_bdc": "skirt exposed at bottom dead center",
    "value": "middle of the band",
    "bore_stroke_ratio": "bore to stroke",
    "feasible": "reaches the target",
    "best": "best on offer",
}


def title(name: str) -> str:
    """A name of the answer as the title of a table.

    >>> title("plans"), title("vectors")
    ('Plans, best first', 'Vectors')
    """
    return label(TITLES.get(name, name))


TITLES = {
    "single": "each lever alone",
    "plans": "plans, best first",
    "hone_to": "hone to",
    "cylinders": "cylinder by cylinder",
    "sizes": "sizes on offer",
    "missing": "not calculated",
}
