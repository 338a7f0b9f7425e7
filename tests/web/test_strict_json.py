"""The decoder against RFC 8259 and the standard library's own reading of it."""

import json
import math
import re
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any
from unittest import mock

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError, InvalidRequest
from borewright.web import strict_json
from borewright.web.strict_json import MOST_NAMES, MOST_TOLD, STRING_LENGTH, NotJsonError, StrictDecoder

NoHang = Callable[[], AbstractContextManager[None]]
DECODER = StrictDecoder(nesting=24, digits=400, string_length=1000)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**17), 10**17) | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=20,
)


SLOW = StrictDecoder(nesting=24, digits=59, string_length=1000)  # fewer digits than the quick way asks for
NUMBERS = st.from_regex(r"\A-?(0|[1-9][0-9]{0,22})(\.[0-9]{1,22})?([eE][+-]?[0-9]{1,4})?\Z")
NAMES = st.sampled_from(['"a"', '"b"', '"a:b"', '"\\u0061"', '"{"', '"\\ud800"', '"é"', '""'])
WRITTEN = st.recursive(
    NUMBERS | NAMES | st.sampled_from(["null", "true", "false", "NaN", "Infinity", "-0", "01", '"\t"', '"\\n"', "+1", ".5", "5."]),
    lambda inner: (
        st.lists(inner, max_size=4).map(lambda found: f"[{', '.join(found)}]")
        | st.lists(st.tuples(NAMES, inner), max_size=4).map(lambda found: "{" + ",".join(f"{name}: {one}" for name, one in found) + "}")
    ),
    max_leaves=12,
)


def said(decoder: StrictDecoder, raw: bytes) -> Any:
    """What a decoder makes of a body, to the bit and the kind of each number, or what it says against it."""
    try:
        return repr(decoder.decode(raw))
    except NotJsonError as error:
        return error.detail, error.errors
    except InvalidRequest as error:
        return error.errors


def refusal(raw: bytes, decoder: StrictDecoder = DECODER) -> NotJsonError:
    with pytest.raises(NotJsonError) as caught:
        decoder.decode(raw)
    return caught.value


@given(JSON)
def test_what_is_json_reads_as_the_standard_library_reads_it(value: Any) -> None:
    assert DECODER.decode(json.dumps(value).encode()) == value
    assert DECODER.decode(json.dumps(value, ensure_ascii=False).encode("utf-8", "surrogatepass")) == value


@given(st.binary(max_size=60))
def test_any_bytes_are_read_or_refused_with_a_reason(raw: bytes) -> None:
    try:
        found: Any = DECODER.decode(raw)
    except NotJsonError as error:
        found = {"refused": [error.detail, *(place.detail for place in error.errors)]}
        reasons = found["refused"]
    else:
        reasons = ["read"]
    assert all(reasons)
    assert len(reasons) != 1 or reasons == ["read"]
    json.dumps(found, allow_nan=False)  # neither NaN nor a mark of the decoder's own is left in it


@pytest.mark.parametrize("text", ["NaN", "Infinity", "-Infinity", "1e400", "-1e400", "9" * 401, "0." + "1" * 400])
def test_numbers_that_are_none_are_pointed_at(text: str) -> None:
    error = refusal(f'{{"a": 1, "b": [0, {{"c/d": {text}}}]}}'.encode())
    assert [found.pointer for found in error.errors] == ["#/b/1/c~1d"]


def test_every_such_place_is_named() -> None:
    error = refusal(b'{"a": NaN, "b": [1e999, 2, Infinity]}')
    assert [found.pointer for found in error.errors] == ["#/a", "#/b/0", "#/b/2"]


def test_longest_number() -> None:
    assert DECODER.decode(b"1" * 300) == float("1" * 300)
    assert "400 are taken" in refusal(b"1" * 401).errors[0].detail


def test_longest_text_and_name() -> None:
    fits, longer = "é" * 1000, "é" * 1001
    kept = {fits: [fits, {"a": fits}], "b": 1}
    assert DECODER.decode(json.dumps(kept).encode()) == kept
    sent = {"a": longer, "b": [fits, longer, [{"c": longer}]], longer: 1, fits: [1.5] * 100}
    for ascii_only in (True, False):
        with pytest.raises(InvalidRequest) as refused:
            DECODER.decode(json.dumps(sent, ensure_ascii=ascii_only).encode())
        errors = refused.value.errors
        assert [found.pointer for found in errors] == ["#/a", "#/b/1", "#/b/2/0/c", "#"]
        assert "a text of 1001 characters: at most 1000 are taken" in errors[0].detail
        assert "a name of 1001" in errors[3].detail
    with pytest.raises(InvalidRequest):
        DECODER.decode(json.dumps(longer).encode())


@pytest.mark.parametrize("whole", [10**17, -(10**16), 2**53 + 1])
def test_whole_numbers_of_up_to_18_digits_stay_exact(whole: int) -> None:
    found = DECODER.decode(str(whole).encode())
    assert (type(found), found) == (int, whole)


def test_duplicate_names() -> None:
    error = refusal(b'{"a": 1, "b": {"c": 1, "c": 1}, "a": 2}')
    assert [found.pointer for found in error.errors] == ["#/a", "#/b/c"]


@pytest.mark.parametrize("opening", ["[", '{"a":'])
def test_nesting_up_to_the_limit(opening: str) -> None:
    def nested(levels: int) -> bytes:
        return (opening * levels + "1" + ("]" if opening == "[" else "}") * levels).encode()

    assert DECODER.decode(nested(24))
    assert "deeper than 24 levels" in refusal(nested(25)).detail
    assert "deeper than 24 levels" in refusal(nested(100_000)).detail


def test_brackets_inside_texts_are_no_nesting() -> None:
    text = '[{"' * 100 + "\\"
    assert DECODER.decode(json.dumps({"a": text, "b": [text]}).encode()) == {"a": text, "b": [text]}


def test_many_lists_side_by_side_are_no_nesting() -> None:
    assert len(DECODER.decode(b"[" + b",".join([b"[]"] * 1000) + b"]")) == 1000


@pytest.mark.parametrize("tail", [b"", b"\\"])
def test_a_text_that_never_ends_takes_no_time(tail: bytes, no_hang: NoHang) -> None:
    """Two megabytes of escaped quotes: searched from each of them again, they would take hours."""
    raw = b"[" * 20 + b'"' + b'\\"' * 1_000_000 + b"[" * 40 + tail
    with no_hang():
        refusal(raw)


@pytest.mark.parametrize(
    ("raw", "detail"),
    [
        (b"", "empty"),
        (b" \n", "empty"),
        (b"{", "line 1, column 2"),
        (b"[1,\n 2,]", "line 2, column"),
        (b"{'a': 1}", "line 1, column 2"),
        (b'{"a": 01}', "line 1"),
        (b'{"a": .5}', "line 1"),
        (b'{"a": +1}', "line 1"),
        (b'"tab\there"', "control character"),
        (b"// comment", "line 1"),
        (b"1 2", "line 1"),
        (b'"\xff"', "byte 1"),
        (b'"\xed\xa0\x80"', "UTF-8"),
        (b"\xff\xfe[\x00]\x00", "UTF-8"),
    ],
)
def test_what_is_no_json(raw: bytes, detail: str) -> None:
    error = refusal(raw)
    assert detail in error.detail
    assert error.errors == [FieldError("#", error.detail, Code.NOT_JSON)]


def test_a_decoder_can_be_used_again_after_a_refusal() -> None:
    refusal(b"[NaN]")
    assert DECODER.decode(b"[1.5]") == [1.5]


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_keep_every_bit(value: float) -> None:
    found = DECODER.decode(repr(value).encode())
    assert math.copysign(1.0, found) == math.copysign(1.0, value)
    assert found == value


def test_more_values_than_it_takes_are_refused_before_they_are_made() -> None:
    few = StrictDecoder(nesting=24, digits=400, string_length=1000, values=10)
    assert few.decode(b"[1,1,1,1,1,1,1,1,1]") == [1] * 9
    for body in (
        b"[1,1,1,1,1,1,1,1,1,1]",
        b"[" + b"[],{},[],{},[]" + b"]",
        b'{"a":1,"b":2,"c":3,"d":4,"e":5,"f":6,"g":7,"h":8,"i":9,"j":0}',
    ):
        with pytest.raises(InvalidRequest, match="more than 10 values"):
            few.decode(body)


def test_an_object_of_very_many_names() -> None:
    for count in (MOST_NAMES, MOST_NAMES + 1):
        body = "{" + ", ".join(f'"n{number}": 0' for number in range(count)) + "}"
        if count == MOST_NAMES:
            assert len(DECODER.decode(body.encode())) == count
        else:
            with pytest.raises(InvalidRequest) as refused:
                DECODER.decode(body.encode())
            assert [error.detail for error in refused.value.errors] == [f"an object of {count} names: at most {MOST_NAMES} are taken"]


def test_a_hundred_bad_places_are_told() -> None:
    with pytest.raises(NotJsonError) as refused:
        DECODER.decode(b"[" + b"NaN," * 200 + b"0]")
    assert len(refused.value.errors) == MOST_TOLD


@given(st.lists(st.tuples(NAMES, WRITTEN), max_size=4), st.booleans())
def test_the_quick_way_says_what_the_strict_one_says(members: list[tuple[str, str]], broken: bool) -> None:
    body = "{" + ",".join(f"{name}:{inner}" for name, inner in members) + "}"
    raw = body.encode()[: -2 if broken else None]
    assert said(DECODER, raw) == said(SLOW, raw)


@pytest.mark.parametrize(
    "body",
    [
        '{"columns": {"bore": [3.862, 3.892, null], "units": ["in", "mm"]}, "common": {"a": -0.0}}',
        '{"value": 123456789012345678, "texts": ["x\\n", "é"], "objects": [{"a": 1}, {"a": 2}]}',
        '{"ratio" : ["10.5:1", "9:1"], "marks": ["4.21\\"", "\\\\", "{[[[[[[[[[[[[[[[[[[[[[[[[[["], "long": "' + '\\"' * 450 + '"}',
    ],
)
def test_ordinary_bodies_take_the_quick_way(body: str, monkeypatch: pytest.MonkeyPatch) -> None:
    expected = json.loads(body)
    decoder = StrictDecoder(nesting=24, digits=400, string_length=1000)
    monkeypatch.setattr(decoder, "_decoder", None)
    assert decoder.decode(body.encode()) == expected


@pytest.mark.parametrize(
    "body",
    [
        '{"a": 1, "a": 2}',
        '{"a": [{"b": 1, "b": 2}], "c": "x:y"}',
        '{"a": 1234567890123456789}',
        '{"a": "' + "x" * 1001 + '"}',
        '{"' + "x" * 1001 + '": 1}',
        '{"a": "' + "\\u0061" * 1001 + '"}',
        '{"a": "' + '\\"' * 1001 + '"}',
        '{"a": ["x:y", {"b": 1, "b": 2}]}',
        '{"a": "' + "[" * 25 + '", "b": ' + "[" * 24 + "]" * 24 + "}",
        '{"a": ' * 25 + "1" + "}" * 25,
    ],
)
def test_what_the_quick_way_does_not_see_is_left_to_the_strict_one(body: str) -> None:
    assert said(DECODER, body.encode()) == said(SLOW, body.encode())
    assert DECODER._quick(body.encode(), body.count("{") + body.count("[")) is None


@pytest.mark.parametrize("way", [b"", b' , "a": "\\\\" '], ids=["quick", "slow"])
def test_objects_of_many_names_are_refused_where_they_stand(way: bytes) -> None:
    """Each unknown name would be an error, fifty times as dear as reading it."""

    def body(names: int) -> bytes:
        inner = b"{%b}" % b",".join(b'"n%d": 1' % number for number in range(names))
        return b'{"outer": [1, {"in/ner": %b}], "b": %b%b}' % (inner, inner, way if names > MOST_NAMES else b"")

    assert len(DECODER.decode(body(MOST_NAMES))["b"]) == MOST_NAMES
    with pytest.raises(InvalidRequest) as refused:
        DECODER.decode(body(MOST_NAMES + 1))
    assert [error.pointer for error in refused.value.errors] == ["#/outer/1/in~1ner", "#/b"]
    assert all(f"at most {MOST_NAMES}" in error.detail for error in refused.value.errors)
    with pytest.raises(NotJsonError):
        DECODER.decode(body(MOST_NAMES + 1)[:-1] + b', "c": NaN}')


def deepest(body: object) -> int:
    if isinstance(body, dict | list):
        return 1 + max(map(deepest, body.values() if isinstance(body, dict) else body), default=0)
    return 0


VALUES = st.recursive(
    st.none() | st.text(st.sampled_from('[]{}"\\a'), max_size=6),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=2), inner, max_size=3),
)


@given(VALUES, st.sampled_from([1, 3, 7, 1 << 20]))
def test_depth_is_told_whatever_stands_in_texts_and_however_long_the_body_is(body: object, piece: int) -> None:
    before = strict_json._PIECE
    try:
        strict_json._PIECE = piece
        assert strict_json._depth(json.dumps(body).encode(), 100) == deepest(body)
    finally:
        strict_json._PIECE = before


PIECES = st.lists(
    st.sampled_from([b'"', b"7", b"77777", b"x", b" " * 9, b"1" * 18, b"1" * 19, b"1" * 20, b"[", b'"",', b'"abcdefgh"']), max_size=40
)


@given(PIECES, st.integers(3, 12), st.sampled_from([1, 19, 65_536]))
def test_long_texts_and_numbers_are_found_as_by_looking_at_each(pieces: list[bytes], most: int, stretch: int) -> None:
    """From quote to quote and stretch by stretch, against splitting the whole and against a pattern."""
    raw = b"".join(pieces)
    if raw.count(b'"') % 2 == 0:  # else a text has no end, and is no JSON
        assert strict_json._has_long_text(raw, most) == (max(map(len, raw.split(b'"')[1::2]), default=0) > most)
    with mock.patch.object(strict_json, "_STRETCH", stretch):
        assert strict_json._has_long_number(raw) == (re.search(rb"[0-9]{19}", raw) is not None)


@pytest.mark.parametrize("raw", [b"", b",", b"{,}" * 5000, bytes(range(256)) * 100])
def test_signs_are_counted_alike_in_small_and_large_bodies(raw: bytes) -> None:
    assert [strict_json._count(raw, sign) for sign in (b",", b"{", b"[", b":")] == [raw.count(sign) for sign in (b",", b"{", b"[", b":")]


def test_a_body_of_many_gaps_is_not_gone_through_again_for_each() -> None:
    """Long stretches without a quote, in a body of the largest size: each part of it is counted once."""
    raw = b'["a",' + b" " * 140_000
    body = b"[" + b",".join([raw[1:] + b'"b"'] * 40) + b"]"
    counted: list[int] = []
    with mock.patch.object(strict_json, "_count", side_effect=lambda part, sign: counted.append(len(part)) or part.count(sign)):
        assert not strict_json._has_long_text(body, STRING_LENGTH)
    assert sum(counted) <= len(body)
