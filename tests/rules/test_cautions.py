"""The table of cautions: each that tells of people hurt names its danger and defers; the gravest come first, none twice."""

from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import borewright.calculations as package
from borewright.calculations.base.registry import calculations
from borewright.rules.cautions import CAUTIONS, ESTIMATE, caution_texts, gravest_first

HURTING = ("nitrous", "test-running", "fuel-fire", "rotating-parts", "balancing", "lifting", "pressure-testing", "boost")


@pytest.mark.parametrize("key", HURTING)
def test_what_hurts_people_defers(key: str) -> None:
    assert "local codes" in CAUTIONS[key]
    assert "licensed" in CAUTIONS[key]


def test_what_hurts_people_comes_before_what_breaks_parts() -> None:
    assert tuple(CAUTIONS)[: len(HURTING)] == HURTING
    assert "local codes" in ESTIMATE
    assert "measuring" in ESTIMATE


def test_no_two_say_the_same() -> None:
    """Of two cautions less than half the words are shared: words of three letters and fewer aside, and what each defers to."""

    def words(text: str) -> set[str]:
        return {word for word in text.lower().translate(str.maketrans(".,:;", "    ")).split() if len(word) > 3} - {
            *["local", "codes", "licensed", "practice", "people", "follow", "trained", "leave"]
        }

    for one, other in combinations(CAUTIONS.values(), 2):
        shared = words(one) & words(other)
        assert len(shared) < 0.5 * min(len(words(one)), len(words(other))), (one, other)


def test_every_caution_is_used() -> None:
    """By a calculation as such, or by its name in the source of one."""
    source = "\n".join(path.read_text() for path in Path(package.__path__[0]).rglob("*.py"))
    always = {key for calculation in calculations().values() for key in calculation.cautions}
    assert [key for key in CAUTIONS if key not in always and f'"{key}"' not in source] == []


@given(st.lists(st.lists(st.sampled_from(list(CAUTIONS)))))
def test_answers_put_together_are_in_one_order(answers: list[list[str]]) -> None:
    merged = gravest_first(text for keys in answers for text in caution_texts(keys))
    assert merged == (caution_texts(key for keys in answers for key in keys) if answers else [])
