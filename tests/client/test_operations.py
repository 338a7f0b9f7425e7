"""The calculations' methods: what they send, and that they take keywords only."""

import inspect
import json
from typing import Any

import pytest

from borewright_client._operations import Operations

METHODS = [method for name, method in inspect.getmembers(Operations, inspect.isfunction) if name in vars(Operations)]


@pytest.mark.parametrize("method", METHODS, ids=lambda method: method.__name__)
def test_takes_keywords_only_and_is_documented(method: Any) -> None:
    own = list(inspect.signature(method).parameters.values())[1:]
    assert own
    assert {parameter.kind for parameter in own} == {inspect.Parameter.KEYWORD_ONLY}
    assert ">>> " in method.__doc__


def test_displacement_leaves_out_what_was_not_given(serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(200))
    client = connect(server)
    client.displacement(bore={"value": 4.03, "unit": "in", "tolerance": 0.0005}, stroke="3.48 in", cylinders=8)
    client.displacement(bore=4.03, stroke=3.48, cylinders=8, units="inch")
    assert [json.loads(request.body) for request in server.seen] == [
        {"bore": {"value": 4.03, "unit": "in", "tolerance": 0.0005}, "stroke": "3.48 in", "cylinders": 8},
        {"bore": 4.03, "stroke": 3.48, "cylinders": 8, "units": "inch"},
    ]


def test_displacement_batch(serve: Any, connect: Any, say: Any) -> None:
    answer = {"rows": 1, "columns": {"displacement": [None]}, "units": {}, "failures": [{"row": 0, "errors": []}]}
    server = serve(say(200, answer))
    assert connect(server).displacement_batch(columns={"bore": [-1.0]}, common={"cylinders": 8}, units="metric") == answer
    assert server.seen[0].path == "/v1/displacement/batch"
    assert json.loads(server.seen[0].body) == {"columns": {"bore": [-1.0]}, "common": {"cylinders": 8}, "units": "metric"}
