"""A small calculation which has every kind of field and a closed form for everything it answers, and one with a field of two shapes."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.answers import Answer, AnswerPart, Count, Figure, Plain, Rows, Section, Table, Truth, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import (
    Assumed,
    Choice,
    Flag,
    Label,
    Many,
    Part,
    Price,
    Quantity,
    QuantityOrPart,
    Request,
    RequestPart,
    Text,
    Whole,
)
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Check, Outcome
from borewright.calculations.base.problems import Refusal
from borewright.calculations.base.single import answer


class SizePart(RequestPart):
    """A part with alternatives."""

    alternatives = ((("diameter",), ("area",)),)
    diameter = Quantity("length", "1 mm", "100 mm", "a diameter")
    area = Quantity("area", "1 mm2", "10000 mm2", "an area")
    note = Text(10, "a note")


class HolePart(RequestPart):
    """A part of a list, with a default inside."""

    number = Label(1, 9, "its number", required=True)
    depth = Quantity("length", "0 mm", "50 mm", "its depth", required=True)
    angle = Quantity("angle", "0 deg", "90 deg", "its angle", assumed=Assumed("90 deg", "common practice", "square to the face"))


class PlateRequest(Request):
    """Every kind of field."""

    length = Quantity("length", "10 mm", "1 m", "the long side", required=True)
    width = Quantity("length", "10 mm", "1 m", "the short side", required=True)
    offset = Quantity("length", "-5 mm", "5 mm", "an offset", assumed=Assumed("0 mm", "common practice", "in the middle"))
    temperature = Quantity(
        "temperature", "-40 degC", "200 degC", "how warm it is", assumed=Assumed("20 degC", "published", "ISO 1, reference temperature")
    )
    pieces = Whole(1, 24, "how many", required=True)
    finish = Choice(("ground", "milled"), "how it is finished", assumed=Assumed("milled", "common practice", "the usual case"))
    name = Text(20, "what it is called")
    code = Text(8, "its code", pattern=r"^[a-z]+$")
    drilled = Flag("whether it is drilled")
    price = Price("what it costs")
    size = Part(SizePart, "a size")
    holes = Many(Part(HolePart, "one hole"), "the holes", longest=3)
    weights = Many(Quantity("mass", "0 g", "1 kg", "a weight"), "weights", shortest=2, longest=4)


class HoleAnswer(AnswerPart):
    """One hole."""

    number = Count("its number")
    depth = Figure("length", "its depth")


class PlateAnswer(Answer):
    """Every kind of result."""

    area = Figure("area", "length by width")
    aspect = Figure("ratio", "length over width")
    warmth = Figure("temperature", "how warm it is")
    half = Section(HoleAnswer, "a section")
    holes = Rows(Section(HoleAnswer, "one hole"), "the holes")
    share = Plain("a bare number")
    large = Truth("whether it is large")
    finish = Word("how it is finished")
    reasons = Table(Count("how often"), "reasons")
    unknown = Figure("length", "never known", nullable=True)


def compute(request: dict[str, Any]) -> Outcome:
    """Areas and sides."""
    length, width = request["length"], request["width"]
    outcome = Outcome(
        {
            "area": length * width,
            "aspect": length / width,
            "warmth": request["temperature"],
            "half": {"number": 7, "depth": length / 2},
            "holes": [{"number": hole["number"], "depth": hole["depth"]} for hole in request.get("holes", [])],
            "share": request["pieces"] / 24,
            "large": length > 0.5,
            "finish": request["finish"],
            "reasons": {"too long": 2},
            "unknown": np.array([np.nan]),
        }
    )
    outcome.refuse_where(width > length, "#/width", "the short side can't be longer than the long side: turn it round", Code.IMPOSSIBLE)
    outcome.checks = [
        Check("wall", "length", length, 0.1, None, "short ones bend", "common practice", "the shop"),
        Check("rod-ratio", "ratio", length / width, None, 4.0, "slender ones bend", "common practice", "the shop", soft=True),
        Check("factor", "ratio", None, 1.0, 2.0, "not known", "common practice", "the shop"),
    ]
    outcome.cautions = ["instructions", "instructions"]
    outcome.assumptions = [Assumption("thickness", np.array([0.0254]), "common practice", "the usual sheet", "length")]
    return outcome


def calculation(**changes: Any) -> Calculation:
    """The calculation under test."""
    given_: dict[str, Any] = {
        "name": "plate",
        "title": "Plate",
        "text": "A plate.",
        "request": PlateRequest,
        "answer": PlateAnswer,
        "compute": compute,
        "headline": ("missing.figure", "area"),
        "examples": {},
        "sources": ("geometry",),
        "published": (),
        "cautions": ("lifting",),
    }
    return Calculation(**(given_ | changes))


PLATE = calculation()
GOOD: dict[str, Any] = {"length": "400 mm", "width": "200 mm", "pieces": 6}


def refusal(body: Any, expected: type[Refusal], of: Calculation = PLATE) -> dict[str, str]:
    """The errors of a refused body, by pointer (a pointer with several is joined)."""
    with pytest.raises(expected) as refused:
        answer(of, body)
    assert type(refused.value) is expected
    found: dict[str, str] = {}
    for error in refused.value.errors:
        found[error.pointer] = f"{found[error.pointer]} | {error.detail}" if error.pointer in found else error.detail
    return found


class MovedRequest(Request):
    """A number, or an object that says more."""

    start = QuantityOrPart("length", "1 mm", "1 m", SizePart, "a length or a size", required=True)
    width = Quantity("length", "1 mm", "1 m", "a width", required=True)


class MovedAnswer(Answer):
    """What became of it."""

    length = Figure("length", "the length, or the size's diameter")
    area = Figure("area", "by the width")


def moved(request: dict[str, Any]) -> Outcome:
    """The start by the width."""
    start = request["start"]
    length = start["diameter"] if isinstance(start, Mapping) else start
    outcome = Outcome({"length": length, "area": length * request["width"]})
    outcome.checks = [Check("bore-width", "area", length * request["width"], None, 1.05e-3, "large", "common practice", "the shop")]
    return outcome
