"""Figures, names and bands as a terminal says them: the build sheet's own precision, in one line."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from borewright.sheet.showing import fewest, most, number, places, shown, spoken, with_unit

Figure = Mapping[str, Any]

WHOLE = ("hp", "kW", "psi", "kPa", "MPa", "lbf", "N", "lbf·ft", "N·m", "ft", "m")  # no use is made of their decimals here


def show(figure: Figure | None, decimals: int | None = None) -> str:
    """A figure as a person reads it, with its worst case where it has one.

    >>> show({"value": 10.25, "unit": "1", "low": 10.1, "high": 10.4}), show({"value": 0.0181, "unit": "in"}), show(None)
    ('10.25 (10.10 to 10.40)', '0.0181 in', 'not known')
    """
    if figure is None:
        return "not known"
    unit, low, high = figure["unit"], figure.get("low"), figure.get("high")
    ends = [] if low is None or high is None else [low, high]
    digits = _decimals(unit, [figure["value"], *ends]) if decimals is None else decimals
    written, *range_ends = (number(value, digits) for value in (figure["value"], *ends))
    spread = f" ({range_ends[0]} to {range_ends[1]})" if range_ends and range_ends[0] != range_ends[1] else ""
    return with_unit(written, unit) + spread


def _decimals(unit: str, values: Iterable[float]) -> int:
    return 0 if unit in WHOLE else places(unit, values)


def fine(figure: Figure) -> str:
    """A figure without its worst case, to the last digit that its unit is read to: what is honed or filed to.

    >>> fine({"value": 3.882, "unit": "in", "low": 3.872, "high": 3.892})
    '3.8820 in'
    """
    return shown(figure, most)


def coarse(figure: Figure) -> str:
    """A figure without its worst case, as closely as a gauge or clay reads it.

    >>> coarse({"value": 0.35183, "unit": "in", "low": 0.35, "high": 0.36})
    '0.352 in'
    """
    return shown(figure, fewest)


def ratio(figure: Figure | None) -> str:
    """A compression ratio with its worst case.

    >>> ratio({"value": 10.25, "unit": "1", "low": 10.1, "high": 10.4}), ratio({"value": 9.0, "unit": "1"})
    ('10.25:1 (10.10 to 10.40)', '9.00:1')
    """
    value, bracket, spread = show(figure, 2).partition(" (")
    return f"{value}:1{bracket}{spread}"


def plain(figure: Figure) -> dict[str, Any]:
    """A figure without its worst case.

    >>> plain({"value": 1.0, "unit": "in", "low": 0.9, "high": 1.1})
    {'value': 1.0, 'unit': 'in'}
    """
    return {"value": figure["value"], "unit": figure["unit"]}


def span(low: Figure, high: Figure) -> str:
    """Two figures of one unit as a range.

    >>> span({"value": 0.0038, "unit": "in"}, {"value": 0.0048, "unit": "in"})
    '0.0038 to 0.0048 in'
    """
    digits = _decimals(low["unit"], [low["value"], high["value"]])
    return with_unit(f"{number(low['value'], digits)} to {number(high['value'], digits)}", low["unit"])


def banded(band: Mapping[str, Figure | None]) -> dict[str, Any] | None:
    """A band of what is not known as one figure; tolerances, which come on top, are left to the sheet.

    >>> band = {"low": {"value": 8.0, "unit": "1"}, "value": {"value": 9.0, "unit": "1"}, "high": {"value": 9.5, "unit": "1"}}
    >>> show(banded(band)), show(banded({**band, "high": None})), show(banded({**band, "value": None}))
    ('9.00 (8.00 to 9.50)', '9.00', 'not known')
    """
    low, value, high = band["low"], band["value"], band["high"]
    if value is None:
        return None
    return plain(value) if low is None or high is None else {**plain(value), "low": low["value"], "high": high["value"]}


def field(pointer: str) -> str:
    """A place in the request as words.

    >>> field("#/gasket/thickness"), field("#/lift/3/intake"), field("#/stack/deck_height")
    ('gasket thickness', 'lift 4 intake', 'deck height')
    """
    steps = pointer.removeprefix("#/").removeprefix("stack/").split("/")
    return " ".join(str(int(step) + 1) if step.isdigit() else spoken(step) for step in steps)


def listed(numbers: Iterable[int]) -> str:
    """Cylinders by number.

    >>> listed([7]), listed([1, 2, 5])
    ('cylinder 7', 'cylinders 1, 2, 5')
    """
    found = [str(each) for each in numbers]
    return ("cylinder " if len(found) == 1 else "cylinders ") + ", ".join(found)
