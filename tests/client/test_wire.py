"""What can be sent, and what is taken for an answer."""

import json
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import numpy as np
import pytest
import requests

import borewright_client as bw
from borewright_client._wire import Reply, encode, read_body


def nested(depth: int) -> dict[str, object]:
    body: dict[str, object] = {}
    for _ in range(depth):
        body = {"a": body}
    return body


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf"), np.float64("nan"), Decimal("NaN"), Decimal("Infinity")])
@pytest.mark.parametrize(
    ("wrap", "pointer"),
    [
        (lambda value: {"bore": value}, "#/bore"),
        (lambda value: {"gasket": {"thickness": {"value": value, "unit": "in"}}}, "#/gasket/thickness/value"),
        (lambda value: {"columns": {"gasket.thickness": [1.0, 2.0, value]}}, "#/columns/gasket.thickness/2"),
        (lambda value: {"columns": {"bore": np.array([1.0, value])}}, "#/columns/bore/1"),
        (lambda value: {"a/b~c": (value,)}, "#/a~1b~0c/0"),
    ],
    ids=["field", "object", "column", "array", "odd name"],
)
def test_what_is_not_finite_is_refused_by_name(wrap: Any, pointer: str, value: float) -> None:
    with pytest.raises(ValueError, match=f"^{pointer}: "):
        encode(wrap(value))


def test_nothing_is_sent_when_a_value_is_not_finite(serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(200))
    client = connect(server)
    with pytest.raises(ValueError, match=r"^#/stroke: "):
        client.displacement(bore=3.862, stroke=float("nan"), cylinders=8, units="inch")
    with pytest.raises(ValueError, match=r"^#/columns/bore/1: "):
        client.displacement_batch(columns={"bore": [3.862, float("inf")]}, units="inch")
    assert server.seen == []


def test_a_number_with_too_many_digits_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match=r"^#/cylinders: "):
        encode({"bore": 1, "cylinders": 10**5000})


def test_what_json_does_not_know_is_refused_by_name() -> None:
    with pytest.raises(bw.Unsendable, match=r"^#/order/tags: set is not JSON"):
        encode({"bore": "4 in", "order": {"tags": {1, 2}}})


class Strange(np.ndarray[Any, Any]):
    """An array with a unit, as libraries of quantities have them: its numbers alone would be sent in another unit."""

    unit = "mm"


class Stranger:
    """A number with a unit, which has the methods of an array but not for numbers."""

    units, magnitude = "mm", 94.0

    def tolist(self) -> Any:
        raise AttributeError("Magnitude 'float' does not support tolist")


@pytest.mark.parametrize(
    "value", [np.array([94.0, 95.0]).view(Strange), np.array(94.0).view(Strange), Stranger()], ids=["array", "number", "other"]
)
def test_a_quantity_of_another_library_is_refused_by_name(value: Any, serve: Any, connect: Any, say: Any) -> None:
    for wrap in (lambda value: {"bore": value}, lambda value: {"bore": [value]}, lambda value: {"gasket": {"bore": {"value": value}}}):
        with pytest.raises(bw.Unsendable, match=r"#/.*bore.*: .* has a unit of its own: write the number with it"):
            encode(wrap(value))
    client = connect(serve(say(200)))
    with pytest.raises(bw.BorewrightError, match="unit of its own"):
        client.table("displacement", {"bore": value if value.__class__ is Stranger else value.ravel()})
    with pytest.raises(bw.Unsendable, match="#/columns/bore/0"):
        client.table("displacement", [{"bore": value}])


def test_depth_and_circles_are_refused() -> None:
    with pytest.raises(bw.Unsendable, match="nested too deeply"):
        encode(nested(100_000))
    circle: dict[str, object] = {}
    circle["a"] = {"b": circle}
    with pytest.raises(bw.Unsendable, match="holds itself"):
        encode(circle)


def test_arrays_and_array_scalars_are_sent_as_lists_and_numbers() -> None:
    body = {"columns": {"bore": np.array([3.862, 3.892])}, "common": {"cylinders": np.int64(8), "stroke": np.float64(3.36)}}
    assert json.loads(encode(body)) == {"columns": {"bore": [3.862, 3.892]}, "common": {"cylinders": 8, "stroke": 3.36}}


def test_decimals_are_sent_as_numbers() -> None:
    body = {
        "bore": Decimal("3.892"),
        "gasket": {"thickness": {"value": Decimal("0.04"), "unit": "in"}},
        "columns": {"stroke": [Decimal("3E+2")]},
    }
    assert json.loads(encode(body)) == {
        "bore": 3.892,
        "gasket": {"thickness": {"value": 0.04, "unit": "in"}},
        "columns": {"stroke": [300.0]},
    }


def test_text_arrives_as_it_was(serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(200))
    connect(server).displacement(bore="98.86 mm ± 0.01 mm", stroke="\ud800", cylinders=8)
    assert json.loads(server.seen[0].body) == {"bore": "98.86 mm ± 0.01 mm", "stroke": "\ud800", "cylinders": 8}


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"<html></html>",
        b"{",
        b'{"a": 1',
        b'{"a": NaN}',
        b'{"a": -Infinity}',
        b"\xff",
        b"[" * 100_000,
        b"1" * 5000,
        b"[]",
        b"null",
        b"1",
        b'"text"',
    ],
    ids=range(13),
)
def test_a_200_that_is_no_json_object(content: bytes, serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(200, content, X_Request_Id="srv-7"))
    with pytest.raises(bw.UnexpectedAnswer) as caught:
        connect(server).displacement(bore="4 in", stroke="3 in", cylinders=8)
    assert caught.value.status == 200
    assert caught.value.request_id == "srv-7"
    assert len(str(caught.value)) < 300
    assert len(server.seen) == 1


@pytest.mark.parametrize("kind", ["text/html; charset=utf-8", "text/plain"])
def test_a_page_in_place_of_an_answer_puts_the_address_in_question(kind: str, serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(200, b"<html>Welcome</html>", Content_Type=kind))
    with pytest.raises(bw.UnexpectedAnswer, match=f"the body is {kind.partition(';')[0]} and not JSON: is base_url"):
        connect(server).displacement(bore="4 in", stroke="3 in", cylinders=8)


class OldBody:
    """A body as the transport's first major version hands it out: without `read1`, and silent about an end that came too early."""

    def __init__(self, sent: bytes, promised: int) -> None:
        self.sent, self.length_remaining = sent, promised

    def stream(self, amount: int, decode_content: bool) -> Iterator[bytes]:
        while self.sent:
            piece, self.sent = self.sent[:amount], self.sent[amount:]
            self.length_remaining -= len(piece)
            yield piece


def test_a_body_that_ends_too_early_is_no_body_whatever_the_transport() -> None:
    response = requests.Response()
    response.raw = OldBody(b"%PDF-1.7 and no more", promised=1000)
    with pytest.raises(requests.ConnectionError, match="before the whole body"):
        read_body(response, lambda: 1.0)
    response = requests.Response()
    response.raw = OldBody(b"%PDF-1.7 and all", promised=16)
    assert read_body(response, lambda: 1.0) == b"%PDF-1.7 and all"


def test_media_type_of_a_reply_without_one_is_empty() -> None:
    assert Reply(200, {}, b"", "a1").media_type == ""
