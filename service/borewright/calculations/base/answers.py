"""Answer fields and how SI arrays become quantities in the units asked for."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any

import numpy as np
from marshmallow import Schema, fields

from borewright.calculations.base.outcome import VERDICTS, WORST_LAST, Check, Measured, Verdict
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.practice.tables import EVERY_BASIS
from borewright.quantities import KINDS, Propagated, Summaries, System, rounded
from borewright.rules.judging import NOTHING
from borewright.rules.vocabulary import VOCABULARY


class Figure(fields.Field[Any]):
    """A computed quantity: {"value", "unit"} and, where an input had a tolerance, "low", "high", "uncertainty"."""

    def __init__(self, kind: str, text: str, *, nullable: bool = False) -> None:
        super().__init__(allow_none=nullable)
        self.kind, self.text, self.nullable = kind, text, nullable


class AnyFigure(fields.Field[Any]):
    """A computed quantity whose kind depends on what it is of: a check's value and its limits."""

    def __init__(self, text: str, *, nullable: bool = False) -> None:
        super().__init__(allow_none=nullable)
        self.text, self.nullable = text, nullable


class AnyValue(fields.Field[Any]):
    """A computed quantity of any kind, or a text, a number, true or false: what a default can be."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.text, self.nullable = text, False


class Word(fields.String):
    """A text of the answer."""

    def __init__(self, text: str, *, options: tuple[str, ...] = (), nullable: bool = False) -> None:
        super().__init__(allow_none=nullable)
        self.text, self.options, self.nullable = text, options, nullable


class Count(fields.Integer):
    """A whole number of the answer."""

    def __init__(self, text: str, *, nullable: bool = False) -> None:
        super().__init__(allow_none=nullable)
        self.text, self.nullable = text, nullable


class Truth(fields.Boolean):
    """true or false in the answer."""

    def __init__(self, text: str, *, nullable: bool = False) -> None:
        super().__init__(allow_none=nullable)
        self.text, self.nullable = text, nullable


class Plain(fields.Float):
    """A bare number of the answer that has no unit (a price in the caller's currency, a share)."""

    def __init__(self, text: str, *, nullable: bool = False) -> None:
        super().__init__(allow_none=nullable)
        self.text, self.nullable = text, nullable


class Section(fields.Nested):
    """An object of the answer."""

    def __init__(self, part: type[Schema], text: str, *, nullable: bool = False) -> None:
        super().__init__(part, allow_none=nullable)
        self.text, self.nullable = text, nullable


class Rows(fields.List[Any]):
    """A list of the answer."""

    def __init__(self, inner: fields.Field[Any], text: str) -> None:
        super().__init__(inner)
        self.text = text


class Table(fields.Dict):
    """An object whose names are data (reasons and counts)."""

    def __init__(self, inner: fields.Field[Any], text: str) -> None:
        super().__init__(keys=fields.String(), values=inner)
        self.inner, self.text = inner, text


class AnswerPart(Schema):
    """An object inside an answer: every member is always there, null where it may be null; a list is empty where there is nothing."""


class LimitsAnswer(AnswerPart):
    """The limits of a check."""

    low = AnyFigure("the smallest value that passes; null where that side is open", nullable=True)
    high = AnyFigure("the largest value that passes; null where that side is open", nullable=True)


class CheckAnswer(AnswerPart):
    """One check."""

    name = Word("what was checked; one name is one rule, wherever it is asked", options=tuple(VOCABULARY))
    verdict = Word("how it came out", options=VERDICTS)
    value = AnyFigure("what was found; null where it can't be known", nullable=True)
    limits = Section(LimitsAnswer, "the limits it was held against")
    reason = Word("why the limit is there and what to do")
    basis = Word("what kind of knowledge it rests on", options=EVERY_BASIS)
    source = Word("where the limit comes from")
    missing = Rows(Word("pointer to a field"), "fields of the request that would make an unknown value known; empty where it is known")


class AssumptionAnswer(AnswerPart):
    """One default that was used because the caller left it out."""

    name = Word("the field or setting")
    value = AnyValue("the value that was used")
    basis = Word("what kind of knowledge it rests on", options=EVERY_BASIS)
    source = Word("where it comes from")


class SensitivityAnswer(AnswerPart):
    """One input's share of the variance."""

    input = Word("pointer to the toleranced input")
    output = Word("the result whose variance is shared out")
    contribution = Plain("share of the variance, 0 to 1")


class Answer(AnswerPart):
    """What every answer carries besides its own results."""

    verdict = Word("the worst verdict of its checks: fail, watch, unknown, pass, in this order", options=VERDICTS)
    checks = Rows(fields.Nested(CheckAnswer), "each judged value")
    cautions = Rows(Word("a caution"), "what can hurt people or parts")
    assumptions = Rows(fields.Nested(AssumptionAnswer), "each default that was used")
    sensitivity = Rows(fields.Nested(SensitivityAnswer), "share of each tolerance in the variance, largest first; empty without tolerances")


COMMON_FIELDS = ("verdict", "checks", "cautions", "assumptions", "sensitivity")


class UnfinishedError(ArithmeticError):
    """A result came out as no number at all."""


def number(value: float) -> float | None:
    """A finite number rounded to 12 significant digits, or None.

    >>> number(10.270000000000001), number(float("nan"))
    (10.27, None)
    """
    return rounded(value) if math.isfinite(value) else None


@cache
def _scale(kind: str, system: System) -> tuple[str, float, float, float]:
    """The unit that a kind is answered in, with its factor and offset, and what is nothing of the kind [SI]."""
    unit = KINDS[kind].answer_unit(system)
    scale = KINDS[kind].units[unit]
    return unit, scale.factor, scale.offset, NOTHING.get(kind, 0.0)


def figure(value: Any, kind: str, system: System, found: Summaries | None = None) -> dict[str, Any] | None:
    """One quantity of the answer from an SI array (first element: nominal) or a Measured; None where it is not a number.

    found : what the tolerances make of the results

    >>> figure(np.array([0.1016]), "length", "inch")
    {'value': 4.0, 'unit': 'in'}
    """
    if value is None:
        return None
    unit, factor, offset, nothing = _scale(kind, system)
    known: Measured | Propagated | None
    if type(value) is np.ndarray:
        nominal, known = value.item(0), None if found is None else found.of(value)
    elif isinstance(value, Measured):
        nominal, known = value.value, value
    else:
        nominal = float(np.atleast_1d(np.asarray(value, dtype=np.float64))[0])
        known = None if found is None else found.of(value)
    shown = _in_unit(nominal, factor, offset, nothing)
    if shown is None:
        return None
    answer: dict[str, Any] = {"value": shown, "unit": unit}
    if known is not None:
        low, high, uncertainty = known.low, known.high, known.uncertainty
        if low is not None and high is not None:
            answer["low"] = shown if low == nominal else _in_unit(low, factor, offset, nothing)
            answer["high"] = shown if high == nominal else _in_unit(high, factor, offset, nothing)
        if uncertainty is not None:
            answer["uncertainty"] = _in_unit(uncertainty, factor, 0.0, nothing)
    return answer


def _in_unit(value: float, factor: float, offset: float, nothing: float) -> float | None:
    """A number in its unit, rounded; 0 for what is nothing of its kind, None for what is no number."""
    if offset and abs(value - offset) < nothing:  # nought degrees, reckoned in kelvins
        return 0.0
    shown = rounded(((0.0 if -nothing < value < nothing else value) - offset) / factor)
    return shown if shown - shown == 0.0 else None  # neither NaN nor infinite


def check_answer(check: Check, system: System, found: Summaries | None = None) -> dict[str, Any]:
    """One check of the answer, judged over the corners of the tolerances.

    >>> check_answer(Check("squish", "length", [0.0127], 0.0254, None, "", "common practice", ""), "inch")["verdict"]
    'fail'
    """

    def corners(inside: BoolArray) -> BoolArray:
        return found.plan.worst_inside(inside, check.margin) if found is not None and inside.size == found.plan.size else inside

    value = check.value
    known = found.of(value) if found is not None and type(value) is np.ndarray and value.shape == (found.plan.size,) else None
    limits = {"low": figure(check.low, check.kind, system), "high": figure(check.high, check.kind, system)}
    return {
        "name": check.name,
        "verdict": check.judge(corners, None if known is None else known.corners),
        "value": figure(check.value, check.kind, system, found),
        "limits": limits,
        "reason": check.reason,
        "basis": check.basis,
        "source": check.source,
        "missing": list(check.missing),
    }


def overall(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of some verdicts: fail, watch, unknown, pass, in this order; pass where nothing was judged.

    >>> overall(["pass", "unknown"]), overall([])
    ('unknown', 'pass')
    """
    return max(verdicts, key=WORST_LAST.index, default="pass")


def render(schema: Schema, values: Mapping[str, Any], system: System, found: Summaries | None = None) -> dict[str, Any]:
    """Turn a tree of SI arrays into the answer its schema describes; an absent value is null, an absent list is empty.

    What every answer carries at its top is added by the caller; checks further in (of one plan among several) are rendered here.

    Raises UnfinishedError where a figure that can't be null is not a number.

    >>> from borewright.calculations.base.registry import calculations
    >>> render(calculations()["displacement"].answer_schema, {"swept_volume": np.array([5e-4])}, "metric")["swept_volume"]
    {'value': 500.0, 'unit': 'cm3'}
    """
    return _tree(schema, values, system, found, COMMON_FIELDS if isinstance(schema, Answer) else ())


def results_in(values: Any) -> Iterator[FloatArray]:
    """Every array in a tree of results.

    >>> list(results_in({"one": np.array([1.0]), "more": [{"two": np.array([2.0]), "word": "x"}]}))
    [array([1.]), array([2.])]
    """
    found: list[FloatArray] = []
    _gather(values, found)
    return iter(found)


def _gather(values: Any, found: list[FloatArray]) -> None:
    if isinstance(values, np.ndarray):
        found.append(values)
    elif isinstance(values, Mapping):
        for inner in values.values():
            _gather(inner, found)
    elif isinstance(values, list):
        for inner in values:
            _gather(inner, found)
    elif isinstance(values, Check):
        _gather(values.value, found)


def wanted(schema: Schema, values: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """The figures of a tree of results that can't be null, those in lists too.

    >>> from borewright.calculations.base.registry import calculations
    >>> list(wanted(calculations()["displacement"].answer_schema, {"swept_volume": np.array([5e-4])}))
    [('swept_volume', array([0.0005]))]
    """
    for name, field in schema.fields.items():
        if name in values and name not in COMMON_FIELDS and values[name] is not None:
            yield from _wanted(field, values[name], name)


def _wanted(field: fields.Field[Any], value: Any, name: str) -> Iterator[tuple[str, Any]]:
    if isinstance(field, Figure):
        if not field.nullable and not isinstance(value, Measured):
            yield name, value
    elif isinstance(field, fields.Nested) and isinstance(value, Mapping):
        yield from wanted(field.schema, value)
    elif isinstance(field, fields.List):
        for entry in value:
            yield from _wanted(field.inner, entry, name)


def _tree(
    schema: Schema, values: Mapping[str, Any], system: System, found: Summaries | None, apart: tuple[str, ...] = ()
) -> dict[str, Any]:
    return {name: _rendered(field, values.get(name), system, found, name) for name, field in schema.fields.items() if name not in apart}


def _rendered(field: fields.Field[Any], value: Any, system: System, found: Summaries | None, name: str) -> Any:
    if value is None:
        return [] if isinstance(field, fields.List) else {} if isinstance(field, Table) else None
    if isinstance(field, Figure):
        shown = figure(value, field.kind, system, found)
        if shown is None and not field.nullable:
            raise UnfinishedError(name)
        return shown
    if isinstance(value, Check):
        return check_answer(value, system, found)
    if isinstance(field, fields.Nested):
        return _tree(field.schema, value, system, found)
    if isinstance(field, fields.List):
        return [_rendered(field.inner, entry, system, found, f"{name}[{index}]") for index, entry in enumerate(value)]
    if isinstance(field, Table):
        return {key: _rendered(field.inner, entry, system, found, key) for key, entry in value.items()}
    if isinstance(field, Plain):
        shown_number = number(float(np.atleast_1d(value)[0]))
        if shown_number is None and not field.nullable:
            raise UnfinishedError(name)
        return shown_number
    if isinstance(field, Count):
        return int(np.atleast_1d(value)[0])
    if isinstance(field, Truth):
        return bool(np.atleast_1d(value)[0])
    if isinstance(value, np.ndarray):
        return str(value.flat[0])
    return value
