"""Bad input to every operation, over a real socket: the right status, a problem document, a pointer at the right field."""

import copy
import http.client
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pytest

from borewright.calculations.base.batch import columns_of
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Many, Part, Quantity, QuantityOrPart
from borewright.calculations.base.problems import pointer
from borewright.calculations.base.registry import calculations
from borewright.quantities import KINDS
from borewright.web.document.batches import batch_example
from borewright.web.settings import Settings

Steps = tuple[Any, ...]


@dataclass(frozen=True)
class Operation:
    """One route with a request that is answered 200, and the first quantity in it."""

    path: str
    body: dict[str, Any]
    batch: bool
    prefix: Steps  # where the fields of the calculation stand
    quantity: Steps
    kind: str
    size: bool  # whether zero lies outside what the quantity can be
    or_part: bool  # whether an object of its own may stand in its place

    def with_quantity(self, value: Any, *, units: bool = True) -> bytes:
        """The body with another value in the place of the quantity, and without its `units` where asked."""
        body = copy.deepcopy(self.body)
        if not units:
            body.pop("units", None)
        inner: Any = body
        for step in self.quantity[:-1]:
            inner = inner[step]
        inner[self.quantity[-1]] = value
        return json.dumps(body).encode()

    def with_literal(self, text: bytes) -> bytes:
        """The body with bytes that json.dumps would not write in the place of the quantity."""
        return self.with_quantity("@here@").replace(b'"@here@"', text)


def _first_quantity(fields: Mapping[str, Any], body: Mapping[str, Any]) -> tuple[Steps, Quantity] | None:
    """The first required-looking quantity of the example, sizes before what may be zero."""
    found = list(_quantities(fields, body, ()))
    sized = [(steps, field) for steps, field in found if field.low > 0 and not field.signed]
    return next(iter([*sized, *found]), None)


def _quantities(fields: Mapping[str, Any], body: Mapping[str, Any], steps: Steps) -> Iterator[tuple[Steps, Quantity]]:
    for name, value in body.items():
        field = fields.get(name)
        if isinstance(field, Quantity):
            yield (*steps, name), field
        elif isinstance(field, Part):
            yield from _quantities(field.schema.fields, value, (*steps, name))
        elif isinstance(field, Many) and isinstance(field.inner, Part):
            for index, entry in enumerate(value):
                yield from _quantities(field.inner.schema.fields, entry, (*steps, name, index))


def _operations() -> Iterator[Operation]:
    for name, calculation in calculations().items():
        yield _operation(calculation, dict(next(iter(calculation.examples.values()))), f"/v1/{name}")
        if calculation.batch:
            yield _operation(calculation, batch_example(calculation), f"/v1/{name}/batch", prefix=("common",))
    displacement = calculations()["displacement"]
    build = {name: value for name, value in next(iter(displacement.examples.values())).items() if name != "units"}
    yield _operation(displacement, {"units": "inch", "order": {"id": "A-1"}, "build": build}, "/v1/build-sheet", prefix=("build",))


def _operation(calculation: Calculation, body: dict[str, Any], path: str, *, prefix: Steps = ()) -> Operation:
    inside = body[prefix[0]] if prefix else body
    found = _first_quantity(calculation.request_schema.fields, inside)
    assert found is not None, f"{path}: the example holds no quantity"
    steps, field = found
    return Operation(
        path, body, path.endswith("/batch"), prefix, prefix + steps, field.kind, field.low > 0, isinstance(field, QuantityOrPart)
    )


OPERATIONS = list(_operations())
every_operation = pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation.path)


@dataclass(frozen=True)
class Answer:
    """What came back over the socket."""

    status: int
    headers: dict[str, str]
    body: bytes


def send(service: tuple[str, int], path: str, body: bytes, *, method: str = "POST", media_type: str | None = "application/json") -> Answer:
    connection = http.client.HTTPConnection(*service, timeout=30.0)
    try:
        connection.request(method, path, body=body, headers={} if media_type is None else {"Content-Type": media_type})
        response = connection.getresponse()
        return Answer(response.status, {name.lower(): value for name, value in response.getheaders()}, response.read())
    finally:
        connection.close()


def problem_in(answer: Answer, status: int, name: str) -> dict[str, Any]:
    """Assert the status and the one shape that every problem has."""
    assert answer.status == status, answer.body[:400]
    assert answer.headers["content-type"] == "application/problem+json"
    assert b"<html" not in answer.body.lower()
    found: dict[str, Any] = json.loads(answer.body)
    assert set(found) <= {"type", "title", "status", "detail", "request_id", "errors"}
    assert found["type"] == f"/problems/{name}"
    assert found["status"] == status
    assert found["title"]
    assert found["detail"]
    assert found["request_id"] == answer.headers["x-request-id"]
    for error in found.get("errors", []):
        assert set(error) == {"pointer", "detail", "code"}
        assert error["pointer"].startswith("#")
        assert error["detail"]
    return found


def detail_at(found: Mapping[str, Any], steps: Steps) -> str:
    """What is said of one field; the test fails where nothing is."""
    said = {error["pointer"]: error["detail"] for error in found["errors"]}
    assert pointer(*steps) in said, said
    return str(said[pointer(*steps)])


@every_operation
def test_the_example_itself_is_answered(service: tuple[str, int], operation: Operation) -> None:
    answer = send(service, operation.path, json.dumps(operation.body).encode())
    assert answer.status == 200, answer.body[:400]
    assert answer.headers["content-type"] == "application/json"


LITERALS = {
    "NaN": (b"NaN", "NaN is not JSON"),
    "infinity": (b"-Infinity", "-Infinity is not JSON"),
    "1e400": (b"1e400", "too large"),
    "5,000 digits": (b"7" * 5000, "5000 digits"),
}


@every_operation
@pytest.mark.parametrize("literal", LITERALS.values(), ids=LITERALS)
def test_numbers_that_are_none(service: tuple[str, int], operation: Operation, literal: tuple[bytes, str]) -> None:
    text, reason = literal
    found = problem_in(send(service, operation.path, operation.with_literal(text)), 400, "not-json")
    assert reason in detail_at(found, operation.quantity)


@every_operation
def test_name_given_twice(service: tuple[str, int], operation: Operation) -> None:
    name = json.dumps(operation.quantity[-1]).encode()
    found = problem_in(send(service, operation.path, operation.with_literal(b'"1 mm", ' + name + b': "2 mm"')), 400, "not-json")
    assert "twice" in detail_at(found, operation.quantity)


NOT_JSON = {
    "100,000 arrays": (b"[" * 100_000 + b"]" * 100_000, "nested"),
    "100,000 arrays left open": (b"[" * 100_000, "nested"),
    "100,000 objects": (b'{"bore":' * 100_000 + b"1" + b"}" * 100_000, "nested"),
    "invalid UTF-8": (b'{"bore": "\xff\xfe"}', "UTF-8"),
    "empty": (b"", "empty"),
    "blanks": (b" \r\n\t", "empty"),
    "syntax": (b'{"bore": 1,}', "line 1, column"),
    "half an object": (b'{"bore": 1', "line 1, column"),
    "two documents": (b"{} {}", "line 1, column"),
    "byte order mark": (b"\xef\xbb\xbf{}", "line 1, column"),
}


@every_operation
@pytest.mark.parametrize("sent", NOT_JSON.values(), ids=NOT_JSON)
def test_bodies_that_are_not_json(service: tuple[str, int], operation: Operation, sent: tuple[bytes, str]) -> None:
    body, reason = sent
    found = problem_in(send(service, operation.path, body), 400, "not-json")
    assert reason in detail_at(found, ())


@every_operation
@pytest.mark.parametrize("body", [b"null", b"[]", b"[{}]", b'"text"', b"1", b"true"], ids=bytes.decode)
def test_bodies_that_are_no_object(service: tuple[str, int], operation: Operation, body: bytes) -> None:
    found = problem_in(send(service, operation.path, body), 422, "invalid-request")
    assert "must be a JSON object" in detail_at(found, ())


@every_operation
def test_empty_object_names_what_is_missing(service: tuple[str, int], operation: Operation) -> None:
    found = problem_in(send(service, operation.path, b"{}"), 422, "invalid-request")
    assert found["errors"]


MEDIA_TYPES = ["text/plain", "text/html", "application/x-www-form-urlencoded", "application/json; charset=latin-1", "application/xml", None]


@every_operation
@pytest.mark.parametrize("media_type", MEDIA_TYPES, ids=str)
def test_wrong_media_type(service: tuple[str, int], operation: Operation, media_type: str | None) -> None:
    answer = send(service, operation.path, json.dumps(operation.body).encode(), media_type=media_type)
    assert "application/json" in problem_in(answer, 415, "unsupported-media-type")["detail"]
    assert answer.headers["accept-post"] == "application/json"


@every_operation
@pytest.mark.parametrize("value", ["1.5", 1.5], ids=["text", "number"])
def test_no_unit(service: tuple[str, int], operation: Operation, value: Any) -> None:
    if operation.kind == "ratio":  # a bare ratio is whole: 1.5 is 1.5
        value = "1.5 mm"
    found = problem_in(send(service, operation.path, operation.with_quantity(value, units=False)), 422, "invalid-request")
    detail = detail_at(found, operation.quantity)
    assert ("is a unit of length" if operation.kind == "ratio" else "has no unit") in detail


@every_operation
def test_unit_of_another_kind(service: tuple[str, int], operation: Operation) -> None:
    foreign = "1.5 kg" if operation.kind != "mass" else "1.5 mm"
    found = problem_in(send(service, operation.path, operation.with_quantity(foreign)), 422, "invalid-request")
    detail = detail_at(found, operation.quantity)
    assert "and this must be a" in detail
    assert operation.kind.replace("_", " ") in detail


@every_operation
def test_unknown_unit_is_answered_with_what_is_taken(service: tuple[str, int], operation: Operation) -> None:
    found = problem_in(send(service, operation.path, operation.with_quantity("1.5 qqq")), 422, "invalid-request")
    detail = detail_at(found, operation.quantity)
    assert "not a known unit" in detail
    assert all(unit in detail for unit in KINDS[operation.kind].units)


@every_operation
def test_unknown_field_is_answered_with_the_nearest(service: tuple[str, int], operation: Operation) -> None:
    body = copy.deepcopy(operation.body)
    inside = body[operation.prefix[0]] if operation.prefix else body
    known = operation.quantity[len(operation.prefix)]
    inside[known + "_"] = inside[known]
    found = problem_in(send(service, operation.path, json.dumps(body).encode()), 422, "invalid-request")
    assert f"did you mean {known!r}?" in detail_at(found, (*operation.prefix, known + "_"))


@every_operation
def test_null_in_place_of_a_quantity(service: tuple[str, int], operation: Operation) -> None:
    found = problem_in(send(service, operation.path, operation.with_quantity(None)), 422, "invalid-request")
    assert "null" in detail_at(found, operation.quantity)


WRONG_VALUES = {
    "array": [],
    "object": {},
    "object without a unit": {"value": 1.5},
    "object with a text": {"value": "1.5", "unit": "mm"},
    "true": True,
    "words": "as it comes",
    "digits of another script": "１．５ mm",
    "separators": "1_000 mm",
    "a million characters": "9" * 1_000_000,
    "a lone surrogate": "\ud800",
    "a control character": "1 mm\u0000",
    "an endless unit": {"value": 1, "unit": "m" * 100_000},
}


@every_operation
@pytest.mark.parametrize("value", WRONG_VALUES.values(), ids=WRONG_VALUES)
def test_values_that_are_no_quantity(service: tuple[str, int], operation: Operation, value: Any) -> None:
    wrong = [value] if operation.or_part and isinstance(value, dict) else value
    answer = send(service, operation.path, operation.with_quantity(wrong))
    found = problem_in(answer, 422, "invalid-request")
    assert detail_at(found, operation.quantity)
    assert len(answer.body) < 20_000, "an answer must not send the request back"


def test_every_single_example_holds_a_size() -> None:
    """So that the test of negative and zero sizes leaves no calculation out."""
    assert [operation.path for operation in OPERATIONS if not operation.size and not operation.batch] == []


@pytest.mark.parametrize("operation", [found for found in OPERATIONS if found.size], ids=lambda operation: operation.path)
def test_negative_and_zero_sizes(service: tuple[str, int], operation: Operation) -> None:
    unit = KINDS[operation.kind].metric
    negative = problem_in(send(service, operation.path, operation.with_quantity(f"-1 {unit}")), 422, "invalid-request")
    assert "can't be negative: the allowed range is" in detail_at(negative, operation.quantity)
    for beyond in (f"0 {unit}", f"1e17 {unit}"):
        found = problem_in(send(service, operation.path, operation.with_quantity(beyond)), 422, "impossible-build")
        assert "the allowed range is" in detail_at(found, operation.quantity)


@every_operation
def test_units_that_do_not_exist(service: tuple[str, int], operation: Operation) -> None:
    body = {**operation.body, "units": "furlong"}
    found = problem_in(send(service, operation.path, json.dumps(body).encode()), 422, "invalid-request")
    assert "'metric'" in detail_at(found, ("units",))


@every_operation
def test_body_over_the_limit(service: tuple[str, int], operation: Operation) -> None:
    limit = Settings().batch_body_bytes if operation.batch else Settings().body_bytes
    size = limit + 1 if operation.batch else 3_000_000
    connection = http.client.HTTPConnection(*service, timeout=30.0)
    try:  # the length alone must be enough: nobody should have to send it all
        connection.putrequest("POST", operation.path)
        connection.putheader("Content-Type", "application/json")
        connection.putheader("Content-Length", str(size))
        connection.endheaders(b"{")
        response = connection.getresponse()
        answer = Answer(response.status, {name.lower(): value for name, value in response.getheaders()}, response.read())
    finally:
        connection.close()
    assert str(limit) in problem_in(answer, 413, "too-large")["detail"]


def test_three_megabytes_sent_whole(service: tuple[str, int]) -> None:
    answer = send(service, "/v1/displacement", b'{"bore": "' + b"9" * 3_000_000 + b'"}')
    assert "2000000" in problem_in(answer, 413, "too-large")["detail"]


def test_three_megabytes_in_chunks(service: tuple[str, int]) -> None:
    connection = http.client.HTTPConnection(*service, timeout=30.0)
    try:
        chunks = (b" " * 100_000 for _ in range(30))
        connection.request("POST", "/v1/displacement", body=chunks, headers={"Content-Type": "application/json"}, encode_chunked=True)
        response = connection.getresponse()
        answer = Answer(response.status, {name.lower(): value for name, value in response.getheaders()}, response.read())
    finally:
        connection.close()
    assert "2000000" in problem_in(answer, 413, "too-large")["detail"]


@every_operation
@pytest.mark.parametrize("method", ["GET", "PUT", "PATCH", "DELETE", "TRACE", "BREW"])
def test_wrong_method(service: tuple[str, int], operation: Operation, method: str) -> None:
    answer = send(service, operation.path, b"", method=method, media_type=None)
    problem_in(answer, 405, "method-not-allowed")
    assert {allowed.strip() for allowed in answer.headers["allow"].split(",")} == {"POST", "OPTIONS"}


@every_operation
@pytest.mark.parametrize("change", ["{}/", "/v1{}", "{}//", "{}%2f", "{}x"])
def test_path_beside_the_operation_is_404_and_no_redirect(service: tuple[str, int], operation: Operation, change: str) -> None:
    answer = send(service, change.format(operation.path), json.dumps(operation.body).encode())
    problem_in(answer, 404, "not-found")
    assert "location" not in answer.headers


BATCHES = [operation for operation in OPERATIONS if operation.batch]
ENVELOPES: dict[str, tuple[dict[str, Any], str, Steps, str]] = {
    "no columns": ({"columns": {}}, "invalid-request", ("columns",), "object of lists"),
    "columns as a list": ({"columns": []}, "invalid-request", ("columns",), "object of lists"),
    "common as a list": ({"common": []}, "invalid-request", ("common",), "must be an object"),
    "another member": ({"rows": 1}, "invalid-request", ("rows",), "no member 'rows'"),
    "column of no field": ({"columns": {"borre": ["1 mm"]}}, "invalid-request", ("columns", "borre"), "no column 'borre'"),
    "units in common": ({"common": {"units": "inch"}}, "invalid-request", ("common", "units"), "beside common"),
}


@pytest.mark.parametrize("operation", BATCHES, ids=lambda operation: operation.path)
@pytest.mark.parametrize("case", ENVELOPES.values(), ids=ENVELOPES)
def test_envelopes_of_a_batch(service: tuple[str, int], operation: Operation, case: tuple[dict[str, Any], str, Steps, str]) -> None:
    members, name, steps, reason = case
    body = {**operation.body, **members}
    assert reason in detail_at(problem_in(send(service, operation.path, json.dumps(body).encode()), 422, name), steps)


@pytest.mark.parametrize("operation", BATCHES, ids=lambda operation: operation.path)
def test_shape_of_a_batchs_columns(service: tuple[str, int], operation: Operation) -> None:
    name, given = next(iter(operation.body["columns"].items()))
    for column in ([], given[0], {"0": given[0]}, None):
        body = {**operation.body, "columns": {name: column}}
        found = problem_in(send(service, operation.path, json.dumps(body).encode()), 422, "invalid-request")
        assert "must be a list" in detail_at(found, ("columns", name))
    other = next(".".join(steps) for steps, _ in columns_of(_calculation(operation).request_schema) if ".".join(steps) != name)
    uneven = {**operation.body, "columns": {name: given, other: [None] * (len(given) + 1)}}
    found = problem_in(send(service, operation.path, json.dumps(uneven).encode()), 422, "invalid-request")
    assert "equally long" in detail_at(found, ("columns",))


def _calculation(operation: Operation) -> Calculation:
    return calculations()[operation.path.split("/")[2]]


@pytest.mark.parametrize("operation", BATCHES, ids=lambda operation: operation.path)
def test_a_wrong_row_fails_alone(service: tuple[str, int], operation: Operation) -> None:
    """Whatever stands in one row, the rows beside it come out as they do without it."""
    kinds = {
        ".".join(steps): field.kind for steps, field in columns_of(_calculation(operation).request_schema) if isinstance(field, Quantity)
    }
    name, given = next((name, given) for name, given in operation.body["columns"].items() if name in kinds)
    kind = kinds[name]
    unit = KINDS[kind].metric
    wrong = ["1.5 qqq", "NaN", [], {}, True, "\ud800", f"-1 {unit}", f"0 {unit}", f"1e17 {unit}", f"{given[0]} ± 0.1 {unit}", "9" * 1000]
    others = {other: [rows[0], *[rows[0]] * len(wrong), rows[1]] for other, rows in operation.body["columns"].items() if other != name}
    mixed = {**operation.body, "columns": {**others, name: [given[0], *wrong, given[1]]}}
    answer = send(service, operation.path, json.dumps(mixed).encode())
    assert answer.status == 200, answer.body[:400]
    found = json.loads(answer.body)
    assert [failure["row"] for failure in found["failures"]] == list(range(1, 1 + len(wrong)))
    assert {error["pointer"] for failure in found["failures"] for error in failure["errors"]} == {pointer(*name.split("."))}
    alone = json.loads(send(service, operation.path, json.dumps(operation.body).encode()).body)
    for column, values in alone["columns"].items():
        assert found["columns"][column] == [values[0], *([None] * len(wrong)), values[1]]


GEOMETRY: dict[str, Any] = {
    "bore": "100 mm",
    "stroke": "80 mm",
    "cylinders": 4,
    "chamber_volume": "50 cm3",
    "gasket": {"bore": "101 mm", "thickness": "1 mm"},
    "deck_clearance": "0.5 mm",
}
# π/4·10.1² = 80.118 cm2: 0.1 mm of gasket hold 0.801 cm3, and a deck clearance of -0.1 mm takes 0.785 cm3 of them
IMPOSSIBLE: dict[str, tuple[dict[str, Any], Steps, str]] = {
    "no clearance volume": (
        {"chamber_volume": "0 cm3", "gasket": {"volume": "1 cm3"}, "deck_clearance": "0 mm", "crown": {"dome": "1 cm3"}},
        ("chamber_volume",),
        "nothing is left above the piston",
    ),
    "less than no clearance volume": ({"crown": {"dome": "200 cm3"}}, ("chamber_volume",), "nothing is left above the piston"),
    "squish below zero": ({"deck_clearance": "-1.001 mm"}, ("deck_clearance",), "inside the head"),
    "squish below zero at a corner": ({"deck_clearance": "-0.9 mm ± 0.2 mm"}, ("deck_clearance",), "corner of the stated tolerances"),
    "squish below zero by the stack": (
        {"deck_clearance": None, "stack": {"deck_height": "200 mm", "rod_length": "130 mm", "compression_height": "32 mm"}},
        ("stack", "compression_height"),
        "inside the head",
    ),
    "a ratio above 100": (
        {"chamber_volume": "0 cm3", "gasket": {"bore": "101 mm", "thickness": "0.1 mm"}, "deck_clearance": "-0.1 mm"},
        ("chamber_volume",),
        "above 100",
    ),
    "a rod shorter than the throw": ({"rod_length": "39 mm"}, ("rod_length",), "longer than the crank throw"),
    "a top land wider than the bore": (
        {"top_land": {"height": "5 mm", "diameter": "100.5 mm"}},
        ("top_land", "diameter"),
        "wider than the bore",
    ),
}


@pytest.mark.parametrize("case", IMPOSSIBLE.values(), ids=IMPOSSIBLE)
def test_engines_that_can_not_be(service: tuple[str, int], case: tuple[dict[str, Any], Steps, str]) -> None:
    changes, steps, reason = case
    body = {name: value for name, value in {**GEOMETRY, **changes}.items() if value is not None}
    found = problem_in(send(service, "/v1/compression", json.dumps(body).encode()), 422, "impossible-build")
    assert reason in detail_at(found, steps)


@pytest.mark.parametrize("bore", ["4 m", "0.5 mm", "0 mm"])
def test_bores_that_can_not_be(service: tuple[str, int], bore: str) -> None:
    body = {"bore": bore, "stroke": "80 mm", "cylinders": 4}
    found = problem_in(send(service, "/v1/displacement", json.dumps(body).encode()), 422, "impossible-build")
    assert detail_at(found, ("bore",)).endswith("the allowed range is 5 to 500 mm")


def test_every_wrong_field_is_named_at_once(service: tuple[str, int]) -> None:
    body = {"bore": "1.5", "stroke": "3 kg", "cylinders": 4.5, "borre": 1, "units": "feet"}
    found = problem_in(send(service, "/v1/displacement", json.dumps(body).encode()), 422, "invalid-request")
    assert {error["pointer"] for error in found["errors"]} == {"#/bore", "#/stroke", "#/cylinders", "#/borre", "#/units"}
    assert found["detail"].startswith("5 fields are wrong")
