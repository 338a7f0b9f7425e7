"""The vocabulary of checks: one name, one kind, and every name in use is in it."""

import pytest

from borewright.calculations.base.outcome import Check
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.rules.vocabulary import VOCABULARY, checks_listed


@pytest.mark.parametrize("name", VOCABULARY)
def test_each_has_a_sentence(name: str) -> None:
    """A name in lower case with dashes; a sentence that ends, and says more than the name."""
    sentence = VOCABULARY[name].sentence
    assert name == name.lower().replace("_", "-")
    assert sentence.endswith(".")
    assert len(sentence.split()) > 4
    assert sentence not in [other.sentence for each, other in VOCABULARY.items() if each != name]


def test_a_name_out_of_nowhere_is_refused() -> None:
    """Whoever adds a check is told where its name goes."""
    with pytest.raises(ValueError, match=r"rules/vocabulary\.py"):
        Check("hunch", "length", [1.0], 0.5, None, "", "common practice", "")


def test_the_list_is_whole() -> None:
    """Name, kind and text of each."""
    assert [entry["name"] for entry in checks_listed()] == list(VOCABULARY)
    assert all(set(entry) == {"name", "kind", "text"} and all(entry.values()) for entry in checks_listed())


@pytest.mark.parametrize("name", calculations())
def test_checks_have_the_kind_of_their_name(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the examples' checks measure is what the vocabulary says."""
    made: list[Check] = []
    known = Check.__post_init__

    def note(check: Check) -> None:
        known(check)
        made.append(check)

    monkeypatch.setattr(Check, "__post_init__", note)
    calculation = calculations()[name]
    for body in calculation.examples.values():
        answer(calculation, body)
    assert {(check.name, check.kind) for check in made} == {(check.name, VOCABULARY[check.name].kind) for check in made}


@pytest.mark.parametrize("name", calculations())
def test_what_is_unknown_says_what_would_make_it_known(name: str) -> None:
    """An unknown check of an example names fields by their pointers; one that is known names none."""
    calculation = calculations()[name]
    for body in calculation.examples.values():
        for check in answer(calculation, body)["checks"]:
            assert bool(check["missing"]) == (check["verdict"] == "unknown"), check["name"]
            assert all(pointer.startswith("#/") for pointer in check["missing"])
