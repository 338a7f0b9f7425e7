"""Reading a quantity as a caller spells it: a string, an object or a bare number."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import TypeGuard

from borewright.quantities.units import KINDS, Kind, System, Unit

_DECIMAL = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+−]?[0-9]{1,2})?"  # how long a text may be is said apart
_FRACTION = r"(?:[0-9]+[ -])?[0-9]+/[1-9][0-9]*"  # 1/64, 4 1/32 or 4-1/32
_PLAIN = r"(?:[0-9]+\.?[0-9]*|\.[0-9]+)"  # what the document says of tolerances; fractions and powers of ten are read there as well
UNSIGNED = rf"(?:{_FRACTION}|{_DECIMAL})"
_NUMBER = rf"[-+−]?{UNSIGNED}"
_READ = UNSIGNED.replace("[0-9]{1,2})?", "[0-9]{1,3})?").replace("[ -]", r"(?:\s{1,3}|-)")  # read, where it is finite
_UNIT = r"[^0-9±+\-.,/_\s][^±+]{0,15}?|(?:1e-6|10⁻⁶)/[°A-Za-z]{1,4}|1"


def _side(name: str) -> str:
    """One side of a one-sided tolerance: its sign, its number, its unit."""
    return rf"(?P<{name}_sign>[+-])\s*(?P<{name}>{_READ})(?:\s*(?P<{name}_unit>{_UNIT}))?"


_EQUAL = rf"(?:±|\+/-)\s*(?P<both>{_READ})(?:\s*(?P<both_unit>{_UNIT}))?"
_SPELLING = re.compile(
    rf"\s*(?P<value>[+-]?{_READ})(?:\s*(?P<unit>{_UNIT}))?(?:\s*(?:{_EQUAL}|{_side('first')}\s*/?\s*{_side('second')}))?\s*"
)
MAX_SPELLING = 200
_COMMA = re.compile(r"[0-9],[0-9]")
_ONE_SIDE = re.compile(r"[^±]*[0-9][^0-9±]{0,15}(?<![eE])[+-]\s?[0-9.]{1,20}[^0-9±]{0,15}")
BARE_KINDS = ("ratio",)  # a bare number is its own unit; a bare percentage could be 4 or 0.04, so it has to say


def spelling_pattern(kind: str, *, signed: bool) -> str:
    """The regular expression (ECMA and Python alike) of the spellings of a kind, for the OpenAPI document.

    Everything it matches is read without error; the reader itself is a little more lenient with blanks, exponents and fractions.

    >>> bool(re.fullmatch(spelling_pattern("length", signed=False), "0.051 in ± 0.001 in"))
    True
    """
    table = KINDS[kind]
    spelled = {unit: re.escape(unit).replace("\\ ", " ").replace("\\-", "-") for unit in (*table.units, *table.also)}
    close = "|".join(pattern for unit, pattern in spelled.items() if not unit[0].isdigit())
    # a unit that begins with a digit needs its blank: "31e-6/K" would be 31e-6 of "/K"
    apart = "".join(f"| {pattern}" for unit, pattern in spelled.items() if unit[0].isdigit())
    unit = (f"(?: ?(?:{close}){apart})" if close else f"(?:{apart[1:]})") + ("?" if kind in BARE_KINDS else "")
    number = _NUMBER if signed else UNSIGNED
    tolerance = f" ?(?:(?:±|\\+/[-−]) ?|\\+{_PLAIN} ?/ ?[-−]){_PLAIN}"
    return f"^{number}(?:{unit.removesuffix('?')}?{tolerance})?{unit}$".replace("(?:", "(")  # shorter; nobody asks for its groups


class QuantityError(ValueError):
    """A quantity that can't be read; the message says what would be accepted."""


class TooLargeError(QuantityError):
    """A quantity that is spelled as it should be and too large for a number in SI."""


class SpellingTooLongError(QuantityError):
    """A text too long for any quantity."""


class NoUnitError(QuantityError):
    """A number without a unit, where none is agreed."""


class UnknownUnitError(QuantityError):
    """A unit that is none."""


class OtherKindError(QuantityError):
    """A unit of another kind of quantity."""


@dataclass(frozen=True)
class Reading:
    """A quantity in SI, and how far its tolerance reaches below and above it."""

    value: float
    below: float = 0.0
    above: float = 0.0

    @property
    def low(self) -> float:
        """The lower end of the tolerance."""
        return self.value - self.below

    @property
    def high(self) -> float:
        """The upper end of the tolerance."""
        return self.value + self.above

    @property
    def tolerance(self) -> float:
        """Half the width of the tolerance.

        >>> Reading(4.0, 1.0, 3.0).tolerance
        2.0
        """
        return self.below + (self.above - self.below) / 2.0


def read_quantity(given: object, kind: str, units: System | None = None) -> Reading:
    """Read one quantity of a kind into SI.

    given : "3.905 in", "4 1/32 in", "0.051 ± 0.001 in", "3.892 in +0.001/-0.000 in", {"value", "unit", "tolerance"}, or a number where
        `units` is given
    kind : a name in `KINDS`
    units : what a bare number means, or None where the request does not say

    Raises QuantityError with a remedy for anything else.

    >>> read_quantity("12 mm ± 0.5 mm", "length")
    Reading(value=0.012, below=0.0005, above=0.0005)
    >>> read_quantity({"value": 12, "unit": "mm", "tolerance": {"plus": 0.5, "minus": 0}}, "length")
    Reading(value=0.012, below=0.0, above=0.0005)
    >>> read_quantity(3.905, "length")
    Traceback (most recent call last):
    borewright.quantities.reading.NoUnitError: 3.905 has no unit: write it with one, like "3.905 in" or "3.905 mm", ...
    """
    table = KINDS[kind]
    if isinstance(given, bool) or given is None:
        raise QuantityError(f"{_shown(given)} is not a quantity: write {_wanted(table)}")
    if isinstance(given, int | float):
        return _from_number(given, table, units)
    if isinstance(given, str):
        return _from_string(given, table)
    if isinstance(given, Mapping):
        return _from_object(given, table)
    raise QuantityError(f"this is not a quantity: write {_wanted(table)}")


def _from_number(number: float, table: Kind, units: System | None) -> Reading:
    given = _float(number)
    if not math.isfinite(given):
        raise QuantityError("the number must be finite")
    if units is None and table.name not in BARE_KINDS:
        first, second = table.inch, table.metric
        like = f'"{given:g} {first}"' if first == second else f'"{given:g} {first}" or "{given:g} {second}"'
        raise NoUnitError(f'{given:g} has no unit: write it with one, like {like}, or say "units": "inch" or "metric" in the request')
    return Reading(_si(given, "1" if units is None else table.bare_means[units], table))


def _from_string(given: str, table: Kind) -> Reading:
    if len(given) > MAX_SPELLING:
        raise SpellingTooLongError(f"{len(given)} characters are too many for a quantity: at most {MAX_SPELLING}")
    match = _SPELLING.fullmatch(given.replace("−", "-"))
    if match is None:
        raise QuantityError(f"{given!r} can't be read as a quantity: {_remedy(given)}write {_wanted(table)}")
    sides = _sides(match, given)
    last = sides[-1][2] if sides else None
    unit = match["unit"] or last
    if unit is None:
        if table.name not in BARE_KINDS:
            raise NoUnitError(f"{given!r} has no unit: write {_wanted(table)}")
        unit = "1"
    elif sides and last is None and table.name not in BARE_KINDS:
        raise NoUnitError(f"the tolerance in {given!r} has no unit: write {_wanted(table)}")
    value = _si(_number(match["value"]), unit, table)
    if not sides:
        return Reading(value)
    reach = {sign: _scaled(_number(size), own or last or unit, table) for sign, size, own in sides}
    return Reading(value, reach.get("-", 0.0), reach.get("+", 0.0))


def _sides(match: re.Match[str], given: str) -> list[tuple[str, str, str | None]]:
    """Sign, number and unit of each side of a tolerance; none where there is no tolerance."""
    if match["both"] is not None:
        return [(sign, match["both"], match["both_unit"]) for sign in "+-"]
    if match["first"] is None:
        return []
    sides = [(match[f"{name}_sign"], match[name], match[f"{name}_unit"]) for name in ("first", "second")]
    if sides[0][0] == sides[1][0]:
        raise QuantityError(f"the tolerance in {given!r} has two sides of one sign: write it around the size, like +0.001/-0.000 in")
    return sides


def _number(written: str) -> float:
    """A decimal number, or a fraction with or without a whole number before it.

    >>> _number("-4 1/32"), _number("1/64"), _number("4-1/2"), _number("3.892")
    (-4.03125, 0.015625, 4.5, 3.892)
    """
    if "/" not in written:
        return float(written)
    sign = -1.0 if written[0] == "-" else 1.0
    *whole, fraction = re.split(r"[\s-]+", written.lstrip("+-"))
    over, under = fraction.split("/")
    return sign * (sum(int(part) for part in whole) + int(over) / int(under))


def _from_object(given: Mapping[object, object], table: Kind) -> Reading:
    unknown = [key for key in given if key not in ("value", "unit", "tolerance")]
    if unknown:
        raise QuantityError(f'{_shown(unknown[0])} is not part of a quantity: it has "value", "unit" and, if known, "tolerance"')
    value, unit, tolerance = given.get("value"), given.get("unit"), given.get("tolerance", 0.0)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise QuantityError('"value" must be a number, like {"value": 3.905, "unit": "in"}')
    if not isinstance(unit, str):
        raise UnknownUnitError(f'"unit" must name a unit: one of {_listed(table)}')
    below, above = (_scaled(_float(side), unit, table) for side in _sides_of(tolerance))
    return Reading(_si(_float(value), unit, table), below, above)


def _sides_of(tolerance: object) -> tuple[int | float, int | float]:
    """How far a tolerance of an object reaches below and above."""
    if isinstance(tolerance, Mapping):
        below, above = tolerance.get("minus"), tolerance.get("plus")
        if len(tolerance) == 2 and _is_size(below) and _is_size(above):
            return below, above
        raise QuantityError('a one-sided "tolerance" has "plus" and "minus", each a number of the same unit, zero or more')
    if not _is_size(tolerance):
        raise QuantityError('"tolerance" must be a number of the same unit, zero or more, or {"plus": …, "minus": …}')
    return tolerance, tolerance


def _is_size(given: object) -> TypeGuard[int | float]:
    return isinstance(given, int | float) and not isinstance(given, bool) and given >= 0


def _float(number: float) -> float:
    try:
        return float(number)
    except OverflowError:  # an integer of JSON may have any number of digits
        return math.inf


def _si(value: float, unit: str, table: Kind) -> float:
    found = _known(unit, table)
    si = value * found.factor + found.offset
    if not math.isfinite(si):
        raise TooLargeError("the number must be finite")
    return si


def _scaled(tolerance: float, unit: str, table: Kind) -> float:
    difference = KINDS["temperature_difference"] if table.name == "temperature" else table
    scaled = tolerance * _known(unit, difference).factor
    if not math.isfinite(scaled):
        raise TooLargeError("the tolerance must be finite")
    return scaled


def _known(unit: str, table: Kind) -> Unit:
    found = table.units.get(unit)
    if found is not None:
        return found
    unit = " ".join(unit.split())
    found = table.read(unit)
    if found is not None:
        return found
    other = next((kind.name for kind in KINDS.values() if kind.read(unit) is not None), None)
    if other is not None:
        raise OtherKindError(
            f"{unit!r} is a unit of {plain_name(other)}, and this must be {_with_article(table.name)}: one of {_listed(table)}"
        )
    nearest = table.nearest(unit[:40])
    hint = f"did you mean {nearest!r}? Accepted" if nearest else "accepted"
    raise UnknownUnitError(f"{unit[:40]!r} is not a known unit of {plain_name(table.name)}: {hint} are {_listed(table)}")


def _remedy(given: str) -> str:
    """What to do about the spellings that people are used to and that are not read."""
    if _COMMA.search(given):
        return "a comma is not taken, neither for decimals nor for thousands; "
    if _ONE_SIDE.fullmatch(given):
        return "a one-sided tolerance is written with both its sides, like +0.001/-0.000 in; "
    return ""


def plain_name(name: str) -> str:
    """What a kind is called in a sentence.

    >>> plain_name("rotation"), plain_name("volume_per_length")
    ('rotational speed', 'volume per length')
    """
    return {"rotation": "rotational speed"}.get(name, name.replace("_", " "))


def _with_article(name: str) -> str:
    plain = plain_name(name)
    return f"an {plain}" if plain[0] in "aeiou" else f"a {plain}"


def _listed(table: Kind) -> str:
    return ", ".join(table.units)


def _wanted(table: Kind) -> str:
    return _wanted_of(table.name)


@cache
def _wanted_of(kind: str) -> str:
    table = KINDS[kind]
    unit = table.inch
    return f'{_with_article(table.name)} with its unit, like "1.5 {unit}" or "1.5 {unit} ± 0.1 {unit}" (units: {_listed(table)})'


def _shown(given: object) -> str:
    return {None: "null", True: "true", False: "false"}.get(given, repr(given)[:40]) if isinstance(given, bool | None) else repr(given)[:40]
