"""What a part of a request stands for where the caller left the whole part out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np

from borewright.calculations.base.fields import Assumed, Quantity, RequestPart
from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.quantities import read_quantity

SPOKEN_TO = 0.05
"""A compression ratio is spoken of to a tenth: half of it either way hits the target [1]."""
SPOKEN = "common practice: a ratio is spoken of to a tenth"


def part_or_default(
    request: Mapping[str, Any], outcome: Outcome, name: str, part: type[RequestPart], *, within: str = ""
) -> Mapping[str, Any]:
    """A part of the request, or the defaults of its fields, which are then listed among the assumptions.

    request : the tree that may hold the part [SI]
    part : a part whose defaults are words or quantities
    within : dotted path of the tree that holds the part

    >>> from borewright.calculations.common.duty import DutyPart
    >>> outcome = Outcome({})
    >>> part_or_default({}, outcome, "duty", DutyPart)["aspiration"], outcome.assumptions[0].name
    ('natural', 'duty.aspiration')
    """
    if name in request:
        given: Mapping[str, Any] = request[name]
        return given
    values, assumptions = _defaults(part)
    path = f"{within}.{name}" if within else name
    outcome.assumptions.extend(replace(each, name=f"{path}.{each.name}") for each in assumptions)
    return values


@cache
def _defaults(part: type[RequestPart]) -> tuple[Mapping[str, Any], tuple[Assumption, ...]]:
    values: dict[str, Any] = {}
    assumptions = []
    for name, field in part().fields.items():
        assumed: Assumed | None = getattr(field, "assumed", None)
        if assumed is None:
            continue
        kind = field.kind if isinstance(field, Quantity) else None
        values[name] = assumed.value if kind is None else np.array([read_quantity(assumed.value, kind).value])
        assumptions.append(Assumption(name, values[name], assumed.basis, assumed.source, kind))
    return values, tuple(assumptions)
