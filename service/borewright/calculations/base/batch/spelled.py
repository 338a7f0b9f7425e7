"""Columns of quantities that are written out, read at once: as the reader of one quantity reads each.

What is written in a way that is not known here is left, to be read by itself; so is one unit beyond many of a column. What the reader
makes of one entry of each way of writing a unit holds for the others that are written so.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import orjson

from borewright.physics.arrays import FloatArray
from borewright.quantities import BARE_KINDS, KINDS, OtherKindError, QuantityError, System, Unit, UnknownUnitError, read_quantity

Places = npt.NDArray[np.intp]
Units = Mapping[str, Unit | None]  # as they are written; None for what is none of the kind
LONGEST = 18  # characters of a number that is surely within what the reader of quantities takes
MOST_UNITS = 24  # of one column
FEW = 16  # entries that are read by themselves in less time than together
LOOKED_AT = 64  # entries at the start of a column in which its units are looked for, and about as many all over it
BARE = "1"  # the unit of a number of a kind that may have none
_END = "\0"
_SIGNS = frozenset("+-−")
_END_CODE, _BLANK = 0, ord(" ")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_IN_NUMBERS = b"0123456789.+-eE \0"  # and what ends them
_ODD = np.ones(256, dtype=np.bool_)
_ODD[list(_IN_NUMBERS)] = False
_LONG_EXPONENT = re.compile(rb"[eE][+-]?[0-9]{4}")
_NONE = np.arange(0)
BLOCK = 1024  # objects that are gone through together: they stay in the processor's cache
_SURE = 10**18  # of a whole number, which may have any number of digits
_NEVER_FIRST = "0123456789±+-.,/_ "  # of a unit that is none: these would belong to the number
_LEAST_TOLERANCE = 1e-290  # in SI: a smaller one could be none at all


@dataclass(frozen=True)
class Spelled:
    """Some entries of a column.

    numbers : in SI, NaN where there is none
    left : places of those that are to be read by themselves
    alike : places for which the reader says the same, and the number has no part in it
    toleranced : places of those that have a tolerance, and are right in all else
    """

    numbers: FloatArray
    left: Places
    alike: Sequence[Places] = ()
    toleranced: Sequence[Places] = ()


def spelled_column(kind: str, given: list[str]) -> Spelled:
    """Read a column of texts, each a decimal number and a unit [SI].

    >>> spelled_column("length", ["84.3 mm", "4 in", "4 1/32 in", "8 lb"])
    Spelled(numbers=array([0.0843, 0.1016,    nan,    nan]), left=array([2]), alike=[array([3])], toleranced=())
    """
    found = _spelled(kind, given)
    if found.left.size <= FEW:
        return found
    rest = [given[place] for place in found.left.tolist()]
    if found.left.size < len(given):  # of other units than those that were seen at first
        return _with(found, spelled_column(kind, rest))
    return _with(found, _toleranced(kind, rest))


def _with(found: Spelled, rest: Spelled) -> Spelled:
    """What was left of a column, read after all."""
    found.numbers[found.left] = rest.numbers
    alike, toleranced = ([found.left[places] for places in some] for some in (rest.alike, rest.toleranced))
    return Spelled(found.numbers, found.left[rest.left], [*found.alike, *alike], [*found.toleranced, *toleranced])


def _spelled(kind: str, given: list[str]) -> Spelled:
    units = _units_in(kind, [*given[:LOOKED_AT], *given[:: len(given) // LOOKED_AT | 1]])
    if not units:
        return all_left(given)
    text = _END.join(given) + _END
    if not text.isascii():
        text = text.replace("−", "-")
    codes = np.frombuffer(bytearray(text, "utf-8", "replace"), dtype=np.uint8)
    ends = np.flatnonzero(codes == _END_CODE)
    if ends.size != len(given):  # an end stands inside of one of them
        return all_left(given)
    lengths = np.diff(ends, prepend=-1)
    kinds, sizes = _blanked(codes, ends, lengths - 1, [written.encode() for written in units])
    odd = (kinds < 0) | (sizes > LONGEST)
    raw = codes.tobytes()
    if raw.translate(None, _IN_NUMBERS):
        odd[np.searchsorted(ends, np.flatnonzero(_ODD[codes]))] = True
    if b"e" in raw or b"E" in raw:
        odd[np.searchsorted(ends, [one.start() for one in _LONG_EXPONENT.finditer(raw)])] = True
    if np.count_nonzero(odd):
        raw, kinds = codes[~np.repeat(odd, lengths)].tobytes(), kinds[~odd]
    return _scaled(given, np.flatnonzero(~odd), _decimals(raw[:-1].replace(b"\0", b",")), kinds, list(units.values()))


def _blanked(codes: npt.NDArray[np.uint8], ends: Places, sizes: Places, units: Sequence[bytes]) -> tuple[Places, Places]:
    """The unit of each entry, by its number, and how long the entry is without it; blanks are put in the place of the unit.

    units : of several that an entry ends with the first counts; -1 stands for none
    """
    kinds, sizes = np.full(ends.size, -1), sizes.copy()
    left = np.arange(ends.size)
    for number, unit in enumerate(units):
        begins = ends[left] - len(unit)
        found = sizes[left] >= len(unit)
        for place, code in enumerate(unit):  # from where nothing is before an entry, it is counted from the end, and not found
            found &= codes.take(begins + place, mode="wrap") == code
        every = np.count_nonzero(found) == found.size
        chosen, begins, left = (left, begins, left[:0]) if every else (left[found], begins[found], left[~found])
        for place in range(len(unit)):
            codes[begins + place] = _BLANK
        kinds[chosen] = number
        sizes[chosen] -= len(unit)
    return kinds, sizes


def _units_in(kind: str, entries: Iterable[str]) -> Units:
    """The units that some entries are written with, the longest first: the reader itself says what each is."""
    found: dict[str, Unit | None] = {}
    for entry in entries:
        text = entry.replace("−", "-").lstrip(" ")
        number = _NUMBER.match(text)
        if number is None:
            continue
        written = text[number.end() :].lstrip(" ")
        if written[:1].isdigit():  # a unit that begins with a digit needs its blank
            written = f" {written}"
        if written in found or written.startswith(("e", "E")) or not written.isprintable():
            continue
        unit = _known(kind, written.strip() or BARE)
        try:
            reading = read_quantity(entry, kind)
        except (UnknownUnitError, OtherKindError):
            if unit is None and written[:1] not in _NEVER_FIRST and not {"±", "+"} & set(written):
                found[written] = None
        except QuantityError:
            continue
        else:
            if unit is not None and not reading.tolerance and reading.value == float(number[0]) * unit.factor + unit.offset:
                found[written] = unit
        if len(found) == MOST_UNITS:
            break
    return {written: found[written] for written in sorted(found, key=len, reverse=True)}


def _known(kind: str, written: str) -> Unit | None:
    found = KINDS[kind].units.get(written)
    return KINDS[kind].read(" ".join(written.split())) if found is None else found


def _decimals(numbers: bytes) -> FloatArray:
    """Numbers between commas, NaN where there is none."""
    try:
        return np.array(orjson.loads(b"[%b]" % numbers), dtype=np.float64)
    except orjson.JSONDecodeError:  # a decimal without its nought, as .040, or a plus
        pieces = numbers.split(b",")
    try:
        return np.array(list(map(float, pieces)))
    except ValueError:
        return np.array(list(map(_decimal, pieces)))


def _decimal(piece: bytes) -> float:
    try:
        return float(piece)
    except ValueError:  # no digit, or two points
        return np.nan


def _scaled(given: Sequence[Any], places: Places, sizes: FloatArray, kinds: npt.NDArray[Any], units: Sequence[Unit | None]) -> Spelled:
    """Some places of a column, each with its number and the unit that it has among these."""
    if len(units) == 1 and units[0] is not None:
        found = sizes * units[0].factor + units[0].offset
    else:
        scales = [Unit(np.nan) if unit is None else unit for unit in units]
        found = sizes * np.array([unit.factor for unit in scales])[kinds] + np.array([unit.offset for unit in scales])[kinds]
    lost = ~np.isfinite(found)
    if places.size == len(given) and not np.count_nonzero(lost):
        return Spelled(found, _NONE)
    numbers, left = np.full(len(given), np.nan), np.ones(len(given), dtype=np.bool_)
    numbers[places[~lost]], left[places[~lost]] = found[~lost], False
    alike = [places[(kinds == kind) & np.isfinite(sizes)] for kind, unit in enumerate(units) if unit is None]
    for some in alike:
        left[some] = False
    return Spelled(numbers, np.flatnonzero(left), [some for some in alike if some.size])


def all_left(given: Sequence[Any]) -> Spelled:
    """Entries of which none is read here.

    >>> all_left([True])
    Spelled(numbers=array([nan]), left=array([0]), alike=(), toleranced=())
    """
    return Spelled(np.full(len(given), np.nan), np.arange(len(given)))


def _toleranced(kind: str, given: list[str]) -> Spelled:
    """Of some entries, which are a size and a tolerance, each with its unit."""
    together = _END.join(given).replace("+/-", "±")
    if "±" not in together:
        return all_left(given)
    entries = together.split(_END)
    if len(entries) != len(given) or together.count("±") != len(given) or not all("±" in entry for entry in entries):
        places = np.array([place for place, entry in enumerate(given) if _has_one_tolerance(entry)], dtype=np.intp)
        if places.size in (0, len(given)):
            return all_left(given)
        some = _toleranced(kind, [given[place] for place in places.tolist()]).toleranced
        left = np.ones(len(given), dtype=np.bool_)
        for toleranced in some:
            left[places[toleranced]] = False
        return Spelled(np.full(len(given), np.nan), np.flatnonzero(left), toleranced=[places[toleranced] for toleranced in some])
    halves = together.replace("±", _END).split(_END)
    reached = halves[1::2]
    sizes = _spelled(kind, halves[::2]).numbers
    reaches = _spelled("temperature_difference" if kind == "temperature" else kind, reached).numbers
    found = np.isfinite(sizes) & (reaches > _LEAST_TOLERANCE)
    if not _SIGNS.isdisjoint("".join(reached)):
        found &= [_SIGNS.isdisjoint(reach) for reach in reached]
    return Spelled(np.full(len(given), np.nan), np.flatnonzero(~found), toleranced=[np.flatnonzero(found)])


def _has_one_tolerance(entry: str) -> bool:
    return _END not in entry and entry.count("±") + entry.count("+/-") == 1


class Numbered(dict[Any, int]):
    """A number for each name, in the order in which they are asked for.

    >>> numbered = Numbered()
    >>> [numbered[name] for name in ("in", "mm", "in")]
    [0, 1, 0]
    """

    def __missing__(self, name: Any) -> int:
        self[name] = number = len(self)
        return number


def object_column(kind: str, given: list[dict[str, Any]]) -> Spelled:
    """Read a column of objects of a value and a unit, and no tolerance or one of nought [SI].

    >>> object_column("length", [{"value": 84.3, "unit": "mm"}, {"value": 4, "unit": "in"}, {"value": 4}]).numbers
    array([0.0843, 0.1016,    nan])
    """
    names = Numbered()
    sizes, kinds = np.full(len(given), np.nan), np.full(len(given), -1)
    for at in range(0, len(given), BLOCK):
        _place_objects(given[at : at + BLOCK], names, sizes[at : at + BLOCK], kinds[at : at + BLOCK])
    units = [_known(kind, name) for name in [*names][:MOST_UNITS]]
    places = np.flatnonzero((kinds >= 0) & (kinds < len(units)))
    return _scaled(given, places, sizes[places], kinds[places], units) if units else all_left(given)


def _place_objects(block: list[dict[str, Any]], names: Numbered, sizes: FloatArray, kinds: Places) -> None:
    """Enter the values of some objects and the numbers of their units, where they are no more than that."""
    found = _values_and_units(block)
    if found is None:
        places = [place for place, entry in enumerate(block) if _is_plain(entry)]
        found = _values_and_units([block[place] for place in places])
        if found is not None:
            sizes[places], kinds[places] = found[0], list(map(names.__getitem__, found[1]))
    else:
        sizes[:], kinds[:] = found[0], list(map(names.__getitem__, found[1]))


def _values_and_units(block: Sequence[Mapping[str, Any]]) -> tuple[FloatArray, list[str]] | None:
    lengths = set(map(len, block))
    if not lengths or not lengths <= {2, 3}:
        return None
    try:
        values, names = [entry["value"] for entry in block], [entry["unit"] for entry in block]
        tolerances = [entry["tolerance"] if len(entry) > 2 else 0 for entry in block] if 3 in lengths else []
    except KeyError:
        return None
    if any(tolerances) or not set(map(type, tolerances)) <= {float, int}:
        return None
    if not set(map(type, values)) <= {float, int} or set(map(type, names)) != {str}:
        return None
    try:
        return np.array(values, dtype=np.float64), names
    except OverflowError:  # an integer may have any number of digits
        return None


def _is_plain(entry: Mapping[str, Any]) -> bool:
    if type(entry.get("unit")) is not str or len(entry) != 2 + ("tolerance" in entry):
        return False
    tolerance = entry.get("tolerance", 0)
    if type(tolerance) not in (float, int) or tolerance:
        return False
    value = entry.get("value")
    return type(value) is float or (type(value) is int and abs(value) < _SURE)


def bare_column(kind: str, units: System | None, given: list[Any]) -> Spelled:
    """Read a column of bare numbers, nulls among them [SI].

    >>> bare_column("length", "inch", [4, None, 4.5]).numbers
    array([0.1016,    nan, 0.1143])
    """
    table = KINDS[kind]
    if units is None and kind not in BARE_KINDS:
        return all_left(given)
    unit = table.units[BARE if units is None else table.bare_means[units]]
    try:
        numbers = np.array(given, dtype=np.float64)
    except OverflowError:  # an integer may have any number of digits
        return all_left(given)
    numbers *= unit.factor
    numbers += unit.offset
    lost = ~np.isfinite(numbers)
    if not np.count_nonzero(lost):
        return Spelled(numbers, _NONE)
    numbers[lost] = np.nan
    return Spelled(numbers, np.array([place for place in np.flatnonzero(lost).tolist() if given[place] is not None], dtype=np.intp))
