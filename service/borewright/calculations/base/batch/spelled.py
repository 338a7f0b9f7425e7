"""Columns of quantities that are written out, read at once where they are written alike: as the reader of one quantity reads each."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import orjson

from borewright.physics.arrays import FloatArray
from borewright.quantities import KINDS, Unit

LONGEST = 18  # characters of a number that is surely within what the reader of quantities takes
MOST_UNITS = 8  # of one column
_DIGITS = "0123456789."
_END = "\0"


def spelled_column(kind: str, given: list[Any]) -> FloatArray | None:
    """A column of strings, each digits, a point and a unit, or of objects of a value and a unit, nulls among them [SI].

    NaN for a null; None where one is written in another way, and then each is to be read by itself.

    >>> spelled_column("length", ["84.3 mm", "84.8 mm"]), spelled_column("length", ["84.3 mm", "4 1/32 in"])
    (array([0.0843, 0.0848]), None)
    >>> spelled_column("length", [{"value": 4, "unit": "in"}, None])
    array([0.1016,    nan])
    """
    first = next((entry for entry in given if entry is not None), None)
    read = _strings if isinstance(first, str) else _objects if isinstance(first, dict) else None
    if read is None:
        return None
    units = KINDS[kind].units
    found = read(units, given)
    if found is not None or None not in given:
        return found
    places = [place for place, entry in enumerate(given) if entry is not None]
    some = read(units, [given[place] for place in places])
    if some is None:
        return None
    numbers = np.full(len(given), np.nan)
    numbers[places] = some
    return numbers


def _strings(units: Mapping[str, Unit], given: list[Any]) -> FloatArray | None:
    """Strings of one unit, or of a few."""
    try:
        joined = _END.join(given)
    except TypeError:  # not all of them are
        return None
    suffix = given[0].lstrip(_DIGITS)
    found = _alike(units, suffix, joined, len(given))
    if found is not None:
        return found
    places: dict[str, list[int]] = {}
    for place, entry in enumerate(given):
        suffix = entry.lstrip(_DIGITS)
        if suffix in places:
            places[suffix].append(place)
        elif len(places) < MOST_UNITS and suffix.removeprefix(" ") in units:
            places[suffix] = [place]
        else:
            return None
    numbers = np.empty(len(given))
    for suffix, some in places.items():
        found = _alike(units, suffix, _END.join([given[place] for place in some]), len(some))
        if found is None:
            return None
        numbers[some] = found
    return numbers


def _alike(units: Mapping[str, Unit], suffix: str, joined: str, count: int) -> FloatArray | None:
    """Strings of one unit, joined: each must be digits and a point, and the unit."""
    unit = units.get(suffix.removeprefix(" "))
    if unit is None or not suffix or suffix.strip()[0].isdigit():
        return None
    written = f"{joined}{_END}".replace(f"{suffix}{_END}", ",")  # one without the unit keeps its end, which is no digit
    raw = written[:-1].encode("ascii", "replace")
    if not raw or written.count(",") != count or written[-1] != "," or raw.translate(None, b"0123456789.,"):
        return None
    ends = np.flatnonzero(np.frombuffer(raw, dtype=np.uint8) == ord(","))
    if int(np.diff(ends, prepend=-1, append=len(raw)).max()) - 1 > LONGEST:
        return None
    try:
        numbers = orjson.loads(b"[%b]" % raw)
    except orjson.JSONDecodeError:  # a decimal without its nought, as .040
        try:
            numbers = list(map(float, written[:-1].split(",")))
        except ValueError:  # no digit, or two points
            return None
    return np.asarray(np.array(numbers, dtype=np.float64) * unit.factor + unit.offset)


def _objects(units: Mapping[str, Unit], given: list[Any]) -> FloatArray | None:
    """Objects of a value and a unit, and no tolerance."""
    if set(map(type, given)) != {dict} or set(map(len, given)) != {2}:
        return None
    try:
        values, names = [entry["value"] for entry in given], [entry["unit"] for entry in given]
    except KeyError:
        return None
    if not set(map(type, values)) <= {float, int} or set(map(type, names)) != {str}:
        return None
    places = {name: units.get(name) for name in set(names)}
    if None in places.values():
        return None
    scales = {name: (unit.factor, unit.offset) for name, unit in places.items() if unit is not None}
    try:
        numbers = np.array(values, dtype=np.float64)
    except OverflowError:  # an integer may have any number of digits
        return None
    factors, offsets = next(iter(scales.values())) if len(scales) == 1 else np.array([scales[name] for name in names]).T
    numbers = numbers * factors + offsets
    return numbers if np.isfinite(numbers).all() else None
