"""Answers with attributes, figures that convert, and what one call or one copy of a client does otherwise."""

import copy
import logging
import pickle
from decimal import Decimal
from fractions import Fraction
from typing import Any

import numpy as np
import pytest

import borewright_client as bw
from borewright.quantities import KINDS

RAW = {
    "verdict": "pass",
    "checks": [
        {
            "name": "squish",
            "verdict": "pass",
            "value": {"value": 1.0, "unit": "mm", "low": 0.9, "high": 1.1, "uncertainty": 0.1},
            "limits": {"low": {"value": 0.8, "unit": "mm"}, "high": None},
            "reason": "room",
            "basis": "common practice",
            "source": "a source",
            "missing": [],
        }
    ],
    "cautions": [],
    "assumptions": [{"name": "pin_offset", "value": {"value": 0.0, "unit": "mm"}, "basis": "caller", "source": ""}],
    "sensitivity": [],
    "displacement": {"value": 2000.0, "unit": "cm3"},
    "later": {"than": "this client"},
}
ALIVE = {"status": "live"}


@pytest.fixture
def answer(serve: Any, connect: Any, say: Any) -> bw.answers.DisplacementAnswer:
    client: bw.Client = connect(serve(say(200, RAW, X_Request_Id="bench-9")))
    return client.displacement(bore="84.3 mm", stroke="85.3 mm", cylinders=4)


def test_members_are_attributes_and_raw_is_whole(answer: bw.answers.DisplacementAnswer) -> None:
    assert (answer.verdict, answer.displacement.value, answer["displacement"]["unit"]) == ("pass", 2000.0, "cm3")
    check = answer.checks[0]
    assert check.value is not None
    assert (check.value.uncertainty, check.limits.high, check.limits.low) == (0.1, None, bw.Measured({"value": 0.8, "unit": "mm"}))
    assert answer.displacement.low is None, "no tolerance came in"
    assert isinstance(answer.assumptions[0].value, bw.Measured)
    assert answer.raw == RAW
    assert answer["later"] == {"than": "this client"}
    assert answer.request_id == "bench-9"
    assert answer.headers["content-type"] == "application/json"


def test_what_is_not_there_is_said(answer: bw.answers.DisplacementAnswer) -> None:
    with pytest.raises(bw.MissingMember, match="has no member 'displacment': is 'displacement' meant"):
        _ = answer.displacment  # type-checked away; at run time an error too
    with pytest.raises(bw.MissingMember, match="lacks 'swept_volume'"):
        _ = answer.swept_volume
    with pytest.raises(AttributeError, match="only read"):
        answer.verdict = "fail"


def test_an_answer_survives_a_process_boundary(answer: bw.answers.DisplacementAnswer) -> None:
    again = pickle.loads(pickle.dumps(answer))
    assert (again, type(again), again.request_id) == (answer, type(answer), "bench-9")
    assert again.headers["CONTENT-TYPE"] == answer.headers["content-type"] == "application/json"
    assert copy.deepcopy(answer).headers == copy.copy(answer).headers == answer.headers


def test_an_answer_is_printed_as_one_reads_it_and_lists_its_members(answer: bw.answers.DisplacementAnswer) -> None:
    lines = str(answer).splitlines()
    assert lines[:3] == ["verdict: pass", "checks:", "  -"]
    assert "    value: 1 mm" in lines
    assert "displacement: 2000 cm3" in lines
    assert "cautions: none" in lines
    assert repr(answer).startswith("DisplacementAnswer({'verdict': 'pass'")
    assert {"displacement", "swept_volume", "later", "raw"} <= set(dir(answer))


@pytest.mark.parametrize(
    ("value", "unit", "to", "expected"),
    [(1.0, "in", "mm", 25.4), (100.0, "kPa", "psi", 14.5037737730), (20.0, "degC", "degF", 68.0), (10.0, "1", "%", 1000.0)],
)
def test_figures_convert_with_their_band(value: float, unit: str, to: str, expected: float) -> None:
    figure = bw.Measured({"value": value, "unit": unit, "low": value, "high": value, "uncertainty": 0.0})
    other = figure.to(to)
    assert (other.value, other.low, other.high) == pytest.approx((expected,) * 3, rel=1e-10)
    assert other.to(unit).value == pytest.approx(value)
    assert figure == other
    assert hash(figure) == hash(other)


def test_figures_are_compared_and_written() -> None:
    one, two = bw.Measured({"value": 1.0, "unit": "mm"}), bw.Measured({"value": 0.04, "unit": "in"})
    assert one < two <= "1.1 mm"
    assert sorted([two, one]) == [one, two]
    assert (f"{two:.3f}", str(one), float(two)) == ("0.040 in", "1 mm", 0.04)
    assert bw.Measured({"value": 10.5, "unit": "1"}) > 10
    assert bw.Measured({"value": 10.5, "unit": "1"}) == "10.5:1" == bw.Measured({"value": 10.5, "unit": "1"})
    assert two == '0.04"' == bw.Measured({"value": 1.016, "unit": "mm"})
    assert two != "0.04 kg"
    assert two != "thick"
    assert two != 0.04, "in which unit?"
    for same in (one <= "1 mm", one >= "1 mm", one == "1 mm", bw.Measured({"value": 10.0, "unit": "1"}) <= 10.0):
        assert same
    for apart in (one < "1 mm", one > "1 mm", one != "1 mm"):
        assert not apart
    for wrong in (lambda: one < 3.0, lambda: one.to("kg"), lambda: one.to("furlong"), lambda: one < "thick", lambda: one <= "1 kg"):
        with pytest.raises(bw.WrongUnit):
            wrong()


def figure(value: float, unit: str) -> bw.Measured:
    return bw.Measured({"value": value, "unit": unit})


@pytest.mark.parametrize(
    ("spec", "text"),
    [
        (".3f", "25.400 mm"),
        ("in", "1 in"),
        (".3f in", "1.000 in"),
        (".1f inches", "1.0 in"),
        (">8.2f", "   25.40 mm"),
        ("_>8.2f in", "____1.00 in"),
        (" .1f", " 25.4 mm"),
        ("+.1f thou", "+1000.0 thou"),
        ("g", "25.4 mm"),
        ("ft", "0.0833333 ft"),
    ],
)
def test_figures_are_written_in_the_unit_asked_for(spec: str, text: str) -> None:
    assert format(figure(25.4, "mm"), spec) == text


def test_ratios_and_units_of_two_words_are_written() -> None:
    assert (f"{figure(0.25, '1'):.1%}", f"{figure(0.25, '1'):.1f %}", f"{figure(10.5, '1'):.2f}") == ("25.0%", "25.0 %", "10.50")
    assert (f"{figure(100.0, 'N·m'):.2f lbf ft}", f"{figure(1000.0, 'cm3'):.1f cu in}") == ("73.76 lbf ft", "61.0 cu in")
    for wrong in ("kg", "d", "furlong", ".3fin"):
        with pytest.raises(bw.WrongUnit):
            format(figure(1.0, "mm"), wrong)


def test_every_spelling_that_the_service_reads_is_read() -> None:
    for kind in KINDS.values():
        first = next(iter(kind.units))
        for spelling in (*kind.units, *kind.also):
            if kind.name != "temperature_difference":
                unit = kind.read(spelling)
                assert unit is not None
                there = (kind.units[first].factor + kind.units[first].offset - unit.offset) / unit.factor
                assert figure(1.0, first).to(spelling).value == pytest.approx(there, rel=1e-9, abs=1e-9), spelling


@pytest.mark.parametrize(
    "text", ["1 1/32 in", "33/32 in", "1.03125 inches", '1.03125"', "1031.25 mil", "26.19375mm", "+2.619375e1 mm", "0.02619375 m"]
)
def test_a_size_as_people_write_it_can_stand_for_one(text: str) -> None:
    assert figure(26.19375, "mm") == text
    assert figure(-26.19375, "mm") == f"\u2212{text.removeprefix('+')}"
    assert figure(26.2, "mm") > text > figure(26.1, "mm")


@pytest.mark.parametrize("text", ["", "in", "1/0 in", "1 in in", "1,5 in", "1 in ± 0.1 in", "one inch", "1e999999 in", "nan in"])
def test_what_is_no_size_is_said(text: str) -> None:
    with pytest.raises(bw.WrongUnit):
        _ = figure(1.0, "in") < text
    assert figure(1.0, "in") != text


def test_differences_of_temperatures_are_no_temperatures() -> None:
    """Metric answers have them in kelvins."""
    for difference in (figure(10.0, "K"), figure(10.0, "delta_degC")):
        assert difference.to("delta_degF").value == 18.0
        assert difference == figure(18.0, "delta_degF")
        assert hash(difference) == hash(figure(18.0, "delta_degF"))
        for absolute in ("degC", "degF", "°F"):
            with pytest.raises(bw.WrongUnit, match="difference"):
                difference.to(absolute)
    with pytest.raises(bw.WrongUnit, match="difference"):
        figure(20.0, "degC").to("delta_degF")
    assert figure(20.0, "degC").to("K").value == 293.15
    assert figure(20.0, "degC") == "293.15 K" == figure(68.0, "degF")
    assert figure(20.0, "degC") < "300 K"


@pytest.mark.parametrize("number", [np.float64, np.float32, np.int64, Decimal, Fraction, float, int])
def test_numbers_of_every_kind_are_compared_from_either_side(number: Any) -> None:
    ratio = figure(10.0, "1")
    assert number(9) < ratio < number(11)
    assert number(10) <= ratio <= number(10)
    assert ratio == number(10)
    assert number(10) == ratio
    assert ratio != number(11)


def test_nothing_and_no_number_are_neither_more_nor_less() -> None:
    ratio, nan = figure(10.0, "1"), float("nan")
    assert [ratio > nan, ratio >= nan, ratio < nan, ratio <= nan, ratio == nan] == [False] * 5
    for other in (None, object(), [10.0], np.array([10.0])):
        with pytest.raises(TypeError):
            _ = ratio > other  # type-checked away
    assert ratio is not None


def test_numpy_takes_figures_whole_and_numbers_where_asked() -> None:
    sizes = [figure(1.0, "in"), figure(2.0, "in")]
    assert np.array(sizes, dtype=float).tolist() == [1.0, 2.0]
    assert np.array(sizes).tolist() == sizes, "with their units"
    assert np.asarray(sizes[0], dtype="f4") == np.float32(1.0)


def test_a_figure_goes_into_the_next_request_and_none_is_left_out_at_any_depth(serve: Any, connect: Any, say: Any) -> None:
    server = serve(say(200, RAW))
    figure = bw.Measured({"value": 1.0, "unit": "mm", "low": 0.9, "high": 1.1})
    client: bw.Client = connect(server)
    client.build_sheet(order={"id": "A-1", "notes": None}, build={"gasket": {"thickness": figure, "bore": None}})
    assert server.seen[0].body == b'{"order": {"id": "A-1"}, "build": {"gasket": {"thickness": {"value": 1.0, "unit": "mm"}}}}'


def test_options_of_one_call_and_of_a_copy(serve: Any, connect: Any, say: Any, clock: Any) -> None:
    server = serve(say(503))
    client: bw.Client = connect(server, retries=2)
    for ask, tries in ((client, 3), (client.with_options(retries=0), 1)):
        with pytest.raises(bw.Unavailable):
            ask.health()
        assert len(server.seen) == tries
        server.seen.clear()
    with pytest.raises(bw.Unavailable):
        client.health(options={"retries": 1, "request_id": "one-call"})
    assert [seen.headers["x-request-id"] for seen in server.seen] == ["one-call"] * 2
    wrong: Any = {"retry": 1}
    with pytest.raises(bw.WrongSetting, match="no option retry"):
        client.health(options=wrong)


def test_settings_come_from_the_environment(serve: Any, say: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    server = serve(say(200, ALIVE))
    for name, value in (("URL", server.url), ("API_KEY", "secret"), ("TIMEOUT", "3.5"), ("DEADLINE", "9"), ("RETRIES", "4")):
        monkeypatch.setenv(f"BOREWRIGHT_CLIENT_{name}", value)
    with bw.Client() as client:
        client.health()
        policy = client._policy
    assert (policy.timeout, policy.deadline, policy.retries) == (3.5, 9.0, 4)
    assert server.seen[0].headers["authorization"] == "Bearer secret"


@pytest.mark.parametrize("kind", [bw.Client, bw.AsyncClient])
@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("RETRIES", "some", "must be a whole number, not 'some'"),
        ("RETRIES", "1.5", "must be a whole number, not '1.5'"),
        ("RETRIES", "-1", ": retries must be a whole number, 0 or more"),
        ("TIMEOUT", "soon", "must be a number, not 'soon'"),
        ("TIMEOUT", "nan", ": timeout must be a positive number of seconds"),
        ("DEADLINE", "0", ": deadline must be a positive number of seconds"),
        ("URL", "shop.example", ": base_url must be an http or https address"),
        ("API_KEY", "Bearer secret", ": api_key must be printable ASCII"),
    ],
)
def test_a_mistake_in_the_environment_is_told_by_its_name(
    kind: Any, name: str, value: str, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BOREWRIGHT_CLIENT_URL", "http://127.0.0.1:1")
    monkeypatch.setenv(f"BOREWRIGHT_CLIENT_{name}", value)
    with pytest.raises(bw.WrongSetting, match=f"^BOREWRIGHT_CLIENT_{name}.?{said}") as caught:
        kind()
    assert "secret" not in str(caught.value)
    given: dict[str, dict[str, Any]] = {"URL": {"base_url": "http://127.0.0.1:1"}, "API_KEY": {"api_key": "k"}, "RETRIES": {"retries": 1}}
    assert kind(**given.get(name, {name.lower(): 1.0})), "what is given counts, and the other is not looked at"


def test_an_empty_setting_of_the_environment_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("URL", "API_KEY", "TIMEOUT", "DEADLINE", "RETRIES"):
        monkeypatch.setenv(f"BOREWRIGHT_CLIENT_{name}", "")
    client = bw.Client("http://127.0.0.1:1")
    assert (client._key, client._policy) == (None, bw.Client("http://127.0.0.1:1", timeout=35.0, deadline=35.0, retries=2)._policy)
    with pytest.raises(bw.WrongSetting, match="base_url is needed"):
        bw.Client()


@pytest.mark.parametrize("kind", [bw.Client, bw.AsyncClient])
@pytest.mark.parametrize(
    "wrong",
    [
        {"base_url": 5},
        {"base_url": b"http://a"},
        {"api_key": 5},
        {"request_id": 5},
        {"before": 5},
        {"after": "x"},
        {"session": 5},
        {"timeout": "5"},
    ],
    ids=str,
)
def test_settings_of_another_kind_are_refused(kind: Any, wrong: dict[str, Any]) -> None:
    with pytest.raises(bw.WrongSetting, match=next(iter(wrong))):
        kind(**{"base_url": "http://127.0.0.1:1", **wrong})


@pytest.mark.parametrize("options", [5, "timeout", [1]])
def test_options_are_a_mapping(options: Any, connect: Any, serve: Any, say: Any) -> None:
    with pytest.raises(bw.WrongSetting, match="options are a mapping"):
        connect(serve(say(200))).health(options=options)


def test_hooks_see_each_try_and_the_log_tells_of_it(
    serve: Any, connect: Any, say: Any, clock: Any, caplog: pytest.LogCaptureFixture
) -> None:
    seen: list[tuple[Any, ...]] = []

    def before(attempt: bw.Attempt) -> None:
        attempt.headers["traceparent"] = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01"

    server = serve(say(503), say(200, ALIVE))
    client = connect(server, before=before, after=lambda tried: seen.append((tried.method, tried.path, tried.status, type(tried.error))))
    with caplog.at_level(logging.DEBUG, logger="borewright_client"):
        client.health()
    assert seen == [("GET", "/health/live", 503, bw.Unavailable), ("GET", "/health/live", 200, type(None))]
    assert all(request.headers["traceparent"].startswith("00-4bf9") for request in server.seen)
    assert [record.levelname for record in caplog.records] == ["DEBUG", "INFO", "DEBUG"]


@pytest.mark.parametrize("name", ["before", "after"])
@pytest.mark.parametrize("kind", [bw.Client, bw.AsyncClient])
def test_a_hook_that_nobody_would_await_is_refused(name: str, kind: Any) -> None:
    async def hook(attempt: bw.Attempt) -> None: ...

    with pytest.raises(bw.WrongSetting, match=f"{name} must be a plain function"):
        kind("http://127.0.0.1:1", **{name: hook})


def test_the_log_tells_once_of_what_is_to_go(serve: Any, connect: Any, say: Any, caplog: pytest.LogCaptureFixture) -> None:
    gone = {"Deprecation": "@1688169599", "Sunset": "Sun, 30 Jun 2024 23:59:59 GMT", "Link": '</v2/x>; rel="successor-version"'}
    client = connect(serve(say(200, ALIVE, **gone)))
    with caplog.at_level(logging.WARNING, logger="borewright_client"):
        client.health()
        client.with_options(retries=0).health()
    assert [record.getMessage() for record in caplog.records] == [
        '/health/live is deprecated, and is there until Sun, 30 Jun 2024 23:59:59 GMT; </v2/x>; rel="successor-version"'
    ]
