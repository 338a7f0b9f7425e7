"""The document held against OpenAPI 3.1 and JSON Schema 2020-12, and the service against the document."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urljoin

import pytest
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator

from borewright.calculations.base.registry import calculations
from borewright.web.access.keys import key_line
from borewright.web.app import create_app
from borewright.web.document.batches import batch_example
from borewright.web.document.compact.bases import BASES
from borewright.web.document.openapi import openapi
from borewright.web.headers import SECURITY
from borewright.web.problems import PROBLEMS
from borewright.web.settings import Settings

DOCUMENT = openapi()
WHOLE = openapi(whole=True)
SCHEMAS: dict[str, Any] = DOCUMENT["components"]["schemas"]
OF_HTTP = ("Content-Type", "Content-Length", "Date")  # of any answer of anybody's
# Where a tolerance came in; a row's note; what an order says; a default of the whole sheet; fields where it is fields
SOMETIMES = {"low", "high", "uncertainty", "note", "shop", "customer", "engine", "notes", "date", "sections", "errors", "request_id"}
# Objects whose members are told by their keys, each of one type
TABLES = {"rejected", "units", "checks", "sections", "kinds", "rows", "tables", "also", "paths", "columns"}
EVERYWHERE: dict[str, Any] = DOCUMENT["components"]["responses"]["refused"]["headers"]
SOMETIMES |= {name for name, one in calculations().items()}
Complaints = Callable[[Any, Any], list[str]]
Operations = dict[tuple[str, str], dict[str, Any]]


def _examples() -> Iterator[tuple[str, str, Any]]:
    for path, methods in WHOLE["paths"].items():
        sent = methods.get("post", {}).get("requestBody", {}).get("content", {}).get("application/json", {})
        for title, example in sent.get("examples", {}).items():
            yield path, title, example["value"]


EXAMPLES = list(_examples())


@pytest.fixture(scope="module")
def service() -> FlaskClient:
    return create_app().test_client()


def _reached(part: Any, seen: set[str]) -> set[str]:
    """The names of every component of schemas that a part of the document refers to, directly or not."""
    if isinstance(part, dict):
        reference = part.get("$ref")
        if isinstance(reference, str):
            kind, name = reference.removeprefix("#/components/").split("/")[:2]
            if f"{kind}/{name}" not in seen:
                seen.add(f"{kind}/{name}")
                _reached(DOCUMENT["components"][kind][name], seen)
        for inner in part.values():
            _reached(inner, seen)
    elif isinstance(part, list):
        for inner in part:
            _reached(inner, seen)
    return seen


REQUESTS = _reached([m["post"]["requestBody"] for m in DOCUMENT["paths"].values() if "post" in m], set())
ANSWERS = _reached(
    [op["responses"]["200"] for methods in DOCUMENT["paths"].values() for op in methods.values()],
    set(),
)


def test_it_is_openapi_3_1(document: dict[str, Any]) -> None:
    assert [error.message for error in OpenAPIV31SpecValidator(document).iter_errors()] == []


@pytest.mark.parametrize("name", SCHEMAS)
def test_each_component_is_a_json_schema(name: str) -> None:
    Draft202012Validator.check_schema(SCHEMAS[name])
    assert re.fullmatch(r"[A-Z][A-Za-z0-9]*", name), "names of components become names of classes"


def test_each_calculation_gives_its_examples() -> None:
    given = [(path, example) for path, _, example in EXAMPLES]
    wanted = [(f"/v1/{name}", example) for name, calculation in calculations().items() for example in calculation.examples.values()]
    batches = [(f"/v1/{name}/batch", batch_example(calculation)) for name, calculation in calculations().items() if calculation.batch]
    assert [pair for pair in wanted + batches if pair not in given] == []


@pytest.mark.parametrize(("path", "title", "example"), EXAMPLES, ids=[f"{path}: {title}" for path, title, _ in EXAMPLES])
def test_each_example_and_its_answer_follow_the_document(
    service: FlaskClient, complaints: Complaints, path: str, title: str, example: Any
) -> None:
    operation = DOCUMENT["paths"][path]["post"]
    assert complaints(example, operation["requestBody"]["content"]["application/json"]["schema"]) == []
    response = service.post(path, json=example)
    assert response.status_code == 200, response.get_json()
    answer = response.get_json()
    schema = operation["responses"]["200"]["content"]["application/json"]["schema"]
    assert complaints(answer, schema) == []
    assert_closed_and_whole(answer, lambda changed: complaints(changed, schema))


def test_a_validator_would_find_a_wrong_example(complaints: Complaints) -> None:
    schema = {"$ref": "#/components/schemas/DisplacementRequest"}
    good = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}
    assert complaints(good, schema) == []
    for wrong in ({"bore": "100 kg"}, {"bore": "-1 mm"}, {"cylinders": 4.5}, {"borre": "1 mm"}, {"bore": None}):
        assert complaints({**good, **wrong}, schema) != [], wrong


def test_problems_follow_the_document(service: FlaskClient, complaints: Complaints) -> None:
    schema = {"$ref": "#/components/schemas/Problem"}
    for response in (service.get("/nowhere"), service.post("/v1/displacement", json={}), service.get("/v1/displacement")):
        assert complaints(response.get_json(), schema) == []


def assert_closed_and_whole(answer: Any, complain: Callable[[Any], list[str]]) -> None:
    """A member too many is refused everywhere, and so is one too few: generated types name every member, and no other."""
    for steps in _objects_within(answer):
        found: Any = answer
        for step in steps:
            found = found[step]
        free = (bool(steps) and steps[-1] in TABLES) or (len(steps) > 1 and steps[-2] in TABLES)
        assert free or complain(_changed(answer, steps, {**found, "no_such_member": 1})), steps
        for member in found:
            fewer = {name: inner for name, inner in found.items() if name != member}
            assert free or member in SOMETIMES or complain(_changed(answer, steps, fewer)), (*steps, member)


def _objects_within(found: Any, steps: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Where the objects of an answer stand; of a list, those of its first entry."""
    if isinstance(found, dict):
        yield steps
        for name, inner in found.items():
            yield from _objects_within(inner, (*steps, name))
    elif isinstance(found, list) and found:
        yield from _objects_within(found[0], (*steps, 0))


def _changed(answer: Any, steps: tuple[Any, ...], instead: Any) -> Any:
    if not steps:
        return instead
    first, *rest = steps
    inner = _changed(answer[first], tuple(rest), instead)
    return {**answer, first: inner} if isinstance(answer, dict) else [inner if at == first else one for at, one in enumerate(answer)]


@pytest.mark.parametrize("name", sorted(name.removeprefix("schemas/") for name in REQUESTS | ANSWERS if name.startswith("schemas/")))
def test_every_object_is_closed(name: str) -> None:
    """So that generated types refuse a misspelled member; the compatibility policy says what a later version may add to answers."""
    if name != "OpenApiDocument":  # another specification describes it
        assert list(_open(SCHEMAS[name])) == [] or name in BASES


def _open(schema: Any) -> Iterator[dict[str, Any]]:
    """The objects in a schema that take any member; sets of alternatives and additions to a base are parts of what they stand in."""
    if isinstance(schema, dict):
        closed = False in (schema.get("additionalProperties", True), schema.get("unevaluatedProperties", True))
        based = [way for way in schema.get("allOf", ()) if "$ref" in way]
        if (
            not closed
            and not based
            and not isinstance(schema.get("additionalProperties"), dict)  # any key, of one type
            and ("properties" in schema or schema.get("type") == "object")
        ):
            yield schema
        for name, inner in schema.items():
            if name == "properties":
                for described in inner.values():
                    yield from _open(described)
            elif name == "allOf":
                for way in inner:
                    for described in (way, *way.get("oneOf", ())):
                        for member in described.get("properties", {}).values():
                            yield from _open(member)
            elif name not in ("enum", "propertyNames"):
                yield from _open(inner)
    elif isinstance(schema, list):
        for inner in schema:
            yield from _open(inner)


def test_what_stands_on_a_base_is_closed_as_a_whole() -> None:
    """And what others add to is all there: a base that fewer objects share than before is no base any more."""
    assert set(BASES) <= set(SCHEMAS)
    stood_on = set()
    for schema in _within(SCHEMAS):
        bases = {base for way in schema.get("allOf", ()) if (base := way.get("$ref", "").rsplit("/", 1)[-1]) in BASES}
        assert not bases or schema["unevaluatedProperties"] is False, bases
        stood_on |= bases
    assert stood_on == set(BASES)


def _within(part: Any) -> Iterator[dict[str, Any]]:
    """Every object of JSON in a part of the document."""
    if isinstance(part, dict):
        yield part
    for inner in part.values() if isinstance(part, dict) else part if isinstance(part, list) else ():
        yield from _within(inner)


def test_every_status_of_a_refusal_is_a_problem(operations: Operations) -> None:
    for where, operation in operations.items():
        for status, response in operation["responses"].items():
            assert re.fullmatch(r"[1-5][0-9][0-9]|default", status), f"{where}: of ranges some generators make types that do not compile"
            if status[0] < "4":
                continue
            found = DOCUMENT["components"]["responses"][response["$ref"].rsplit("/", 1)[1]] if "$ref" in response else response
            assert found["description"], where
            assert list(found["content"]) == ["application/problem+json"], (where, status)
            assert found["content"]["application/problem+json"]["schema"] == {"$ref": "#/components/schemas/Problem"}
            told = {int(each) for each in re.findall(r"\b[45][0-9][0-9]\b", found["description"])}
            every = {kind.status for kind in PROBLEMS.values() if kind.name != "internal"}
            assert told == every if status == "default" else int(status) in told <= every


def test_every_operation_says_what_it_is(operations: Operations) -> None:
    tags = {tag["name"] for tag in DOCUMENT["tags"]}
    for where, operation in operations.items():
        assert operation["summary"], where
        assert set(operation["tags"]) <= tags, where
        assert "200" in operation["responses"], where
        if where[0] == "post":
            assert {"422", "default"} <= set(operation["responses"]), where
    names = [operation["operationId"] for operation in operations.values()]
    assert len(names) == len(set(names))


def test_no_component_is_left_over() -> None:
    """What nothing refers to becomes a class of a generated client that nobody uses."""
    used = _reached(DOCUMENT["paths"], set())
    kept = {f"{kind}/{name}" for kind in ("schemas", "responses", "headers") for name in DOCUMENT["components"].get(kind, {})}
    assert kept - used == set()


def test_each_operation_shows_an_answer(service: FlaskClient, operations: Operations, complaints: Complaints) -> None:
    for where, operation in operations.items():
        answer = WHOLE["paths"][where[1]][where[0]]["responses"]["200"]["content"]["application/json"]
        if where[0] == "post":  # apart: all of them would be a sixth of the document
            assert "/docs/examples/<operationId>.json" in DOCUMENT["info"]["description"]
            shown = service.get(f"/docs/examples/{operation['operationId']}.json").get_json()
        else:
            shown = answer["example"]
        assert shown, where
        assert complaints(shown, answer["schema"]) == [], where


def test_each_refusal_shows_a_problem_of_its_status(complaints: Complaints) -> None:
    seen = set()
    for name in ("invalid", "refused"):
        response = WHOLE["components"]["responses"][name]
        shown = response["content"]["application/problem+json"]
        for kind, example in shown["examples"].items():
            assert complaints(example["value"], shown["schema"]) == [], kind
            told = {member: example["value"][member] for member in ("type", "title", "status")}
            assert told == {"type": f"/problems/{kind}", "title": PROBLEMS[kind].title, "status": PROBLEMS[kind].status}
            assert str(PROBLEMS[kind].status) in response["description"]
            seen.add(kind)
    assert {"not-json", "bad-request", "invalid-request", "impossible-build", "method-not-allowed"} <= seen


def test_a_page_is_as_described(service: FlaskClient, operations: Operations, complaints: Complaints) -> None:
    pages = [path for method, path in operations if method == "get"]
    for path in pages:
        operation = operations["get", path]
        assert len(WHOLE["paths"][path]["get"]["description"]) > 40, path
        answer = service.get(path).get_json()
        schema = operation["responses"]["200"]["content"]["application/json"]["schema"]
        assert complaints(answer, schema) == [], path
        described = SCHEMAS[schema["$ref"].rsplit("/", 1)[1]]["properties"]
        if path != "/v1/openapi.json":  # which another specification describes
            assert set(answer) <= set(described), path
        for member in described:
            assert complaints({**answer, member: 1}, schema), f"{path}: {member} could be anything"


def test_members_and_tags_are_described() -> None:
    assert [tag["name"] for tag in DOCUMENT["tags"] if not tag.get("description")] == []
    bare = [
        f"{name}.{member}"
        for name, schema in WHOLE["components"]["schemas"].items()
        for member, described in schema.get("properties", {}).items()
        if not described.get("description")
        and "$ref" not in described
        and member not in ("unit", "value")
        and name not in ("Sides", "AnyFigure")
    ]
    assert bare == []


def _given(answers: dict[str, Any], status: int) -> dict[str, Any]:
    """What an operation says of a status: of itself, or of all others."""
    return _resolved(answers.get(str(status)) or answers["default"])


def test_headers_are_those_that_are_sent(complaints: Complaints, tmp_path: Path) -> None:
    """Each kind of answer has the headers that the document says it always has, none that it does not name, and each is as described."""
    (tmp_path / "keys").write_text(key_line("shop", "known") + "\n", encoding="utf-8")
    settings = Settings(keys_file=str(tmp_path / "keys"), rate_requests=10, rate_seconds=60)
    keyed = create_app(settings).test_client()
    drained = create_app()
    drained.extensions["borewright_readiness"].draining = True
    known = {"Authorization": "Bearer known"}
    body = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}
    build = {"order": {"id": "A-1"}, "build": body}
    tag = keyed.get("/v1/reference/units", headers=known).headers["ETag"]
    answers = [
        ("/v1/displacement", keyed.post("/v1/displacement", json=body, headers=known)),
        ("/v1/displacement", keyed.post("/v1/displacement", json={}, headers=known)),
        ("/v1/displacement", keyed.post("/v1/displacement", json=body)),
        ("/v1/displacement", keyed.get("/v1/displacement", headers=known)),
        ("/v1/displacement", keyed.post("/v1/displacement", data="x", headers=known)),
        ("/v1/displacement", keyed.post("/v1/displacement", json={}, headers={**known, "Content-Encoding": "br"})),
        ("/v1/build-sheet", keyed.post("/v1/build-sheet", json=build, headers=known)),
        ("/v1/reference/units", keyed.get("/v1/reference/units", headers=known)),
        ("/v1/reference/units", keyed.get("/v1/reference/units", headers={**known, "If-None-Match": tag})),
        ("/v1/reference/units", keyed.get("/v1/reference/units", headers={**known, "If-Match": '"other"'})),
        *(("/v1/displacement", keyed.post("/v1/displacement", json=body, headers=known)) for _ in range(2)),
        ("/v1/openapi.json", keyed.get("/v1/openapi.json")),
        ("/v1/openapi.json", keyed.get("/v1/openapi.json", headers={"Accept-Encoding": "gzip"})),
        ("/health/live", keyed.get("/health/live")),
        ("/health/ready", drained.test_client().get("/health/ready")),
    ]
    seen, sent = set(), set()
    for path, response in answers:
        (operation,) = DOCUMENT["paths"][path].values()
        # those that any answer may have stand once, at what is refused
        found = EVERYWHERE | _given(operation["responses"], response.status_code).get("headers", {})
        described = {name: _resolved(header) for name, header in found.items()}
        where = f"{path} {response.status_code}"
        seen.add(response.status_code)
        given = {name: value for name, value in response.headers.items() if name not in {*SECURITY, *OF_HTTP}}
        sent |= set(given)
        assert set(given) <= set(described), where
        assert {name for name, header in described.items() if header.get("required")} <= set(given), where
        for name, value in given.items():
            if name in described:
                schema = described[name]["schema"]
                assert complaints(int(value) if schema.get("type") == "integer" else value, schema) == [], (where, name)
    assert seen == {200, 304, 401, 405, 412, 415, 422, 429, 503}
    assert sent == set(DOCUMENT["components"]["headers"])
    for name, header in WHOLE["components"]["headers"].items():
        assert complaints(header["example"], header["schema"]) == [], name


def test_the_document_says_where_it_is_served_from() -> None:
    """A relative address is resolved against the document's own (OpenAPI 3.1, Server Object); generators want a whole one first."""
    whole, server = DOCUMENT["servers"]
    assert whole["url"].startswith("http://127.0.0.1:")
    assert urljoin("https://host.example/v1/openapi.json", server["url"]) == "https://host.example/"
    assert urljoin("https://host.example/shop/engines/v1/openapi.json", server["url"]) == "https://host.example/shop/engines/"


@pytest.mark.parametrize("name", [name for name, one in calculations().items() if one.batch])
def test_a_batch_says_how_many_rows_it_takes_and_takes_no_more(service: FlaskClient, name: str) -> None:
    told = re.search(r"takes (\d+) rows at most", WHOLE["paths"][f"/v1/{name}/batch"]["post"]["description"])
    most = int(told[1]) if told else Settings().batch_rows
    column = next(iter(batch_example(calculations()[name])["columns"]))
    refused = service.post(f"/v1/{name}/batch", json={"columns": {column: [None] * (most + 1)}})
    assert refused.status_code == 422
    assert f"at most {most} " in refused.get_json()["errors"][0]["detail"]


def _resolved(part: dict[str, Any]) -> dict[str, Any]:
    if "$ref" not in part:
        return part
    kind, name = part["$ref"].removeprefix("#/components/").split("/")
    found: dict[str, Any] = DOCUMENT["components"][kind][name]
    return found
