"""Reading a quantity as a caller spells it: a string, an object or a bare number."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from borewright.quantities.units import KINDS, Kind, System

# 20 decimals: what the shortest round-tripping spelling of a double can need (0.00012345678901234567)
UNSIGNED = r"(?:[0-9]{1,18}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})(?:[eE][+-]?[0-9]{1,2})?"
_NUMBER = rf"[+-]?{UNSIGNED}"
_LENIENT = UNSIGNED.replace("[0-9]{1,2})?", "[0-9]{1,3})?")  # read, where it is finite; the pattern promises two digits of exponent
_UNIT = r"[^0-9±+\-.,_\s][^±]{0,15}?|1e-6/[A-Za-z]{1,4}|1"
_SPELLING = re.compile(
    rf"\s*(?P<value>[+-]?{_LENIENT})(?:\s*(?P<unit>{_UNIT}))?(?:\s*(?:±|\+/-)\s*(?P<tol>{_LENIENT})(?:\s*(?P<tol_unit>{_UNIT}))?)?\s*"
)
MAX_SPELLING = 200
_FRACTION = re.compile(r"\s*(?P<sign>[+-]?)(?:(?P<whole>[0-9]{1,6})[\s-]+)?(?P<over>[0-9]{1,6})/(?P<under>[0-9]{1,6})(?P<rest>[^0-9/]*)")
_COMMA = re.compile(r"[0-9],[0-9]")
BARE_KINDS = ("ratio",)  # a bare number is its own unit; a bare percentage could be 4 or 0.04, so it has to say


def spelling_pattern(kind: str, *, signed: bool) -> str:
    """The regular expression (ECMA and Python alike) of the spellings of a kind, for the OpenAPI document.

    Everything it matches is read without error; the reader itself is a little more lenient with blanks and exponents.

    >>> bool(re.fullmatch(spelling_pattern("length", signed=False), "0.051 in ± 0.001 in"))
    True
    """
    spelled = {unit: re.escape(unit).replace("\\ ", " ").replace("\\-", "-") for unit in KINDS[kind].units}
    # a unit that begins with a digit needs its blank: "31e-6/K" would be 31e-6 of "/K"
    units = "|".join((" " if unit[0].isdigit() else " ?") + pattern for unit, pattern in spelled.items())
    unit = f"(?:{units})" + ("?" if kind in BARE_KINDS else "")
    number = _NUMBER if signed else UNSIGNED
    both = f"{number}{unit}(?: ?(?:±|\\+/-) ?{UNSIGNED}{unit})?"
    shared = f"{number} ?(?:±|\\+/-) ?{UNSIGNED}{unit}"
    return f"^(?:{both}|{shared})$"


class QuantityError(ValueError):
    """A quantity that can't be read; the message says what would be accepted."""


class TooLargeError(QuantityError):
    """A quantity that is spelled as it should be and too large for a number in SI."""


@dataclass(frozen=True)
class Reading:
    """A quantity in SI, with the half-width of its tolerance."""

    value: float
    tolerance: float = 0.0


def read_quantity(given: object, kind: str, units: System | None = None) -> Reading:
    """Read one quantity of a kind into SI.

    given : "3.905 in", "0.051 ± 0.001 in", {"value", "unit", "tolerance"}, or a number where `units` is given
    kind : a name in `KINDS`
    units : what a bare number means, or None where the request does not say

    Raises QuantityError with a remedy for anything else.

    >>> read_quantity("12 mm ± 0.5 mm", "length")
    Reading(value=0.012, tolerance=0.0005)
    >>> read_quantity(3.905, "length")
    Traceback (most recent call last):
    borewright.quantities.reading.QuantityError: 3.905 has no unit: write it with one, like "3.905 in" or "3.905 mm", ...
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
        raise QuantityError(f'{given:g} has no unit: write it with one, like {like}, or say "units": "inch" or "metric" in the request')
    return _reading(given, "1" if units is None else table.bare_means[units], table)


def _from_string(given: str, table: Kind) -> Reading:
    if len(given) > MAX_SPELLING:
        raise QuantityError(f"{len(given)} characters are too many for a quantity: at most {MAX_SPELLING}")
    match = None if _FRACTION.fullmatch(given) else _SPELLING.fullmatch(given)  # "1/64 in" is no one of "/64 in"
    if match is None:
        raise QuantityError(f"{given!r} can't be read as a quantity: {_remedy(given)}write {_wanted(table)}")
    unit, tolerance, tolerance_unit = match["unit"], match["tol"], match["tol_unit"]
    if unit is None and tolerance is not None:
        unit = tolerance_unit
    elif tolerance is not None and tolerance_unit is None and table.name not in BARE_KINDS:
        raise QuantityError(f"the tolerance in {given!r} has no unit: write {_wanted(table)}")
    if unit is None:
        if table.name not in BARE_KINDS:
            raise QuantityError(f"{given!r} has no unit: write {_wanted(table)}")
        unit = "1"
    value = _reading(float(match["value"]), unit, table)
    if tolerance is None:
        return value
    return Reading(value.value, _scaled(float(tolerance), tolerance_unit or unit, table))


def _from_object(given: Mapping[object, object], table: Kind) -> Reading:
    unknown = [key for key in given if key not in ("value", "unit", "tolerance")]
    if unknown:
        raise QuantityError(f'{_shown(unknown[0])} is not part of a quantity: it has "value", "unit" and, if known, "tolerance"')
    value, unit, tolerance = given.get("value"), given.get("unit"), given.get("tolerance", 0.0)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise QuantityError('"value" must be a number, like {"value": 3.905, "unit": "in"}')
    if not isinstance(unit, str):
        raise QuantityError(f'"unit" must name a unit: one of {_listed(table)}')
    if isinstance(tolerance, bool) or not isinstance(tolerance, int | float) or not tolerance >= 0:
        raise QuantityError('"tolerance" must be a number of the same unit, zero or more')
    return Reading(_reading(_float(value), unit, table).value, _scaled(_float(tolerance), unit, table))


def _float(number: float) -> float:
    try:
        return float(number)
    except OverflowError:  # an integer of JSON may have any number of digits
        return math.inf


def _reading(value: float, unit: str, table: Kind) -> Reading:
    found = table.units[_known(unit, table)]
    si = value * found.factor + found.offset
    if not math.isfinite(si):
        raise TooLargeError("the number must be finite")
    return Reading(si)


def _scaled(tolerance: float, unit: str, table: Kind) -> float:
    scaled = tolerance * table.units[_known(unit, table)].factor
    if not math.isfinite(scaled):
        raise TooLargeError("the tolerance must be finite")
    return scaled


def _known(unit: str, table: Kind) -> str:
    unit = " ".join(unit.split())
    if unit in table.units:
        return unit
    other = next((kind.name for kind in KINDS.values() if unit in kind.units), None)
    if other is not None:
        raise QuantityError(f"{unit!r} is a unit of {_plain(other)}, and this must be {_with_article(table.name)}: one of {_listed(table)}")
    nearest = table.nearest(unit[:40])
    hint = f"did you mean {nearest!r}? Accepted" if nearest else "accepted"
    if table.name == "ratio" and unit.replace(" ", "") in (":1", "to1"):
        hint = 'write a ratio to one as its number alone, "10.5" for 10.5:1. Accepted'
    raise QuantityError(f"{unit[:40]!r} is not a known unit of {_plain(table.name)}: {hint} are {_listed(table)}")


def _remedy(given: str) -> str:
    """What to do about the spellings that people are used to and that are not read."""
    fraction = _FRACTION.fullmatch(given)
    if fraction is not None and int(fraction["under"]) > 0:
        decimal = int(fraction["whole"] or 0) + int(fraction["over"]) / int(fraction["under"])
        return f'fractions are not taken, so write "{fraction["sign"]}{decimal:.9g}{fraction["rest"].rstrip()}"; '
    if _COMMA.search(given):
        return "a comma is not taken, neither for decimals nor for thousands; "
    return ""


def _plain(name: str) -> str:
    return {"rotation": "rotational speed"}.get(name, name.replace("_", " "))


def _with_article(name: str) -> str:
    plain = _plain(name)
    return f"an {plain}" if plain[0] in "aeiou" else f"a {plain}"


def _listed(table: Kind) -> str:
    return ", ".join(table.units)


def _wanted(table: Kind) -> str:
    unit = table.inch
    return f'{_with_article(table.name)} with its unit, like "1.5 {unit}" or "1.5 {unit} ± 0.1 {unit}" (units: {_listed(table)})'


def _shown(given: object) -> str:
    return {None: "null", True: "true", False: "false"}.get(given, repr(given)[:40]) if isinstance(given, bool | None) else repr(given)[:40]
