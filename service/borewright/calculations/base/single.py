"""Answering one request: load, lay out tolerances, compute once, render."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from marshmallow import Schema

from borewright.calculations.base.answers import UnfinishedError, check_answer, figure, number, overall, render, results_in, wanted
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Quantity, Whole
from borewright.calculations.base.loading import Loaded, UsedDefault, load, readings
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Outcome
from borewright.calculations.base.problems import FieldError, ImpossibleBuild, InvalidRequest, pointer, refusal_of
from borewright.calculations.base.reach import Reach, reach
from borewright.physics.arrays import Undefined, undefined
from borewright.quantities import AdditivePlan, Reading, Summaries, System, ThoroughPlan, TolerancePlan, read_quantity
from borewright.rules.cautions import caution_texts

LAYOUTS: Mapping[str, type[TolerancePlan]] = {"additive": AdditivePlan, "thorough": ThoroughPlan}


def answer(calculation: Calculation, body: Any) -> dict[str, Any]:
    """Answer one request body.

    Raises InvalidRequest or ImpossibleBuild.

    >>> from borewright.calculations.base.registry import calculations
    >>> answer(calculations()["displacement"], {"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4})["displacement"]
    {'value': 1904.38193506, 'unit': 'cm3'}
    """
    return answer_loaded(calculation, load(calculation.request_schema, body))


def answer_loaded(calculation: Calculation, loaded: Loaded) -> dict[str, Any]:
    """Answer a request that was already read."""
    return answered(calculation, loaded).answer


@dataclass(frozen=True)
class Answered:
    """An answer with what it was made from.

    toleranced : the inputs that carry a tolerance, by their pointers
    found : what these make of the results; None where there are none or the calculation sets its bounds by itself
    """

    answer: dict[str, Any]
    outcome: Outcome
    toleranced: Mapping[str, Reading]
    found: Summaries | None

    def reaches(self) -> list[Reach]:
        """Each check of the answer, with what its toleranced inputs do to it."""
        shares = {share["input"]: float(share["contribution"]) for share in self.answer["sensitivity"]}
        return [
            reach(check, shown["verdict"], self.found, list(self.toleranced), shares)
            for check, shown in zip(self.outcome.checks, self.answer["checks"], strict=True)
        ]


def answered(calculation: Calculation, loaded: Loaded) -> Answered:
    """Answer a request that was already read, and keep what the answer was made from."""
    toleranced = [(steps, reading) for steps, reading in readings(loaded.data) if reading.tolerance > 0]
    if calculation.propagation != "interval" and len(toleranced) > calculation.most_toleranced:
        raise InvalidRequest(
            [
                FieldError(
                    pointer(*steps),
                    f"{len(toleranced)} inputs carry a tolerance, and the worst case over all of them is calculated for at most "
                    f"{calculation.most_toleranced}: leave out the ones that matter least",
                    Code.TOLERANCE_NOT_TAKEN,
                )
                for steps, _ in toleranced[calculation.most_toleranced :]
            ]
        )
    interval = calculation.propagation == "interval"
    layout = LAYOUTS.get(calculation.propagation, TolerancePlan)
    laid_out = [] if interval else [reading for _, reading in toleranced]
    plan = layout([r.value for r in laid_out], [r.below for r in laid_out], [r.above for r in laid_out])
    columns = {} if interval else {steps: plan.column(index) for index, (steps, _) in enumerate(toleranced)}
    inputs = arrays_of(calculation.request_schema, loaded.data, columns, interval=interval)
    with np.errstate(all="ignore"), undefined() as told:  # what is no number is refused below
        outcome = calculation.compute(inputs)
        _refuse(outcome, plan)
        found = Summaries(plan, [*results_in(outcome.values), *(check.value for check in outcome.checks)]) if plan.count else None
    try:
        results = render(calculation.answer_schema, outcome.values, loaded.system, found)
    except UnfinishedError as error:
        raise ImpossibleBuild(unanswered(str(error), told, inputs)) from None
    if told and found is not None:
        _refuse_corners(calculation, outcome, plan, told, inputs)
    checks = [check_answer(check, loaded.system, found) for check in outcome.checks]
    results["verdict"] = overall(check["verdict"] for check in checks)
    results["checks"] = checks
    results["cautions"] = caution_texts([*outcome.cautions, *calculation.cautions])
    results["assumptions"] = [*(shown_default(used, loaded.system) for used in loaded.defaults), *shown_choices(outcome, loaded.system)]
    stated = {pointer(*steps): reading for steps, reading in toleranced}
    results["sensitivity"] = _sensitivity(calculation, outcome, found, list(stated))
    return Answered(results, outcome, stated, found)


def arrays_of(
    schema: Schema,
    data: Mapping[str, Any],
    columns: Mapping[tuple[Any, ...], Any],
    steps: tuple[Any, ...] = (),
    *,
    interval: bool = False,
) -> dict[str, Any]:
    """The compute function's view of a loaded request: every number an array, everything else as it is."""
    return {
        name: _array_of(value, schema.fields.get(name), columns, (*steps, name), interval)
        for name, value in data.items()
        if name != "units"
    }


def _array_of(value: Any, field: Any, columns: Mapping[tuple[Any, ...], Any], steps: tuple[Any, ...], interval: bool) -> Any:
    if isinstance(value, Reading):
        if steps in columns:
            return columns[steps]
        if interval:
            return np.array([value.value, value.low, value.high])
        return np.array([value.value])
    if isinstance(value, Mapping):
        return arrays_of(field.schema, value, columns, steps, interval=interval)
    if isinstance(value, list):
        return [_array_of(entry, getattr(field, "inner", None), columns, (*steps, index), interval) for index, entry in enumerate(value)]
    if isinstance(field, Whole) and field.numeric:
        return columns[steps] if steps in columns else np.array([float(value)])
    return value


def _refuse(outcome: Outcome, plan: TolerancePlan) -> None:
    errors = []
    for impossible in outcome.impossible:
        if impossible.states[0]:
            errors.append(FieldError(impossible.pointer, impossible.detail, impossible.code))
        elif (plan.corners(impossible.states) if impossible.states.size == plan.size else impossible.states).any():
            errors.append(FieldError(impossible.pointer, f"at a corner of the stated tolerances: {impossible.detail}", impossible.code))
    if errors:
        raise refusal_of(errors)


def _refuse_corners(
    calculation: Calculation, outcome: Outcome, plan: TolerancePlan, told: Sequence[Undefined], inputs: Mapping[str, Any]
) -> None:
    """Refuse what a formula can't answer at a corner of the tolerances, where a result wants an answer."""
    points = plan.corners(np.arange(plan.size)).astype(np.intp)
    for name, value in wanted(calculation.answer_schema, outcome.values):
        if np.shape(value) == (plan.size,):
            lost = points[~np.isfinite(value[points])]
            if lost.size:
                found = unanswered(name, told, inputs, int(lost[0]))
                raise ImpossibleBuild(
                    [FieldError(one.pointer, f"at a corner of the stated tolerances: {one.detail}", one.code) for one in found]
                )


def unanswered(name: str, told: Sequence[Undefined], inputs: Mapping[str, Any], state: int = 0) -> list[FieldError]:
    """Why a result is no number in a state: what the formulas said of it, each at the input that it was said of.

    >>> bore = np.array([-0.1])
    >>> unanswered("swept_volume", [Undefined(bore, bore > 0.0, "bore must be above zero")], {"bore": bore})
    [FieldError(pointer='#/bore', detail='bore must be above zero', code=<Code.IMPOSSIBLE: 'impossible'>)]
    """
    found: dict[str, str] = {}
    for one in told:
        held = one.states()
        if not held[min(state, held.size - 1)]:
            place = next((steps for steps, array in _arrays(inputs) if array is one.values), ())
            found.setdefault(one.reason, pointer(*place))
    if not found:
        return [FieldError("#", f"with these inputs {name} does not come out as a number: check their sizes", Code.IMPOSSIBLE)]
    return [FieldError(place, reason, Code.IMPOSSIBLE) for reason, place in found.items()]


def _arrays(inputs: Any, steps: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Any]]:
    if isinstance(inputs, np.ndarray):
        yield steps, inputs
    elif isinstance(inputs, Mapping | list):
        for name, inner in inputs.items() if isinstance(inputs, Mapping) else enumerate(inputs):
            yield from _arrays(inner, (*steps, name))


def shown_default(used: UsedDefault, system: System) -> dict[str, Any]:
    """A default that was used, as the answer shows it."""
    return dict(_shown_default(used, system))


@lru_cache(maxsize=4096)
def _shown_default(used: UsedDefault, system: System) -> dict[str, Any]:
    kind = used.field.kind if isinstance(used.field, Quantity) else None
    return {
        "name": used.name,
        "value": _shown(used.assumed.value, kind, system),
        "basis": used.assumed.basis,
        "source": used.assumed.source,
    }


def shown_choices(outcome: Outcome, system: System) -> list[dict[str, Any]]:
    """What the calculation assumed by itself, as the answer shows it."""
    return [
        {
            "name": assumption.name,
            "value": assumption.value if assumption.kind is None else figure(assumption.value, assumption.kind, system),
            "basis": assumption.basis,
            "source": assumption.source,
        }
        for assumption in outcome.assumptions
    ]


def _shown(value: Any, kind: str | None, system: System) -> Any:
    if kind is None:
        return value
    return figure(read_quantity(value, kind).value, kind, system)


def _sensitivity(calculation: Calculation, outcome: Outcome, found: Summaries | None, inputs: list[str]) -> list[dict[str, Any]]:
    for output, variances in outcome.variances.items():
        if sum(variances.values()) > 0:
            return _shares(output, variances)
    if found is None:
        return []
    for dotted in calculation.headline:
        result: Any = outcome.values
        for step in dotted.split("."):
            result = result.get(step) if isinstance(result, Mapping) else None
        if result is None:
            continue
        shared = found.variances(result)
        if float(shared.sum()) > 0:
            return _shares(dotted, dict(zip(inputs, shared.tolist(), strict=True)))
    return []


def _shares(output: str, variances: Mapping[str, float]) -> list[dict[str, Any]]:
    """Each input's share of a result's variance, largest first."""
    total = sum(variances.values())
    shares = [{"input": name, "output": output, "contribution": number(variance / total)} for name, variance in variances.items()]
    return sorted(shares, key=lambda share: -float(share["contribution"] or 0.0))
