"""The codes of refused fields: each kind of mistake has its own, and each code is met."""

from typing import Any

import pytest

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.mistakes import MISTAKES
from borewright.calculations.base.problems import Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

GOOD = {"bore": "94 mm", "stroke": "88 mm", "cylinders": 4}


def codes(name: str, body: Any) -> set[str]:
    with pytest.raises(Refusal) as caught:
        answer(calculations()[name], body)
    return {error.code for error in caught.value.errors}


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"bore": None}, "wrong-type"),
        ({"bor": "1 mm"}, "unknown-field"),
        ({"bore": 94}, "no-unit"),
        ({"bore": "94 kg"}, "unit-of-another-kind"),
        ({"bore": "94 furlongs"}, "unknown-unit"),
        ({"bore": "wide"}, "unreadable-quantity"),
        ({"bore": "4 m"}, "out-of-range"),
        ({"bore": "-4 mm"}, "out-of-range"),
        ({"cylinders": 4.5}, "wrong-type"),
        ({"cylinders": 400}, "out-of-range"),
        ({"units": "imperial"}, "not-an-option"),
        ({"bore": "9" * 300 + " mm"}, "wrong-length"),
    ],
)
def test_of_a_field(changes: dict[str, Any], code: str) -> None:
    assert codes("displacement", {**GOOD, **changes}) == {code}


def test_of_what_is_left_out_and_given_twice() -> None:
    assert codes("displacement", {"bore": "94 mm"}) == {"missing"}
    build = {**GOOD, "chamber_volume": "52 cm3", "gasket": {"bore": "95 mm", "thickness": "1 mm"}}
    assert codes("compression", build) == {"missing"}
    twice = {"deck_clearance": "0 mm", "stack": {"deck_height": "230 mm", "rod_length": "145 mm", "compression_height": "40 mm"}}
    assert codes("compression", {**build, **twice}) == {"given-twice"}
    assert codes("compression", {**build, "deck_clearance": "0 mm", "crown": {"dome": "300 cm3"}}) == {"impossible"}


@pytest.mark.parametrize(
    ("columns", "code"),
    [({"bore": ["94 mm"], "stroke": ["88 mm", "89 mm"]}, "unequal-columns"), ({"bore": ["94 mm"] * 11}, "wrong-length")],
)
def test_of_a_batch(columns: dict[str, list[str]], code: str) -> None:
    with pytest.raises(Refusal) as caught:
        answer_batch(calculations()["displacement"], {"columns": columns}, most_rows=10)
    assert [error.code for error in caught.value.errors] == [code]
    assert type(caught.value).__name__ == "InvalidRequest"


def test_of_a_row() -> None:
    found = answer_batch(calculations()["displacement"], {"common": {"cylinders": 4}, "columns": {"bore": ["9 kg"]}}, most_rows=10)
    (failure,) = found["failures"]
    assert "unit-of-another-kind" in {error["code"] for error in failure["errors"]}


def test_each_has_a_sentence() -> None:
    assert all(mistake.sentence.endswith(".") for mistake in MISTAKES.values())
