"""traceparent, by the examples and rules of W3C Trace Context."""

import re

import pytest
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st

from borewright.web.observing.tracing import traced

TRACE, SPAN = "4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7"  # of the recommendation's section 3.2.4
WRITTEN = re.compile(r"00-(?!0{32})[0-9a-f]{32}-(?!0{16})[0-9a-f]{16}-0[01]")


@pytest.mark.parametrize(
    ("header", "sampled"),
    [
        (f"00-{TRACE}-{SPAN}-01", True),
        (f"00-{TRACE}-{SPAN}-00", False),
        (f"00-{TRACE}-{SPAN}-ff", True),
        (f"00-{TRACE}-{SPAN}-02", False),
        (f"cc-{TRACE}-{SPAN}-01", True),
        (f"cc-{TRACE}-{SPAN}-01-what-the-future-will-be-like", True),
    ],
)
def test_the_callers_trace_goes_on_in_a_new_span(header: str, sampled: bool) -> None:
    found = traced(header)
    assert (found.trace_id, found.parent_id, found.sampled) == (TRACE, SPAN, sampled)
    assert found.span_id != SPAN
    assert found.header == f"00-{TRACE}-{found.span_id}-{'01' if sampled else '00'}"
    assert WRITTEN.fullmatch(found.header)


@pytest.mark.parametrize(
    "header",
    [
        None,
        "",
        f"00-{'0' * 32}-{SPAN}-01",
        f"00-{TRACE}-{'0' * 16}-01",
        f"ff-{TRACE}-{SPAN}-01",
        f"00-{TRACE}-{SPAN}-01-more",
        f"00-{TRACE}-{SPAN}-01-",
        f"00-{TRACE.upper()}-{SPAN}-01",
        f"00-{TRACE}-{SPAN}",
        f"00-{TRACE[:-1]}-{SPAN}-01",
        f"00-{TRACE}0-{SPAN}-01",
        f"0-{TRACE}-{SPAN}-01",
        f"00-{TRACE}-{SPAN}-1",
        f"00_{TRACE}_{SPAN}_01",
        f" 00-{TRACE}-{SPAN}-01",
        f"cc-{TRACE}-{SPAN}-01.more",
        f"00-{'g' * 32}-{SPAN}-01",
    ],
)
def test_what_is_malformed_begins_a_new_trace(header: str | None) -> None:
    found, other = traced(header), traced(header)
    assert found.trace_id not in (TRACE, other.trace_id)
    assert (found.parent_id, found.sampled) == (None, False)
    assert WRITTEN.fullmatch(found.header)


@given(st.text(max_size=80))
def test_any_header_gives_a_well_formed_one(header: str) -> None:
    assert WRITTEN.fullmatch(traced(header).header)


def test_every_answer_carries_it(client: FlaskClient) -> None:
    for method, path in (("GET", "/health/live"), ("POST", "/v1/displacement"), ("GET", "/nowhere"), ("OPTIONS", "/v1/displacement")):
        answer = client.open(path, method=method, headers={"traceparent": f"00-{TRACE}-{SPAN}-01"})
        assert re.fullmatch(rf"00-{TRACE}-(?!{SPAN})[0-9a-f]{{16}}-01", answer.headers["traceparent"])
        assert WRITTEN.fullmatch(client.open(path, method=method).headers["traceparent"])
