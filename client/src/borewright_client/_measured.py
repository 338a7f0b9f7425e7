"""A quantity of an answer: converted, compared, formatted."""

from __future__ import annotations

import math
import re
from functools import total_ordering

from borewright_client._errors import WrongUnit
from borewright_client._model import Model
from borewright_client._units import UNITS

_SPELLED = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(\S.*?)?\s*")
_SIGNS = {None: "1", ":1": "1", '"': "in", "\u2033": "in"}  # 10.5:1, 0.040"
_DIGITS = 12  # what the service rounds its figures to


@total_ordering
class Measured(Model):
    """A quantity of an answer; the band is there where an input had a tolerance.

    Two are compared in one unit, as far as the digits that the service answers go. A text with its unit can stand for one, and a number
    for a ratio, but neither finds it in a set.

    >>> squish = Measured({"value": 0.04, "unit": "in", "low": 0.038, "high": 0.042, "uncertainty": 0.0023})
    >>> squish.to("mm").value, squish > "1 mm", float(squish)
    (1.016, True, 0.04)
    >>> f"{squish:.3f}", f"{squish.to('mm')}"
    ('0.040 in', '1.016 mm')
    """

    value: float
    unit: str
    low: float | None
    high: float | None
    uncertainty: float | None
    __slots__ = ()

    def to(self, unit: str) -> Measured:
        """The same quantity in another unit of its kind.

        Raises WrongUnit.

        >>> Measured({"value": 100.0, "unit": "degC"}).to("degF").value
        212.0
        """
        here, there = _scale(self.unit), _scale(unit)
        if here[0] != there[0]:
            raise WrongUnit(f"{self.unit} is {here[0]}, and {unit} is {there[0]}")
        factor, shift = here[1] / there[1], (here[2] - there[2]) / there[1]
        raw: dict[str, object] = {"value": _rounded(self.value * factor + shift), "unit": unit}
        for name, bound in (("low", self.low), ("high", self.high)):
            if bound is not None:
                raw[name] = _rounded(bound * factor + shift)
        if self.uncertainty is not None:
            raw["uncertainty"] = _rounded(self.uncertainty * factor)
        return Measured(raw)

    def __float__(self) -> float:
        return float(self.value)

    def __str__(self) -> str:
        return format(self)

    def __format__(self, spec: str) -> str:
        number = format(self.value, spec or ".6g")
        return number if self.unit == "1" else f"{number} {self.unit}"

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Measured | str | int | float):
            try:
                return _same(self._beside(other), self.value)
            except WrongUnit:
                return False
        return super().__eq__(other)

    def __hash__(self) -> int:
        return hash(UNITS[self.unit][0] if self.unit in UNITS else self.unit)  # equal ones differ in their last digits

    def __lt__(self, other: Measured | str | float) -> bool:
        there = self._beside(other)
        return self.value < there and not _same(self.value, there)

    def _beside(self, other: Measured | str | float) -> float:
        if isinstance(other, str):
            found = _SPELLED.fullmatch(other)
            if found is None:
                raise WrongUnit(f"{other!r} is no quantity like '1.2 mm'")
            return Measured({"value": float(found[1]), "unit": _SIGNS.get(found[2], found[2])}).to(self.unit).value
        if isinstance(other, Measured):
            return other.to(self.unit).value
        if self.unit != "1":
            raise WrongUnit(f"a number alone can't be compared with {self}: give its unit, like '{other:g} {self.unit}'")
        return float(other)


def _scale(unit: str) -> tuple[str, float, float]:
    try:
        return UNITS[unit]
    except KeyError:
        raise WrongUnit(f"{unit!r} is no unit that the service answers in or reads") from None


def _same(one: float, other: float) -> bool:
    return math.isclose(one, other, rel_tol=10.0 ** (2 - _DIGITS), abs_tol=0.0)


def _rounded(value: float) -> float:
    return float(f"{value:.{_DIGITS}g}")
