"""What a stranger is told who gets it wrong: which field, which kind of mistake, and what to do; each code is met here."""

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient

from borewright.calculations.base.limits import configure, limits
from borewright.calculations.base.mistakes import BEYOND_SCHEMA, Code
from borewright.calculations.base.registry import calculations
from borewright.web.app import create_app
from borewright.web.settings import Settings

INVALID, IMPOSSIBLE = "invalid-request", "impossible-build"
CYLINDER: dict[str, Any] = {"bore": "94 mm", "stroke": "88 mm", "cylinders": 4}
ENGINE = {**CYLINDER, "chamber_volume": "52 cm3", "gasket": {"bore": "95 mm", "thickness": "1 mm"}, "deck_clearance": "0.2 mm"}
STACK = {"deck_height": "230 mm", "rod_length": "145 mm", "compression_height": "40 mm"}
PARTS = calculations()["part-selection"].examples["does this piston fit this block, rod and head, and what is the compression"]
BALANCE = dict(next(iter(calculations()["crank-balance"].examples.values())))
LIFT = dict(next(iter(calculations()["valve-clearance"].examples.values())))
CLEANUP = dict(next(iter(calculations()["bore-cleanup"].examples.values())))
BEARINGS = dict(next(iter(calculations()["bearing-clearance"].examples.values())))
TARGET = {**ENGINE, "target": 10, "levers": {"deck_cut": {"max": "1 mm"}}}
PISTON = dict(PARTS["pistons"][0])
AIR = {"observed_power": "300 hp", "air_temperature": "30 degC", "pressure": "99 kPa", "humidity": "50 %", "standard": "sae-j1349"}
GAP = {"bore": "100 mm"}
ROWS = {"common": {"cylinders": 4, "stroke": "88 mm"}, "columns": {"bore": ["94 mm"]}}


def without(body: dict[str, Any], *names: str) -> dict[str, Any]:
    return {name: value for name, value in copy.deepcopy(body).items() if name not in names}


CASES: dict[str, tuple[str, Any, str, str, str]] = {  # operation, body, kind of problem, pointer, code
    "a unit of another kind": ("displacement", {**CYLINDER, "bore": "94 kg"}, INVALID, "#/bore", "unit-of-another-kind"),
    "no unit": ("displacement", {**CYLINDER, "bore": "94"}, INVALID, "#/bore", "no-unit"),
    "a bare number": ("displacement", {**CYLINDER, "bore": 94}, INVALID, "#/bore", "no-unit"),
    "a unit written out": ("displacement", {**CYLINDER, "bore": "94 milimeters"}, INVALID, "#/bore", "unknown-unit"),
    "a misspelled field": ("displacement", {**CYLINDER, "bor": "94 mm"}, INVALID, "#/bor", "unknown-field"),
    "a misspelled field inside": ("compression", {**ENGINE, "crown": {"dom": "1 cm3"}}, INVALID, "#/crown/dom", "unknown-field"),
    "a negative size": ("displacement", {**CYLINDER, "bore": "-94 mm"}, INVALID, "#/bore", "out-of-range"),
    "no size": ("displacement", {**CYLINDER, "bore": "0 mm"}, IMPOSSIBLE, "#/bore", "out-of-range"),
    "an absurd size": ("displacement", {**CYLINDER, "bore": "4 m"}, IMPOSSIBLE, "#/bore", "out-of-range"),
    "millimeters taken for inches": ("displacement", {**CYLINDER, "units": "inch", "bore": 94}, IMPOSSIBLE, "#/bore", "out-of-range"),
    "a tolerance wider than the size": ("displacement", {**CYLINDER, "bore": "94 mm ± 95 mm"}, IMPOSSIBLE, "#/bore", "out-of-range"),
    "a decimal comma": ("displacement", {**CYLINDER, "bore": "94,5 mm"}, INVALID, "#/bore", "unreadable-quantity"),
    "two points": ("displacement", {**CYLINDER, "bore": "94.5.2 mm"}, INVALID, "#/bore", "unreadable-quantity"),
    "words for a number": ("displacement", {**CYLINDER, "bore": "ninety mm"}, INVALID, "#/bore", "unreadable-quantity"),
    "half a tolerance": ("displacement", {**CYLINDER, "bore": "94 mm +0.1"}, INVALID, "#/bore", "unreadable-quantity"),
    "a list for a quantity": ("displacement", {**CYLINDER, "bore": [94]}, INVALID, "#/bore", "unreadable-quantity"),
    "a member too many": ("displacement", {**CYLINDER, "bore": {"value": 9, "units": "cm"}}, INVALID, "#/bore", "unreadable-quantity"),
    "null": ("displacement", {**CYLINDER, "bore": None}, INVALID, "#/bore", "wrong-type"),
    "a text for a whole number": ("displacement", {**CYLINDER, "cylinders": "4"}, INVALID, "#/cylinders", "wrong-type"),
    "half a cylinder": ("displacement", {**CYLINDER, "cylinders": 4.5}, INVALID, "#/cylinders", "wrong-type"),
    "too many cylinders": ("displacement", {**CYLINDER, "cylinders": 400}, INVALID, "#/cylinders", "out-of-range"),
    "a system that is none": ("displacement", {**CYLINDER, "units": "imperial"}, INVALID, "#/units", "not-an-option"),
    "a field left out": ("displacement", without(CYLINDER, "stroke"), INVALID, "#/stroke", "missing"),
    "a list for the body": ("displacement", [CYLINDER], INVALID, "#", "wrong-type"),
    "a list for an object": ("compression", {**ENGINE, "gasket": []}, INVALID, "#/gasket", "wrong-type"),
    "a text for an object": ("compression", {**ENGINE, "gasket": "1 mm"}, INVALID, "#/gasket", "wrong-type"),
    "half an alternative": ("compression", {**ENGINE, "gasket": {"bore": "95 mm"}}, INVALID, "#/gasket", "missing"),
    "no alternative": ("compression", without(ENGINE, "deck_clearance"), INVALID, "#", "missing"),
    "both alternatives": ("compression", {**ENGINE, "stack": STACK}, INVALID, "#", "given-twice"),
    "a word that is none": ("compression", {**ENGINE, "duty": {"aspiration": "turbo"}}, INVALID, "#/duty/aspiration", "not-an-option"),
    "needed for another field": ("compression", {**ENGINE, "pin_offset": "1 mm"}, INVALID, "#/rod_length", "missing"),
    "limits crossed": (
        "compression",
        {**ENGINE, "limits": {"squish": {"low": "1 mm", "high": "0.5 mm"}}},
        INVALID,
        "#/limits/squish/high",
        "wrong-order",
    ),
    "the piston in the head": ("compression", {**ENGINE, "deck_clearance": "-3 mm"}, IMPOSSIBLE, "#/deck_clearance", "impossible"),
    "nothing left above it": ("compression", {**ENGINE, "crown": {"dome": "90 cm3"}}, IMPOSSIBLE, "#/chamber_volume", "impossible"),
    "a rod too short": ("compression", {**ENGINE, "rod_length": "40 mm"}, IMPOSSIBLE, "#/rod_length", "impossible"),
    "two rod lengths": (
        "compression",
        {**without(ENGINE, "deck_clearance"), "stack": STACK, "rod_length": "146 mm"},
        INVALID,
        "#/rod_length",
        "given-twice",
    ),
    "a cylinder twice": (
        "ring-gap",
        {**GAP, "measured": [{"cylinder": 1, "top": "0.4 mm"}, {"cylinder": 1, "top": "0.5 mm"}]},
        INVALID,
        "#/measured/1/cylinder",
        "given-twice",
    ),
    "an object for a list": ("ring-gap", {**GAP, "measured": {"cylinder": 1}}, INVALID, "#/measured", "wrong-type"),
    "an empty list": ("ring-gap", {**GAP, "measured": []}, INVALID, "#/measured", "wrong-length"),
    "an id twice": ("part-selection", {**PARTS, "heads": [*PARTS["heads"], *PARTS["heads"]]}, INVALID, "#/heads/1/id", "given-twice"),
    "a needed choice left out": (
        "part-selection",
        {**PARTS, "pistons": [PISTON, {**PISTON, "id": "other"}]},
        INVALID,
        "#/target_compression",
        "missing",
    ),
    "a price in words": ("part-selection", {**PARTS, "pistons": [{**PISTON, "price": "free"}]}, INVALID, "#/pistons/0/price", "wrong-type"),
    "a price below nothing": (
        "part-selection",
        {**PARTS, "pistons": [{**PISTON, "price": -3}]},
        INVALID,
        "#/pistons/0/price",
        "out-of-range",
    ),
    "an id too long": ("part-selection", {**PARTS, "pistons": [{**PISTON, "id": "x" * 90}]}, INVALID, "#/pistons/0/id", "wrong-length"),
    "an id of nothing": ("part-selection", {**PARTS, "pistons": [{**PISTON, "id": ""}]}, INVALID, "#/pistons/0/id", "wrong-length"),
    "a target below its window": (
        "part-selection",
        {**PARTS, "target_compression": {"value": 10, "low": 11}},
        INVALID,
        "#/target_compression/low",
        "wrong-order",
    ),
    "a key of the ranking twice": ("part-selection", {**PARTS, "prefer": ["cost", "cost"]}, INVALID, "#/prefer", "given-twice"),
    "too many combinations": (
        "part-selection",
        {
            **PARTS,
            "target_compression": {"value": 10},
            "pistons": [{**PISTON, "id": str(each)} for each in range(40)],
            "rods": [{**PARTS["rods"][0], "id": str(each)} for each in range(30)],
        },
        INVALID,
        "#/pistons",
        "too-much",
    ),
    "two ways for one thing": ("air-correction", {**AIR, "dew_point": "10 degC"}, INVALID, "#", "given-twice"),
    "a unit of a letter": ("air-correction", {**AIR, "air_temperature": "30 C"}, INVALID, "#/air_temperature", "unknown-unit"),
    "a standard half written": ("air-correction", {**AIR, "standard": "sae"}, INVALID, "#/standard", "not-an-option"),
    "a dew point over the air": (
        "air-correction",
        {**without(AIR, "humidity"), "dew_point": "40 degC"},
        IMPOSSIBLE,
        "#/dew_point",
        "impossible",
    ),
    "an angle between banks in line": (
        "crank-balance",
        {**without(BALANCE, "layout"), "layout": "inline-4", "bank_angle": "90 deg"},
        INVALID,
        "#/bank_angle",
        "not-applicable",
    ),
    "an angle without lift": ("valve-clearance", {**LIFT, "lift": [*LIFT["lift"], {"crank": "77 deg"}]}, INVALID, "#/lift", "missing"),
    "a cylinder read once": (
        "bore-cleanup",
        {**CLEANUP, "readings": CLEANUP["readings"][:1]},
        INVALID,
        "#/readings",
        "wrong-length",
    ),
    "a bearing twice": (
        "bearing-clearance",
        {**BEARINGS, "bearings": [BEARINGS["bearings"][0], BEARINGS["bearings"][0]]},
        INVALID,
        "#/bearings/1/name",
        "given-twice",
    ),
    "a lever's range crossed": (
        "compression-target",
        {**TARGET, "levers": {"chamber_volume": {"min": "60 cm3", "max": "50 cm3"}}},
        INVALID,
        "#/levers/chamber_volume/min",
        "wrong-order",
    ),
    "columns of different lengths": (
        "displacement/batch",
        {"common": {"cylinders": 4}, "columns": {"bore": ["94 mm"], "stroke": ["88 mm", "89 mm"]}},
        INVALID,
        "#/columns",
        "unequal-columns",
    ),
    "too many rows": ("displacement/batch", {**ROWS, "columns": {"bore": ["94 mm"] * 1001}}, INVALID, "#/columns", "wrong-length"),
    "no columns": ("displacement/batch", {"common": {}}, INVALID, "#/columns", "missing"),
    "a number for a column": ("displacement/batch", {**ROWS, "columns": {"bore": 94}}, INVALID, "#/columns/bore", "wrong-type"),
    "a column that is none": (
        "displacement/batch",
        {**ROWS, "columns": {"bore": ["94 mm"], "bores": ["94 mm"]}},
        INVALID,
        "#/columns/bores",
        "unknown-field",
    ),
    "a column and common": (
        "displacement/batch",
        {**ROWS, "common": {**ROWS["common"], "bore": "94 mm"}},
        INVALID,
        "#/common/bore",
        "given-twice",
    ),
    "a tolerance in a batch": (
        "displacement/batch",
        {**ROWS, "common": {"cylinders": 4, "stroke": "88 mm ± 1 mm"}},
        INVALID,
        "#/common/stroke",
        "tolerance-not-taken",
    ),
    "a field of a build that is none": (
        "build-sheet",
        {"order": {"id": "a"}, "build": {"bor": "94 mm"}},
        INVALID,
        "#/build/bor",
        "unknown-field",
    ),
    "a day that is none": (
        "build-sheet",
        {"order": {"id": "a", "date": "2026-02-30"}, "build": {"bore": "94 mm"}},
        IMPOSSIBLE,
        "#/order/date",
        "impossible",
    ),
    "a list for a build": ("build-sheet", {"order": {"id": "a"}, "build": []}, INVALID, "#/build", "wrong-type"),
}
NOT_JSON = (b'{"bore": NaN}', b'{"bore": 1e999}', b'{"bore": 1, "bore": 2}', b'{"bore": 1,}', b"", b"\xff")
# how a remedy is told: what is wanted, what is taken, or what to do
REMEDIES = (
    *("must", "did you mean", "the allowed range", "one of", "only one", "write", "give", "state", "check", "leave", "raise", "lower"),
    *("exchange", "add ", "takes", "at most", "the fields are", "missing", "send", "read ", "from 0 to", "number them", "a batch has"),
    *("ask for", "equally long", 'it has "value"'),
)


@pytest.fixture(scope="module")
def service() -> Iterator[FlaskClient]:
    before = limits()
    yield create_app(Settings(batch_rows=1000, search_work=10_000)).test_client()
    configure(before)


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_a_stranger_is_told_where_and_what(service: FlaskClient, case: tuple[str, Any, str, str, str]) -> None:
    operation, body, kind, pointer, code = case
    response = service.post(f"/v1/{operation}", json=body)
    problem = response.get_json()
    assert (response.status_code, problem["type"]) == (422, f"/problems/{kind}"), problem
    assert (pointer, code) in {
        (error["pointer"][: len(pointer)] if pointer == "#/lift" else error["pointer"], error["code"]) for error in problem["errors"]
    }, problem["errors"]
    for error in problem["errors"]:
        assert any(remedy in error["detail"] for remedy in REMEDIES), error
        assert "None" not in error["detail"]


@pytest.mark.parametrize("raw", NOT_JSON)
def test_what_is_no_json_is_told_so(service: FlaskClient, raw: bytes) -> None:
    problem = service.post("/v1/displacement", data=raw, content_type="application/json").get_json()
    assert problem["type"] == "/problems/not-json"
    assert {error["code"] for error in problem["errors"]} == {"not-json"}


def test_each_code_is_met() -> None:
    assert {code for *_, code in CASES.values()} | {"not-json"} == set(Code)


def test_each_code_that_no_schema_tells_is_an_invalid_request() -> None:
    told = {code for _, _, kind, _, code in CASES.values() if kind == INVALID}
    assert told >= BEYOND_SCHEMA


def test_what_can_not_exist_is_impossible_alone() -> None:
    """Nothing that is only missing, doubled or out of order is called impossible."""
    assert {code for _, _, kind, _, code in CASES.values() if kind == IMPOSSIBLE} == {"impossible", "out-of-range"}
