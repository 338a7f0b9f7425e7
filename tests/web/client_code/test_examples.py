"""What the docstrings of the client show."""

from typing import Any

import pytest

from borewright.web.client_code.examples import batch_example_lines, leading_figure, single_example

FIGURE = {"value": 10.24294, "unit": "1"}


@pytest.mark.parametrize(
    ("answer", "headline", "place"),
    [
        ({"a": FIGURE, "b": FIGURE}, ["b"], ("b",)),
        ({"a": FIGURE, "b": {"c": FIGURE}}, ["x", "b.c"], ("b", "c")),
        ({"a": None, "b": [{"c": FIGURE}]}, ["a"], ("b", 0, "c")),
        ({"checks": [{"value": FIGURE}], "a": "word"}, ["a"], ()),
    ],
)
def test_leading_figure(answer: dict[str, Any], headline: list[str], place: tuple[Any, ...]) -> None:
    assert leading_figure(answer, headline) == place


def test_figure_without_a_unit() -> None:
    lines = single_example("compression", {"bore": 4}, {"compression_ratio": FIGURE}, ["compression_ratio"])
    assert lines == [
        ">>> answer = client.compression(bore=4)",
        ">>> print(answer.compression_ratio)",
        "10.2429",
    ]


def test_answer_without_a_figure_shows_its_last_caution() -> None:
    lines = single_example("fit", {"from": "1 mm"}, {"verdict": "pass", "cautions": ["Measure."]}, [])
    assert lines == [">>> answer = client.fit(from_='1 mm')".replace("'", '"'), ">>> answer.cautions[-1]", "'Measure.'"]


def test_long_call_is_broken_over_lines() -> None:
    request = {"readings": [{"cylinder": number, "diameter": "3.8921 in"} for number in range(5)], "units": "inch"}
    lines = single_example("bores", request, {"a": FIGURE}, [])
    assert lines[0] == ">>> answer = client.bores("
    assert lines[1] == "...     readings=["
    assert lines[2] == '...         {"cylinder": 0, "diameter": "3.8921 in"},'
    assert lines[8:10] == ['...     units="inch",', "... )"]


def test_batch_column_with_a_failed_row_is_not_shown() -> None:
    answer = {"rows": 2, "failures": [], "columns": {"a": [1.0, None]}}
    assert batch_example_lines("fit_batch", {}, answer, ["a"])[1:] == [">>> answer.rows, answer.failures", "(2, [])"]
