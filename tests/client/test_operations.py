"""The calculations' methods: each follows from the registry, and each works against the service itself."""

import inspect
import json
import threading
from collections.abc import Callable, Iterator, Mapping
from keyword import iskeyword
from typing import Any, get_type_hints

import pytest
import requests
from werkzeug.serving import make_server

import borewright_client as bw
from borewright.calculations.base.answers import AssumptionAnswer, CheckAnswer, SensitivityAnswer
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.web.app import create_app
from borewright.web.document.batches import batch_example
from borewright.web.document.openapi import outspoken
from borewright_client._operations import Operations

METHODS = [method for name, method in inspect.getmembers(Operations, inspect.isfunction) if name in vars(Operations)]
EVERY = list(calculations().values())
BATCHED = [calculation for calculation in EVERY if calculation.batch]
EXAMPLES = [(calculation, title) for calculation in EVERY for title in calculation.examples]


def python_name(name: str) -> str:
    return f"{name}_" if iskeyword(name) else name.replace("-", "_")


def call(client: bw.Client, calculation: Calculation, request: Mapping[str, Any], *, batch: bool = False) -> Any:
    method = getattr(client, python_name(calculation.name) + ("_batch" if batch else ""))
    return method(**{python_name(name): value for name, value in request.items()})


def members(kind: Any) -> set[str]:
    """The members of a type of the client, but for what comes with the reply rather than in it."""
    return set(get_type_hints(kind)) - {"raw", "request_id", "headers"}


def named(calculation: Calculation) -> str:
    return calculation.name


@pytest.fixture(scope="module")
def app() -> Any:
    return create_app()


@pytest.fixture
def inside(app: Any, wsgi_session: Callable[..., requests.Session]) -> Iterator[bw.Client]:
    """A client of the service in this process."""
    with wsgi_session(app) as session:
        yield bw.Client("http://service", session=session, request_id="bench-7")


@pytest.fixture(scope="module")
def outside(app: Any) -> Iterator[bw.Client]:
    """A client of the service behind a socket."""
    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    with requests.Session() as session:
        session.trust_env = False
        yield bw.Client(f"http://127.0.0.1:{server.server_port}", session=session)
    server.shutdown()
    thread.join()
    server.server_close()


@pytest.mark.parametrize("method", METHODS, ids=lambda method: method.__name__)
def test_takes_keywords_only_and_is_documented_and_typed(method: Any) -> None:
    own = list(inspect.signature(method).parameters.values())[1:]
    assert own
    assert {parameter.kind for parameter in own} == {inspect.Parameter.KEYWORD_ONLY}
    assert ">>> " in method.__doc__
    assert set(get_type_hints(method)) == {"return", *(parameter.name for parameter in own)}


def test_there_is_a_method_for_each_operation_and_no_other() -> None:
    singles = {python_name(calculation.name) for calculation in EVERY}
    batches = {python_name(calculation.name) + "_batch" for calculation in BATCHED}
    assert {method.__name__ for method in METHODS} == singles | batches


@pytest.mark.parametrize("calculation", EVERY, ids=named)
def test_arguments_are_the_fields_of_the_request(calculation: Calculation) -> None:
    parameters = inspect.signature(getattr(Operations, python_name(calculation.name))).parameters
    fields = calculation.request_schema.fields
    assert set(parameters) == {"self", "options", *map(python_name, fields)}
    for name, field in fields.items():
        assert (parameters[python_name(name)].default is inspect.Parameter.empty) == field.required
        assert parameters[python_name(name)].default in (inspect.Parameter.empty, None)
        assert f"{python_name(name)} : " in str(getattr(Operations, python_name(calculation.name)).__doc__)


@pytest.mark.parametrize("module", [bw.answers, bw.parts], ids=lambda module: module.__name__)
def test_types_have_the_members_of_the_document(module: Any) -> None:
    components = outspoken()["components"]["schemas"]
    shown = [name for name in module.__all__ if isinstance(getattr(module, name), type)]
    assert shown
    for name in shown:
        kind = getattr(module, name)
        assert members(kind) == set(components[name]["properties"])
        if module is bw.parts:
            assert kind.__required_keys__ == set(components[name].get("required", ()))


@pytest.mark.parametrize(
    ("kind", "schema"), [(bw.Check, CheckAnswer), (bw.Assumption, AssumptionAnswer), (bw.Sensitivity, SensitivityAnswer)]
)
def test_types_written_by_hand_have_the_members_of_the_service(kind: Any, schema: Any) -> None:
    assert members(kind) == set(schema().fields)


@pytest.mark.parametrize(("calculation", "title"), EXAMPLES, ids=[f"{calculation.name}: {title}" for calculation, title in EXAMPLES])
def test_example_runs_in_this_process(calculation: Calculation, title: str, inside: bw.Client, app: Any) -> None:
    request = calculation.examples[title]
    answer = call(inside, calculation, request)
    assert answer == app.test_client().post(f"/v1/{calculation.name}", json=request).get_json()
    kind = get_type_hints(getattr(Operations, python_name(calculation.name)))["return"]
    assert members(kind) == set(answer)
    assert type(answer) is kind
    assert {name: getattr(answer, name) for name in answer} == dict(answer), "each member is an attribute"


@pytest.mark.parametrize("calculation", BATCHED, ids=named)
def test_batch_runs_in_this_process(calculation: Calculation, inside: bw.Client, app: Any) -> None:
    request = batch_example(calculation)
    answer = call(inside, calculation, request, batch=True)
    assert answer == app.test_client().post(f"/v1/{calculation.name}/batch", json=request).get_json()
    assert set(answer) == members(bw.BatchAnswer)
    assert answer["rows"] == 2
    assert answer["failures"] == []


@pytest.mark.parametrize("calculation", EVERY, ids=named)
def test_example_runs_over_a_socket(calculation: Calculation, outside: bw.Client, inside: bw.Client) -> None:
    request = next(iter(calculation.examples.values()))
    assert call(outside, calculation, request) == call(inside, calculation, request)


@pytest.mark.parametrize("calculation", BATCHED, ids=named)
def test_batch_runs_over_a_socket(calculation: Calculation, outside: bw.Client, inside: bw.Client) -> None:
    request = batch_example(calculation)
    assert call(outside, calculation, request, batch=True) == call(inside, calculation, request, batch=True)


@pytest.mark.parametrize("calculation", EVERY, ids=named)
def test_every_bad_field_is_named_with_the_request(calculation: Calculation, inside: bw.Client) -> None:
    wrong = {name: {"no": "such thing"} for name in calculation.examples[next(iter(calculation.examples))]}
    with pytest.raises(bw.InvalidRequest) as caught:
        call(inside, calculation, wrong)
    assert {error.pointer.split("/")[1] for error in caught.value.errors} >= set(wrong)
    assert all(error.detail for error in caught.value.errors)
    assert caught.value.request_id == "bench-7"
    assert caught.value.status == 422


@pytest.mark.parametrize("calculation", BATCHED, ids=named)
def test_bad_column_is_named_with_the_request(calculation: Calculation, inside: bw.Client) -> None:
    with pytest.raises(bw.InvalidRequest) as caught:
        call(inside, calculation, {"columns": {"no_such_field": [1]}}, batch=True)
    assert [error.pointer for error in caught.value.errors] == ["#/columns/no_such_field"]
    assert caught.value.request_id == "bench-7"


def test_nested_bad_field_and_what_cannot_be_are_told_apart(outside: bw.Client) -> None:
    build: dict[str, Any] = dict(next(iter(calculations()["compression"].examples.values())))
    with pytest.raises(bw.InvalidRequest) as invalid:
        outside.compression(**{**build, "gasket": {"bore": "3.9 kg", "thickness": "0.040 in"}})
    assert [error.pointer for error in invalid.value.errors] == ["#/gasket/bore"]
    with pytest.raises(bw.ImpossibleBuild) as impossible:
        outside.compression(**{**build, "deck_clearance": "-0.3 in"})
    assert [error.pointer for error in impossible.value.errors] == ["#/deck_clearance"]
    assert len({invalid.value.request_id, impossible.value.request_id, None}) == 3


def test_row_that_fails_does_not_fail_the_others(inside: bw.Client) -> None:
    answer = inside.displacement_batch(columns={"bore": ["84.3 mm", "-1 mm"]}, common={"stroke": "85.3 mm", "cylinders": 4})
    assert [failure["row"] for failure in answer["failures"]] == [1]
    assert answer["columns"]["displacement"][0] == pytest.approx(1904.38, abs=0.01)  # π/4 · 8.43² · 8.53 · 4
    assert answer["columns"]["displacement"][1] is None


def test_leaves_out_what_was_not_given(serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(200))
    client = connect(server)
    client.displacement(bore={"value": 3.892, "unit": "in", "tolerance": 0.0005}, stroke="3.36 in", cylinders=8)
    client.displacement(bore=3.892, stroke=3.36, cylinders=8, units="inch")
    assert [json.loads(request.body) for request in server.seen] == [
        {"bore": {"value": 3.892, "unit": "in", "tolerance": 0.0005}, "stroke": "3.36 in", "cylinders": 8},
        {"bore": 3.892, "stroke": 3.36, "cylinders": 8, "units": "inch"},
    ]


def test_batch_sends_its_columns(serve: Any, connect: Any, say: Any) -> None:
    answer = {"rows": 1, "columns": {"displacement": [None]}, "units": {}, "failures": [{"row": 0, "errors": []}]}
    server = serve(say(200, answer))
    assert connect(server).displacement_batch(columns={"bore": [-1.0]}, common={"cylinders": 8}, units="metric") == answer
    assert server.seen[0].path == "/v1/displacement/batch"
    assert json.loads(server.seen[0].body) == {"columns": {"bore": [-1.0]}, "common": {"cylinders": 8}, "units": "metric"}
