"""Crank and rod of a request: refused where they can't turn, or where the rod's length is given twice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Outcome
from borewright.physics.arrays import FloatArray

SAME = 1e-9  # m: two rod lengths nearer than this are the same


def rod_that_turns(stroke: FloatArray, rod: FloatArray, offset: FloatArray, pointer: str, outcome: Outcome) -> FloatArray:
    """The rod's length [m]; one too short to turn is refused.

    stroke, rod, offset : [m]
    pointer : where the rod length stands in the request

    >>> outcome = Outcome({})
    >>> rod_that_turns(np.array([0.08]), np.array([0.03, 0.15]), np.zeros(1), "#/rod_length", outcome).tolist()
    [nan, 0.15]
    >>> outcome.impossible[0].pointer
    '#/rod_length'
    """
    short = rod <= stroke / 2 + np.abs(offset)
    return outcome.possible(
        rod, short, pointer, "the rod must be longer than the crank throw and the pin offset together, or the crank can't turn"
    )


def refuse_other_rod(request: Mapping[str, Any], outcome: Outcome) -> None:
    """Refuse a rod length beside a stack that says another.

    request : the arrays of a request with `rod_length` and `stack`, either of which may be missing [SI]

    >>> outcome = Outcome({})
    >>> refuse_other_rod({"rod_length": np.array([0.15]), "stack": {"rod_length": np.array([0.14])}}, outcome)
    >>> outcome.impossible[0].pointer
    '#/rod_length'
    """
    if "rod_length" in request and "stack" in request:
        outcome.refuse_where(
            np.abs(request["rod_length"] - request["stack"]["rod_length"]) > SAME,
            "#/rod_length",
            "this differs from the rod length in the stack: give it once",
            Code.GIVEN_TWICE,
        )


@dataclass(frozen=True)
class Linkage:
    """A crank and rod that turn [m]."""

    stroke: FloatArray
    rod_length: FloatArray
    pin_offset: FloatArray


def linkage(request: Mapping[str, Any], outcome: Outcome, stroke: FloatArray, rod: FloatArray, pointer: str) -> Linkage:
    """Crank, rod and pin offset of a request; a rod too short to turn is refused.

    pointer : where the rod length stands in the request

    >>> outcome = Outcome({})
    >>> found = linkage({}, outcome, np.array([0.08]), np.array([0.03]), "#/rod/length")
    >>> float(found.rod_length[0]), outcome.impossible[0].pointer
    (nan, '#/rod/length')
    """
    offset = np.asarray(request.get("pin_offset", np.zeros(1)))
    return Linkage(stroke, rod_that_turns(stroke, rod, offset, pointer, outcome), offset)
