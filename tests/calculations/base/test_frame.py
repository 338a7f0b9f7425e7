"""The frame that carries every calculation: reading a body, refusing it, answering it with tolerances.

Most tests use a small calculation of their own, which has every kind of field and a closed form for everything it answers.
"""

import itertools
import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.answers import Answer, AnswerPart, Count, Figure, Plain, Rows, Section, Table, Truth, Word
from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.calculation import ESTIMATE, Calculation
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
from borewright.calculations.base.loading import load
from borewright.calculations.base.outcome import Assumption, Check, Measured, Outcome
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest, Refusal
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
    outcome.refuse_where(width > length, "#/width", "the short side can't be longer than the long side: turn it round")
    outcome.checks = [
        Check("long", "length", length, 0.1, None, "short ones bend", "common practice", "the shop"),
        Check("slender", "ratio", length / width, None, 4.0, "slender ones bend", "common practice", "the shop", soft=True),
        Check("hardness", "ratio", None, 1.0, 2.0, "not known", "common practice", "the shop"),
    ]
    outcome.cautions = ["Sharp edges cut.", "Sharp edges cut."]
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
        "cautions": ("Lift heavy plates with a hoist.",),
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


class TestLoading:
    """From a body to readings."""

    def test_every_wrong_field_at_once(self) -> None:
        """Each wrong field has its pointer and its remedy, nested ones, list entries and alternatives included."""
        errors = refusal(
            {
                "units": "imperial",
                "lenght": "400 mm",
                "width": "3 kg",
                "pieces": 2.5,
                "finish": "grund",
                "name": "",
                "code": "A1",
                "drilled": "yes",
                "temperature": None,
                "size": {"diameter": "10 mm", "area": "1 mm2", "note": "much too long a note", "color/~": 1},
                "holes": [{"number": 1, "depth": "5 mm"}, 5, {"number": 10, "depht": "5 mm"}],
                "weights": ["5 g", "heavy"],
            },
            InvalidRequest,
        )
        listed = "mm, cm, m, um, µm, in, thou, ft"
        assert errors == {
            "#/units": "this must be one of 'metric', 'inch'",  # and not: did you mean metric
            "#/lenght": "there is no field 'lenght' here; did you mean 'length'?",
            "#/length": "this length is missing: the long side",
            "#/width": f"'kg' is a unit of mass, and this must be a length: one of {listed}",
            "#/pieces": "this must be a whole number from 1 to 24",
            "#/finish": "this must be one of 'ground', 'milled'; did you mean 'ground'?",
            "#/name": "this must be a text of 1 to 20 characters",
            "#/code": "this must match the pattern ^[a-z]+$",
            "#/drilled": "this must be true or false",
            "#/temperature": "this must not be null: leave the field out instead",
            "#/size": "only one of these can be given: {diameter} or {area}",
            "#/size/note": "20 characters are too many: at most 10",
            "#/size/color~1~0": "there is no field 'color/~' here; the fields are area, diameter, note",
            "#/holes/1": "this must be an object",
            "#/holes/2/number": "this is outside the allowed range 1 to 9",
            "#/holes/2/depth": "this length is missing: its depth",
            "#/holes/2/depht": "there is no field 'depht' here; did you mean 'depth'?",
            "#/weights/1": '\'heavy\' can\'t be read as a quantity: write a mass with its unit, like "1.5 g" or "1.5 g ± 0.1 g" '
            "(units: g, kg, lb, oz)",
        }

    @pytest.mark.parametrize("body", [None, [], "400 mm", 5, True])
    def test_a_body_must_be_an_object(self, body: Any) -> None:
        """Anything else is refused as a whole."""
        assert refusal(body, InvalidRequest) == {"#": 'the body must be a JSON object, like {"units": "inch", …}'}

    @pytest.mark.parametrize("field", ["units", "length", "pieces", "finish", "name", "drilled", "size", "holes", "weights"])
    def test_null_is_no_way_to_leave_a_field_out(self, field: str) -> None:
        """null is refused for every type of field, with the remedy."""
        assert refusal({**GOOD, field: None}, InvalidRequest) == {f"#/{field}": "this must not be null: leave the field out instead"}

    def test_null_in_lists_and_parts(self) -> None:
        """Also where it is nested, with its place."""
        errors = refusal({**GOOD, "size": {"diameter": None}, "holes": [None], "weights": ["1 g", None]}, InvalidRequest)
        assert set(errors) == {"#/size/diameter", "#/holes/0", "#/weights/1"}

    @pytest.mark.parametrize(
        ("field", "value", "said"),
        [
            ("size", 5, "this must be an object"),
            ("size", ["10 mm"], "this must be an object"),
            ("size", "10 mm", "this must be an object"),
            ("holes", {"number": 1}, "this must be a list"),
            ("holes", "many", "this must be a list"),
            ("holes", [], "0 entries: the list takes 1 to 3"),
            ("holes", [{"number": 1, "depth": "5 mm"}] * 4, "4 entries: the list takes 1 to 3"),
            ("weights", ["1 g"], "1 entries: the list takes 2 to 4"),
            ("pieces", True, "this must be a whole number from 1 to 24"),
            ("pieces", "6", "this must be a whole number from 1 to 24"),
            ("pieces", 0, "this is outside the allowed range 1 to 24"),
            pytest.param("pieces", 10**5000, "this is outside the allowed range 1 to 24", id="five thousand digits"),
            ("pieces", math.inf, "this must be a whole number from 1 to 24"),
            ("pieces", math.nan, "this must be a whole number from 1 to 24"),
            ("finish", "GROUND", "this must be one of 'ground', 'milled'"),
            ("finish", 1, "this must be one of 'ground', 'milled'"),
            ("name", 5, "this must be a text of 1 to 20 characters"),
            ("name", "two\nlines", "control characters are not taken"),
            ("name", "a line feed at end\n", "control characters are not taken"),
            ("name", "\x7f", "control characters are not taken"),
            pytest.param("name", "\ud800", "control characters are not taken", id="lone surrogate"),
            ("code", "abc\n", "this must match the pattern ^[a-z]+$"),
            ("price", True, "this must be a bare number, a price in your own currency, like 129.5"),
            ("price", "129.5", "this must be a bare number, a price in your own currency, like 129.5"),
            ("price", {"value": 129.5, "unit": "1"}, "this must be a bare number, a price in your own currency, like 129.5"),
            ("price", -0.01, "a price is from 0 to 1000000000"),
            ("price", math.nan, "a price is from 0 to 1000000000"),
            ("price", math.inf, "a price is from 0 to 1000000000"),
            pytest.param("price", 10**5000, "a price is from 0 to 1000000000", id="a price of five thousand digits"),
            ("drilled", 1, "this must be true or false"),
            ("drilled", 0, "this must be true or false"),
            (
                "length",
                400,
                '400 has no unit: write it with one, like "400 in" or "400 mm", or say "units": "inch" or "metric" in the request',
            ),
            ("length", "-400 mm", "this can't be negative: the allowed range is 10 to 1000 mm"),
        ],
    )
    def test_each_type_refuses_what_it_is_not(self, field: str, value: Any, said: str) -> None:
        """Fields are strict: nothing is turned into what it is not, and the message says what would be taken."""
        assert refusal({**GOOD, field: value}, InvalidRequest) == {f"#/{field}": said}

    def test_whole_numbers_may_be_written_as_json_schema_allows(self) -> None:
        """8.0 is an integer for JSON Schema."""
        assert answer(PLATE, {**GOOD, "pieces": 6.0}) == answer(PLATE, GOOD)

    @pytest.mark.parametrize("price", [0, 129, 129.5, 1e9])
    def test_prices_need_no_units(self, price: float) -> None:
        """A price is a bare number in any system of units."""
        for units in ({}, {"units": "inch"}, {"units": "metric"}):
            assert load(PLATE.request_schema, {**GOOD, **units, "price": price}).data["price"] == float(price)

    @pytest.mark.parametrize(
        ("changes", "expected"),
        [
            ({"length": "9.99 mm"}, {"#/length": "this is outside what can be: the allowed range is 10 to 1000 mm"}),
            ({"length": "4 m"}, {"#/length": "this is outside what can be: the allowed range is 10 to 1000 mm"}),
            ({"units": "inch", "length": "4 m"}, {"#/length": "this is outside what can be: the allowed range is 0.393701 to 39.3701 in"}),
            ({"temperature": "-500 degC"}, {"#/temperature": "this is outside what can be: the allowed range is -40 to 200 degC"}),
            ({"length": "999 mm ± 2 mm"}, {"#/length": "its tolerance reaches outside what can be: the allowed range is 10 to 1000 mm"}),
            (
                {"holes": [{"number": 2, "depth": "1 m"}]},
                {"#/holes/0/depth": "this is outside what can be: the allowed range is 0 to 50 mm"},
            ),
            ({"length": "100 mm"}, {"#/width": "the short side can't be longer than the long side: turn it round"}),
        ],
    )
    def test_what_the_schema_admits_but_can_not_be_is_impossible(self, changes: Mapping[str, Any], expected: Mapping[str, str]) -> None:
        """A well-formed value out of range, and a rule between fields: impossible, not invalid."""
        assert refusal({**GOOD, **changes}, ImpossibleBuild) == expected

    def test_an_invalid_field_makes_the_whole_request_invalid(self) -> None:
        """With both sorts of error the request is invalid, and both are told."""
        errors = refusal({**GOOD, "length": "4 m", "width": "wide"}, InvalidRequest)
        assert set(errors) == {"#/length", "#/width"}

    @pytest.mark.parametrize("edge", ["10 mm", "1 cm", "0.01 m", "1 m", "1000 mm", "100 cm"])
    def test_the_edges_of_a_range_belong_to_it(self, edge: str) -> None:
        """The range is inclusive in any unit that can spell its ends."""
        assert load(PLATE.request_schema, {**GOOD, "length": edge}).data["length"].value == pytest.approx(
            0.01 if edge in ("10 mm", "1 cm", "0.01 m") else 1.0
        )

    def test_alternatives(self) -> None:
        """Exactly one of the sets."""
        assert refusal({**GOOD, "size": {}}, InvalidRequest) == {"#/size": "one of these is needed: {diameter} or {area}"}
        assert answer(PLATE, {**GOOD, "size": {"diameter": "5 mm"}})["area"]["value"] == 800.0

    def test_unknown_fields_name_the_nearest_or_all(self) -> None:
        """A slip is met with the name that was meant; nonsense with the names there are; a long name is cut."""
        assert refusal({**GOOD, "peices": 1}, InvalidRequest) == {"#/peices": "there is no field 'peices' here; did you mean 'pieces'?"}
        nonsense = refusal({**GOOD, "q" * 500: 1}, InvalidRequest)["#/" + "q" * 500]
        assert nonsense == f"there is no field {'q' * 80!r} here; the fields are {', '.join(sorted(PLATE.request_schema.fields))}"

    def test_very_many_unknown_fields_still_are_told(self) -> None:
        """Each of many unknown fields is pointed at, in reasonable time."""
        errors = refusal({**GOOD, **{f"field{index}": index for index in range(3000)}}, InvalidRequest)
        assert len(errors) == 3000

    def test_units_of_one_request_do_not_leak_into_the_next(self) -> None:
        """A bare number is read in inches only where the same request says so, also after a refusal."""
        assert load(PLATE.request_schema, {"units": "inch", "length": 10, "width": 5, "pieces": 1}).data["length"].value == pytest.approx(
            0.254
        )
        refusal({"units": "inch", "length": 10, "width": None, "pieces": 1}, InvalidRequest)
        assert "no unit" in refusal({**GOOD, "length": 400}, InvalidRequest)["#/length"]


class TestAssumptions:
    """Defaults are named."""

    def test_each_default_that_was_used(self) -> None:
        """Top level and inside list entries, with the calculation's own choice last, in the units asked for."""
        body = {**GOOD, "units": "inch", "holes": [{"number": 1, "depth": "5 mm", "angle": "80 deg"}, {"number": 2, "depth": "6 mm"}]}
        found = {each["name"]: each for each in answer(PLATE, body)["assumptions"]}
        assert list(found) == ["offset", "temperature", "finish", "holes[1].angle", "thickness"]
        assert found["offset"] == {
            "name": "offset",
            "value": {"value": 0.0, "unit": "in"},
            "basis": "common practice",
            "source": "in the middle",
        }
        assert found["temperature"]["value"] == {"value": 68.0, "unit": "degF"}
        assert found["finish"]["value"] == "milled"
        assert found["holes[1].angle"]["value"] == {"value": 90.0, "unit": "deg"}
        assert found["thickness"]["value"] == {"value": 1.0, "unit": "in"}

    def test_a_given_value_is_no_assumption(self) -> None:
        """Also where it equals the default."""
        found = answer(PLATE, {**GOOD, "offset": "0 mm", "temperature": "20 degC", "finish": "milled"})["assumptions"]
        assert [each["name"] for each in found] == ["thickness"]


class TestAnswers:
    """From arrays to an answer."""

    def test_without_tolerances(self) -> None:
        """Every type of result; no bounds, no sensitivity."""
        found = answer(PLATE, {**GOOD, "holes": [{"number": 3, "depth": "5 mm"}]})
        assert found["area"] == {"value": 800.0, "unit": "cm2"}
        assert found["aspect"] == {"value": 2.0, "unit": "1"}
        assert found["warmth"] == {"value": 20.0, "unit": "degC"}
        assert found["half"] == {"number": 7, "depth": {"value": 200.0, "unit": "mm"}}
        assert found["holes"] == [{"number": 3, "depth": {"value": 5.0, "unit": "mm"}}]
        assert (found["share"], found["large"], found["finish"], found["reasons"], found["unknown"]) == (
            0.25,
            False,
            "milled",
            {"too long": 2},
            None,
        )
        assert found["cautions"] == ["Sharp edges cut.", "Lift heavy plates with a hoist.", ESTIMATE]
        assert found["sensitivity"] == []

    def test_units_pick_the_units_of_the_answer(self) -> None:
        """The same plate in inches."""
        found = answer(PLATE, {**GOOD, "units": "inch"})
        assert found["area"] == {"value": pytest.approx(800 / 2.54**2, rel=1e-11), "unit": "in2"}
        assert found["warmth"] == {"value": 68.0, "unit": "degF"}

    @given(
        sides=st.tuples(st.floats(300, 900), st.floats(20, 250)),
        tolerances=st.tuples(st.floats(0.01, 20), st.floats(0.01, 5)),
    )
    def test_bounds_uncertainty_and_shares(self, sides: tuple[float, float], tolerances: tuple[float, float]) -> None:
        """Area and aspect against their closed forms: corners, u² = Σ(∂f/∂x)²a²/3 with k = 2, shares of the variance."""
        (a, b), (da, db) = sides, tolerances
        found = answer(PLATE, {**GOOD, "length": f"{a!r} mm ± {da!r} mm", "width": f"{b!r} mm ± {db!r} mm"})
        corners = list(itertools.product((a - da, a + da), (b - db, b + db)))
        for name, exact, partials, scale in (
            ("area", lambda x, y: x * y, (b, a), 100),
            ("aspect", lambda x, y: x / y, (1 / b, a / b**2), 1),
        ):
            figure = found[name]
            assert figure["value"] == pytest.approx(exact(a, b) / scale, rel=1e-11)
            assert figure["low"] == pytest.approx(min(exact(*corner) for corner in corners) / scale, rel=1e-11)
            assert figure["high"] == pytest.approx(max(exact(*corner) for corner in corners) / scale, rel=1e-11)
            variance = (partials[0] * da) ** 2 / 3 + (partials[1] * db) ** 2 / 3
            assert figure["uncertainty"] == pytest.approx(2 * math.sqrt(variance) / scale, rel=1e-6)
        shares = {entry["input"]: entry["contribution"] for entry in found["sensitivity"]}
        expected = (b * da) ** 2 / ((b * da) ** 2 + (a * db) ** 2)
        assert shares == pytest.approx({"#/length": expected, "#/width": 1 - expected}, rel=1e-6, abs=1e-9)
        assert sum(shares.values()) == pytest.approx(1, rel=1e-11)
        contributions = [entry["contribution"] for entry in found["sensitivity"]]
        assert contributions == sorted(contributions, reverse=True)
        assert {entry["output"] for entry in found["sensitivity"]} == {"area"}
        assert found["warmth"] == {"value": 20.0, "unit": "degC", "low": 20.0, "high": 20.0, "uncertainty": 0.0}

    def test_a_tolerance_of_a_temperature_has_no_zero_point(self) -> None:
        """±9 degF is ±5 K: bounds move with the scale, the uncertainty is a difference."""
        figure = answer(PLATE, {**GOOD, "units": "inch", "temperature": "77 degF ± 9 degF"})["warmth"]
        assert (figure["value"], figure["low"], figure["high"]) == pytest.approx((77, 68, 86), rel=1e-11)
        assert figure["uncertainty"] == pytest.approx(2 * 9 / math.sqrt(3), rel=1e-9)

    def test_tolerances_in_lists_have_their_place(self) -> None:
        """A toleranced entry of a list moves its own row alone; what moves the headline not at all has a share of zero."""
        holes = [{"number": 1, "depth": "5 mm ± 1 mm"}, {"number": 2, "depth": "6 mm"}]
        found = answer(PLATE, {**GOOD, "length": "400 mm ± 1 mm", "holes": holes})
        assert (found["holes"][0]["depth"]["low"], found["holes"][0]["depth"]["high"]) == (4.0, 6.0)
        assert (found["holes"][1]["depth"]["low"], found["holes"][1]["depth"]["high"]) == (6.0, 6.0)
        assert found["sensitivity"] == [
            {"input": "#/length", "output": "area", "contribution": 1.0},
            {"input": "#/holes/0/depth", "output": "area", "contribution": 0.0},
        ]

    def test_impossible_at_a_corner(self) -> None:
        """What holds at the nominal sizes but not within the tolerances is refused, and says so."""
        body = {**GOOD, "length": "205 mm ± 3 mm", "width": "200 mm ± 3 mm"}
        said = "at a corner of the stated tolerances: the short side can't be longer than the long side: turn it round"
        assert refusal(body, ImpossibleBuild) == {"#/width": said}
        assert answer(PLATE, {**GOOD, "length": "205 mm ± 2 mm", "width": "200 mm ± 2 mm"})["aspect"]["low"] > 1

    def test_too_many_tolerances(self) -> None:
        """Beyond what is worked out, each one too many is pointed at."""
        body = {**GOOD, "length": "400 mm ± 1 mm", "width": "200 mm ± 1 mm", "offset": "0 mm ± 1 mm"}
        errors = refusal(body, ImpossibleBuild, calculation(most_toleranced=2))
        assert set(errors) == {"#/offset"}
        assert "at most 2" in errors["#/offset"]
        assert answer(calculation(most_toleranced=3), body)["area"]["low"] < 800

    def test_a_result_that_is_no_number(self) -> None:
        """A figure that must be there but comes out as no number refuses the request instead of answering null."""
        lost = calculation(compute=lambda request: Outcome({"area": request["length"] * np.nan}))
        assert refusal(GOOD, ImpossibleBuild, lost) == {"#": "with these inputs area does not come out as a number: check their sizes"}


class TestChecks:
    """Verdicts."""

    @pytest.mark.parametrize(
        ("length", "verdict"),
        [
            ("120 mm", "pass"),
            ("100 mm", "pass"),
            ("99 mm", "fail"),
            ("101 mm ± 2 mm", "watch"),
            ("99 mm ± 2 mm", "fail"),
            ("103 mm ± 2 mm", "pass"),
        ],
    )
    def test_a_hard_limit(self, length: str, verdict: str) -> None:
        """Inside is pass, outside is fail, inside with a corner outside is watch."""
        found = {each["name"]: each for each in answer(PLATE, {"length": length, "width": "50 mm", "pieces": 1})["checks"]}
        assert found["long"]["verdict"] == verdict
        assert found["long"]["limits"] == {"low": {"value": 100.0, "unit": "mm"}}
        assert ("low" in found["long"]["value"]) == ("±" in length)

    @pytest.mark.parametrize(
        ("length", "verdict"), [("200 mm", "pass"), ("201 mm", "watch"), ("199 mm ± 2 mm", "watch"), ("198 mm ± 1 mm", "pass")]
    )
    def test_a_soft_limit(self, length: str, verdict: str) -> None:
        """Outside a soft limit is watch, never fail."""
        found = {each["name"]: each for each in answer(PLATE, {"length": length, "width": "50 mm", "pieces": 1})["checks"]}
        assert found["slender"]["verdict"] == verdict

    def test_what_is_not_known_is_unknown(self) -> None:
        """No guess."""
        found = {each["name"]: each for each in answer(PLATE, GOOD)["checks"]}
        assert (found["hardness"]["verdict"], found["hardness"]["value"]) == ("unknown", None)


class TestInterval:
    """Calculations that find their bounds themselves."""

    @staticmethod
    def compute(request: dict[str, Any]) -> Outcome:
        """Bounds from [nominal, all low, all high]."""
        length, width = request["length"], request["width"]
        outcome = Outcome({"aspect": Measured(length[0] / width[0], length[1] / width[-1], length[-1] / width[1 % width.size])})
        outcome.refuse_where(length > 0.9, "#/length", "too long for the bench")
        outcome.checks = [Check("long", "length", length, 0.1, None, "short ones bend", "common practice", "the shop")]
        return outcome

    def test_bounds_and_checks(self) -> None:
        """The measured bounds are answered as they are; a check sees the low and the high state."""
        interval = calculation(compute=self.compute, propagation="interval")
        found = answer(interval, {"length": "102 mm ± 4 mm", "width": "50 mm ± 1 mm", "pieces": 1})
        assert found["aspect"] == {
            "value": 2.04,
            "unit": "1",
            "low": pytest.approx(98 / 51, rel=1e-11),
            "high": pytest.approx(106 / 49, rel=1e-11),
        }
        assert found["checks"][0]["verdict"] == "watch"
        assert found["sensitivity"] == []

    def test_shares_of_its_own(self) -> None:
        """What it says of the variance is shared out as the frame's own; a result without any is passed over."""

        def compute(request: dict[str, Any]) -> Outcome:
            outcome = self.compute(request)
            outcome.variances = {"area": {"#/length": 0.0}, "aspect": {"#/width": 1.0, "#/length": 3.0}}
            return outcome

        found = answer(calculation(compute=compute, propagation="interval"), {"length": "102 mm ± 4 mm", "width": "50 mm", "pieces": 1})
        assert found["sensitivity"] == [
            {"input": "#/length", "output": "aspect", "contribution": 0.75},
            {"input": "#/width", "output": "aspect", "contribution": 0.25},
        ]

    def test_a_check_with_bounds_and_a_verdict_of_its_own(self) -> None:
        """A measured value is shown with its bounds, and the verdict stands."""

        def compute(request: dict[str, Any]) -> Outcome:
            value = Measured(1.0, 0.5, 1.5)
            own = Check("aspect", "ratio", value, 0.75, None, "slim", "common practice", "the shop", verdict="watch")
            judged = Check("slim", "ratio", value, 0.75, None, "slim", "common practice", "the shop")
            return Outcome({}, [own, judged])

        own, judged = answer(calculation(compute=compute, propagation="interval"), GOOD)["checks"]
        assert (own["verdict"], own["value"]) == ("watch", {"value": 1.0, "unit": "1", "low": 0.5, "high": 1.5})
        assert judged["verdict"] == "pass", "without one of its own, the nominal value decides"

    def test_impossible_within_the_tolerances(self) -> None:
        """A low or high state that can't be refuses the request as a corner does."""
        interval = calculation(compute=self.compute, propagation="interval")
        assert refusal({**GOOD, "length": "901 mm"}, ImpossibleBuild, interval) == {"#/length": "too long for the bench"}
        errors = refusal({**GOOD, "length": "899 mm ± 2 mm"}, ImpossibleBuild, interval)
        assert errors == {"#/length": "at a corner of the stated tolerances: too long for the bench"}


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
    outcome.checks = [Check("area", "area", length * request["width"], None, 1.05e-3, "large", "common practice", "the shop")]
    return outcome


class TestQuantityOrPart:
    """A field that is a quantity or an object."""

    CALCULATION = calculation(name="moved", request=MovedRequest, answer=MovedAnswer, compute=moved, headline=("area",), batch=True)

    @pytest.mark.parametrize(
        "start", ["100 mm", {"value": 100, "unit": "mm"}, {"diameter": "100 mm"}, {"diameter": {"value": 10, "unit": "cm"}}]
    )
    def test_either(self, start: Any) -> None:
        assert answer(self.CALCULATION, {"start": start, "width": "10 mm"})["length"] == {"value": pytest.approx(100.0), "unit": "mm"}

    def test_tolerances_inside_the_object(self) -> None:
        found = answer(self.CALCULATION, {"start": {"diameter": "90 mm ± 1 mm"}, "width": "10 mm ± 0.1 mm"})
        assert found["area"]["high"] == pytest.approx(9.1 * 1.01)
        assert {share["input"] for share in found["sensitivity"]} == {"#/start/diameter", "#/width"}

    @pytest.mark.parametrize(
        ("start", "pointer"),
        [
            ({"diameter": "100 kg"}, "#/start/diameter"),
            ({"diametre": "100 mm"}, "#/start/diametre"),
            ({}, "#/start"),
            ({"value": 100}, "#/start"),
            ({"value": 100, "unit": "kg"}, "#/start"),
            ([], "#/start"),
            ("100 kg", "#/start"),
        ],
    )
    def test_refused_in_its_place(self, start: Any, pointer: str) -> None:
        assert pointer in refusal({"start": start, "width": "10 mm"}, InvalidRequest, self.CALCULATION)

    def test_ranges_inside_the_object(self) -> None:
        body = {"start": {"diameter": "101 mm"}, "width": "10 mm"}
        assert set(refusal(body, ImpossibleBuild, self.CALCULATION)) == {"#/start/diameter"}

    def test_a_column_holds_quantities_and_common_may_hold_the_object(self) -> None:
        columns = answer_batch(self.CALCULATION, {"units": "metric", "common": {"width": 10}, "columns": {"start": [50, 100]}}, most_rows=9)
        assert columns["columns"]["length"].tolist() == [50.0, 100.0]
        body: dict[str, Any] = {"units": "metric", "common": {"start": {"diameter": 40}}, "columns": {"width": [10, 20]}}
        assert answer_batch(self.CALCULATION, body, most_rows=9)["columns"]["area"].tolist() == [4.0, 8.0]
        body["common"] = {"start": {}}
        with pytest.raises(InvalidRequest, match="#/common/start"):
            answer_batch(self.CALCULATION, body, most_rows=9)


class TestAdditive:
    """A calculation whose tolerances are added up one by one."""

    CALCULATION = calculation(
        name="moved", request=MovedRequest, answer=MovedAnswer, compute=moved, headline=("area",), propagation="additive", most_toleranced=2
    )

    def test_bounds_are_sums(self) -> None:
        found = answer(self.CALCULATION, {"start": "100 mm ± 1 mm", "width": "10 mm ± 0.2 mm"})
        assert found["area"]["low"] == pytest.approx(10.0 - 0.1 - 0.2)
        assert found["area"]["high"] == pytest.approx(10.0 + 0.1 + 0.2)
        assert [share["contribution"] for share in found["sensitivity"]] == pytest.approx([0.8, 0.2])

    @pytest.mark.parametrize(("width", "verdict"), [("10 mm ± 0.2 mm", "pass"), ("10 mm ± 0.45 mm", "watch"), ("11 mm", "fail")])
    def test_a_check_sees_the_sum(self, width: str, verdict: str) -> None:
        """Neither tolerance alone leaves the limit of 10.5 cm2; 1 % and 4.5 % together do."""
        found = answer(self.CALCULATION, {"start": "100 mm ± 1 mm", "width": width})
        assert found["checks"][0]["verdict"] == verdict

    def test_too_many_rows_of_a_costly_calculation(self) -> None:
        costly = calculation(name="moved", request=MovedRequest, answer=MovedAnswer, compute=moved, batch=True, most_rows=2)
        body = {"units": "metric", "common": {"width": 10}, "columns": {"start": [50, 60, 70]}}
        with pytest.raises(ImpossibleBuild, match="at most 2"):
            answer_batch(costly, body, most_rows=100)
