"""A quantity of an answer: converted, compared, formatted."""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction
from numbers import Real
from typing import Any

from borewright_client._errors import WrongUnit
from borewright_client._model import Model
from borewright_client._units import SPELLINGS, UNITS

_SPELLED = re.compile(r"([+-]?)((?:\d+\s+)?\d+/\d+|(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(\S.*)?")
# What Python writes of a number (its documentation, "Format Specification Mini-Language"), and a unit behind it.
_FORMAT = re.compile(r"((?:.?[<>=^])?[-+ ]?z?#?0?\d*[,_]?(?:\.\d+)?[eEfFgGn%]?)(?:(?<!.)|(?<=.)\s+|$)(.*)")
_DIGITS = 12  # what the service rounds its figures to


class Measured(Model):
    """A quantity of an answer; the band is there where an input had a tolerance.

    Two are compared in one unit, as far as the digits that the service answers go. A text with its unit can stand for one, and a number
    for a ratio, but neither finds it in a set. `float` takes the number in its unit.

    >>> squish = Measured({"value": 0.04, "unit": "in", "low": 0.038, "high": 0.042, "uncertainty": 0.0023})
    >>> squish.to("mm").value, squish > "1 mm", float(squish)
    (1.016, True, 0.04)
    >>> f"{squish:.3f}", f"{squish:.2f mm}", f"{squish.to('mm')}"
    ('0.040 in', '1.02 mm', '1.016 mm')
    """

    value: float
    unit: str
    low: float | None
    high: float | None
    uncertainty: float | None
    __slots__ = ()

    __array_ufunc__ = None  # NumPy's numbers leave a comparison to this

    def to(self, unit: str) -> Measured:
        """The same quantity in another unit of its kind, spelled in any way that the service reads.

        Raises WrongUnit, also for kelvins in degrees with a zero of their own: in an answer they are a difference ("delta_degF").

        >>> Measured({"value": 100.0, "unit": "degC"}).to("degF").value
        212.0
        >>> Measured({"value": 10.0, "unit": "K"}).to("delta_degF").value
        18.0
        """
        if UNITS[_unit(unit)][2] and not UNITS[_unit(self.unit)][2]:
            raise WrongUnit(
                f"{self.unit} is a difference of temperatures, and {unit} is none: is delta_{_unit(unit).removeprefix('delta_')} meant?"
            )
        return self._into(unit)

    def _into(self, unit: str) -> Measured:
        here, there, wanted = UNITS[_unit(self.unit)], UNITS[_unit(unit)], _unit(unit)
        if here[0] != there[0] and not (_is_heat(here) and _is_heat(there) and "K" in (self.unit, wanted)):
            raise WrongUnit(f"{self.unit} is {here[0]}, and {unit} is {there[0]}")
        factor, shift = here[1] / there[1], (here[2] - there[2]) / there[1]
        raw: dict[str, object] = {"value": _rounded(self.value * factor + shift), "unit": wanted}
        for name, bound in (("low", self.low), ("high", self.high)):
            if bound is not None:
                raw[name] = _rounded(bound * factor + shift)
        if self.uncertainty is not None:
            raw["uncertainty"] = _rounded(self.uncertainty * factor)
        return Measured(raw)

    def __float__(self) -> float:
        return float(self.value)

    def __array__(self, dtype: Any = None, copy: bool | None = None) -> Any:
        """For NumPy one object, and no column of its members: a number only where one is asked for."""
        import numpy

        found = numpy.empty((), dtype=object)
        found[()] = self
        return found if dtype is None else found.astype(dtype)

    def __str__(self) -> str:
        return format(self)

    def __format__(self, spec: str) -> str:
        found = _FORMAT.fullmatch(spec)
        if found is not None and found[2]:
            return format(self.to(found[2].strip()), found[1])
        number = format(self.value, spec or ".6g")
        return number if self.unit == "1" else f"{number} {self.unit}"

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Measured | str | Real | Decimal):
            return super().__eq__(other)
        try:
            return _same(self._beside(other), self.value)
        except WrongUnit:
            return False

    def __hash__(self) -> int:
        return hash(UNITS[self.unit][0].partition(" ")[0] if self.unit in UNITS else self.unit)  # equal ones differ in their last digits

    def __lt__(self, other: Measured | str | float | Decimal) -> bool:
        return self._beside(other) > self.value and self != other if _comparable(other) else NotImplemented

    def __le__(self, other: Measured | str | float | Decimal) -> bool:
        return self._beside(other) > self.value or self == other if _comparable(other) else NotImplemented

    def __gt__(self, other: Measured | str | float | Decimal) -> bool:
        return self._beside(other) < self.value and self != other if _comparable(other) else NotImplemented

    def __ge__(self, other: Measured | str | float | Decimal) -> bool:
        return self._beside(other) < self.value or self == other if _comparable(other) else NotImplemented

    def _beside(self, other: Measured | str | Real | float | Decimal) -> float:
        """The value of another quantity in the unit of this one."""
        if isinstance(other, str):
            return _read(other)._into(self.unit).value
        if isinstance(other, Measured):
            return other._into(self.unit).value
        if self.unit != "1":
            raise WrongUnit(f"a number alone can't be compared with {self}: give its unit, like '{float(other):g} {self.unit}'")
        return float(other)


def _comparable(other: object) -> bool:
    return isinstance(other, Measured | str | Real | Decimal)


def _is_heat(scale: tuple[str, float, float]) -> bool:
    return scale[0].startswith("temperature")


def _read(text: str) -> Measured:
    """A quantity as people write it.

    >>> _read("1 1/32 in").value, _read("10.5").unit
    (1.03125, '1')
    """
    found = _SPELLED.fullmatch(text.replace("\u2212", "-").strip())
    if found is None:
        raise WrongUnit(f"{text!r} is no quantity like '1.2 mm'")
    sign, number, unit = found.groups()
    try:
        value = float(sum(map(Fraction, number.split())))
    except (ZeroDivisionError, OverflowError):
        raise WrongUnit(f"{text!r} is no quantity like '1.2 mm'") from None
    return Measured({"value": -value if sign == "-" else value, "unit": "1" if unit is None else unit})


def _unit(spelled: str) -> str:
    """The unit that a spelling stands for."""
    if spelled in UNITS:
        return spelled
    if spelled in SPELLINGS:
        return SPELLINGS[spelled]
    raise WrongUnit(f"{spelled!r} is no unit that the service answers in or reads")


def _same(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=10.0 ** (2 - _DIGITS), abs_tol=0.0)


def _rounded(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")
