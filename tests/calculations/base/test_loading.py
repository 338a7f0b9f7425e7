"""From a body to readings: reading a body, and refusing it."""

import math
from collections.abc import Mapping
from typing import Any

import pytest
from plate import GOOD, PLATE, refusal

from borewright.calculations.base.loading import load
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.calculations.base.single import answer


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
            "#/holes/1": "this must be an object; its fields are number, depth, angle",
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
            ("size", 5, "this must be an object; its fields are diameter, area, note"),
            ("size", ["10 mm"], "this must be an object; its fields are diameter, area, note"),
            ("size", "10 mm", "this must be an object; its fields are diameter, area, note"),
            ("holes", {"number": 1}, "this must be a list of 1 to 3 entries"),
            ("holes", "many", "this must be a list of 1 to 3 entries"),
            ("holes", [], "0 entries: the list takes 1 to 3"),
            ("holes", [{"number": 1, "depth": "5 mm"}] * 4, "4 entries: the list takes 1 to 3"),
            ("weights", ["1 g"], "1 entries: the list takes 2 to 4"),
            ("pieces", True, "this must be a whole number from 1 to 24"),
            ("pieces", "6", "this must be a whole number from 1 to 24, not a text"),
            ("pieces", 0, "this is outside the allowed range 1 to 24"),
            pytest.param("pieces", 10**5000, "this is outside the allowed range 1 to 24", id="five thousand digits"),
            ("pieces", math.inf, "this must be a whole number from 1 to 24"),
            ("pieces", math.nan, "this must be a whole number from 1 to 24"),
            ("finish", "GROUND", "this must be one of 'ground', 'milled'; did you mean 'ground'?"),
            ("finish", 1, "this must be one of 'ground', 'milled'"),
            ("name", 5, "this must be a text of 1 to 20 characters"),
            ("name", "two\nlines", "control characters are not taken: leave them out"),
            ("name", "a line feed at end\n", "control characters are not taken: leave them out"),
            ("name", "\x7f", "control characters are not taken: leave them out"),
            pytest.param("name", "\ud800", "control characters are not taken: leave them out", id="lone surrogate"),
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
            ({"units": "inch", "length": "4 m"}, {"#/length": "this is outside what can be: the allowed range is 0.393701 to 39.37 in"}),
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
