"""The quick way over the fields says what marshmallow says: the same request, or the same errors in the same order."""

import copy
import os
import subprocess
import sys
from collections.abc import Iterator, Sequence
from typing import Any
from unittest import mock

import pytest
from hypothesis import given
from hypothesis import strategies as st
from marshmallow import fields

from borewright.calculations.base.batch import columns_of
from borewright.calculations.base.fields import Many, Part, Quantity, RequestPart
from borewright.calculations.base.loading import load
from borewright.calculations.base.problems import Refusal
from borewright.calculations.base.registry import calculations
from borewright.quantities import Reading

EXAMPLES = [(name, body) for name, calculation in calculations().items() for body in calculation.examples.values()]
VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-10, 10**20),
    st.floats(),
    st.text(max_size=12),
    st.sampled_from(
        ["3.892 in", "3.892 in ± 0.001 in", "-4 in", "4 kg", "1e300 in", "3,892 in", "street", "inch", "boost", "10:1", '3.892"', "±"]
    ),
    st.sampled_from([[], {}, [{}], [None], {"value": 4.0, "unit": "in"}, {"value": 4.0, "unit": "in", "tolerance": -1}, {"value": "4"}]),
    st.recursive(
        st.floats(-5, 5), lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3), max_leaves=5
    ),
)
NAMES = st.sampled_from(["bore", "bor", "units", "gasket", "stroke", "", "_schema", "\ud800", "a/b~c", "cylinders"]) | st.text(max_size=5)


def places(body: Any, steps: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Every place inside a body."""
    for name, inner in body.items() if isinstance(body, dict) else enumerate(body) if isinstance(body, list) else ():
        yield (*steps, name)
        yield from places(inner, (*steps, name))


@st.composite
def spoiled(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    """An example with a few things changed, taken away or added anywhere."""
    name, example = draw(st.sampled_from(EXAMPLES))
    body: dict[str, Any] = copy.deepcopy(dict(example))
    for _ in range(draw(st.integers(0, 3))):
        found = list(places(body))
        if not found:
            break
        *way, last = draw(st.sampled_from(found))
        holder: Any = body
        for step in way:
            holder = holder[step]
        how = draw(st.sampled_from(["change", "take", "add"]))
        if how == "change":
            holder[last] = copy.deepcopy(draw(VALUES))
        elif how == "take":
            del holder[last]
        elif isinstance(holder, dict):
            holder[draw(NAMES)] = copy.deepcopy(draw(VALUES))
    return name, body


def said(name: str, body: Any, partial: Sequence[str] = ()) -> tuple[Any, ...]:
    """What comes of a body: the data in their order and the defaults, or the errors in theirs."""
    try:
        loaded = load(calculations()[name].request_schema, copy.deepcopy(body), partial=partial)
    except Refusal as refusal:
        return type(refusal).__name__, refusal.errors
    return repr(loaded.data), [used.name for used in loaded.defaults], loaded.system


@given(spoiled())
def test_both_ways_say_the_same(given: tuple[str, dict[str, Any]]) -> None:
    quick = said(*given)
    with mock.patch.object(RequestPart, "quick", return_value=None):
        assert quick == said(*given)


@given(spoiled(), st.data())
def test_both_ways_say_the_same_of_what_columns_complete(given: tuple[str, dict[str, Any]], data: st.DataObject) -> None:
    """As a batch loads what its rows share: all may be missing at the top, and inside of an object what columns put there."""
    schema = calculations()[given[0]].request_schema
    inside = st.sampled_from([".".join(steps) for steps, _ in columns_of(schema) if len(steps) > 1] or ["gasket.bore"])
    partial = [*schema.fields, *data.draw(st.lists(inside, max_size=2))]
    quick = said(*given, partial)
    with mock.patch.object(RequestPart, "quick", return_value=None):
        assert quick == said(*given, partial)


@pytest.mark.parametrize("name", [name for name, calculation in calculations().items() if calculation.batch])
def test_what_the_rows_of_a_batch_share_takes_the_quick_way(name: str) -> None:
    schema = calculations()[name].request_schema
    with mock.patch("marshmallow.Schema._do_load", side_effect=AssertionError("marshmallow was asked")):
        for body in calculations()[name].examples.values():
            load(schema, body, partial=list(schema.fields))


@pytest.mark.parametrize(("name", "body"), EXAMPLES, ids=[f"{name}-{index}" for index, (name, _) in enumerate(EXAMPLES)])
def test_examples_take_the_quick_way(name: str, body: dict[str, Any]) -> None:
    with mock.patch("marshmallow.Schema._do_load", side_effect=AssertionError("marshmallow was asked")):
        load(calculations()[name].request_schema, body)


@pytest.mark.parametrize("body", [[], None, "x", 1, {1: 2}])
def test_what_is_no_object_is_left_to_marshmallow(body: Any) -> None:
    assert calculations()["displacement"].request_schema.quick(body) is None


def test_a_schema_of_which_marshmallow_does_more_has_no_quick_way() -> None:
    class Checked(RequestPart):
        bore = Quantity("length", "1 mm", "1 m", "a bore")
        count = fields.Integer(validate=lambda value: value > 1)

    class Renamed(RequestPart):
        bore = fields.Integer(data_key="diameter")

    class Filled(RequestPart):
        bore = fields.Integer(load_default=4)

    for schema in (Checked(), Renamed(), Filled()):
        assert schema.quick({"bore": "4 in"}) is None


def test_a_list_has_its_quick_way_unless_marshmallow_does_more_for_its_entries() -> None:
    class Level(RequestPart):
        depth = Quantity("length", "1 mm", "1 m", "a depth", required=True)

    plain = Many(Quantity("length", "1 mm", "1 m", "a size"), "sizes", longest=2)
    parts = Many(Part(Level, "a level"), "levels")
    assert plain.quick(["4 in", "5 in"]) == [Reading(4 * 0.0254), Reading(5 * 0.0254)]
    assert parts.quick([{"depth": "4 in"}]) == [{"depth": Reading(4 * 0.0254)}]
    for list_, value in ((plain, []), (plain, ["4 in"] * 3), (plain, ["4 in", None]), (plain, "4 in"), (parts, [{}]), (parts, [[]])):
        assert list_.quick(value) is None
    checked = Many(fields.Integer(validate=lambda value: value > 1), "counts")
    assert checked.quick([4]) is None


def test_errors_come_as_their_fields_stand_in_the_body() -> None:
    body = {"zeta": 1, "stroke": "3 kg", "alpha": 2, "gasket": {"thicknes": "1 mm", "omega": 1, "bore": "4 kg"}, "bore": "4 kg", "beta": 3}
    kind, errors = said("compression", {"units": "inch", "cylinders": 8, "chamber_volume": "57 cm3", **body})
    assert kind == "InvalidRequest"
    named = [error.pointer for error in errors]
    inside = ["#/gasket/thicknes", "#/gasket/omega", "#/gasket/bore", "#/gasket"]
    assert named[:3] == ["#/zeta", "#/stroke", "#/alpha"]
    assert named[3:7] == inside
    assert named[7:9] == ["#/bore", "#/beta"]


def test_the_order_does_not_hang_on_the_hash_seed() -> None:
    program = (
        "from borewright.calculations.base.loading import load\n"
        "from borewright.calculations.base.registry import calculations\n"
        "from borewright.calculations.base.problems import Refusal\n"
        "try:\n    load(calculations()['displacement'].request_schema, {name: 1 for name in 'zyxwvutsrq'})\n"
        "except Refusal as refusal:\n    print([error.pointer for error in refusal.errors])\n"
    )
    told = {
        subprocess.run(
            [sys.executable, "-c", program],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
            timeout=60,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(told) == 1
    assert told.pop().startswith("['#/z', '#/y', '#/x'")
