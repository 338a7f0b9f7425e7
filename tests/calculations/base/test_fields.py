"""A field that is a quantity or an object."""

import re
from collections.abc import Iterator
from typing import Any

import pytest
from marshmallow import Schema
from plate import MovedAnswer, MovedRequest, calculation, moved, refusal

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.fields import Part, Quantity, QuantityOrPart
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.quantities import SYSTEMS, read_quantity


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


def quantities_in(schema: Schema) -> Iterator[Quantity]:
    """Every quantity of a request, also those in objects and in entries of lists."""
    for field in schema.fields.values():
        inner = getattr(field, "inner", field)
        if isinstance(inner, Quantity):
            yield inner
        if isinstance(inner, Part | QuantityOrPart):
            yield from quantities_in(inner.schema)


@pytest.mark.parametrize("name", calculations())
def test_the_range_that_a_refusal_prints_can_be_typed(name: str) -> None:
    """Both ends of every allowed range, as they are printed in both systems, are read and taken."""
    for field in quantities_in(calculations()[name].request_schema):
        for system in SYSTEMS:
            printed = re.fullmatch(r"the allowed range is (\S+) to (\S+?)(?: (.+))?", field.allowed(system))
            assert printed is not None
            for end in printed.groups()[:2]:
                assert field.deserialize(f"{end} {printed[3] or '1'}").tolerance == 0
                assert field.low <= read_quantity(f"{end} {printed[3] or '1'}", field.kind).value <= field.high
