"""The glossary explains the trade's words in the names of checks and the titles of calculations."""

import pytest

from borewright.calculations.base.registry import calculations
from borewright.rules.glossary import ALSO, GLOSSARY, explained
from borewright.rules.vocabulary import VOCABULARY

PLAIN = {"cost"}
"""Names that say what they say to anybody."""


@pytest.mark.parametrize("name", sorted(set(VOCABULARY) - PLAIN))
def test_every_check_has_its_words_explained(name: str) -> None:
    assert explained(name), f"{name}: add its term, with a plain sentence, to borewright/rules/glossary.py"


@pytest.mark.parametrize("name", sorted(calculations()))
def test_every_calculation_has_its_words_explained(name: str) -> None:
    calculation = calculations()[name]
    assert explained(f"{calculation.name} {calculation.title} {calculation.text}"), f"{name}: none of its words is in the glossary"


def test_terms_stand_in_order_and_say_something() -> None:
    assert list(GLOSSARY) == sorted(GLOSSARY, key=lambda term: term.replace("-", " ").lower())
    assert set(ALSO) <= set(GLOSSARY)
    for term, text in GLOSSARY.items():
        assert text.endswith("."), term
        assert text[0].isupper(), term


def test_words_of_the_trade_are_there() -> None:
    """Those that a machinist would miss."""
    wanted = {
        "naturally aspirated", "maximum brake torque (MBT) timing", "knock-limited compression ratio", "octane requirement", "lugging",
        "pin-to-bore clearance", "pin-boss bearing pressure", "ring end gap minimum", "governing cylinder", "sonic check",
        "valve recession", "valve pocket", "bobweight", "bore-to-gasket clearance", "dynamic compression ratio", "needs attention",
    }  # fmt: skip
    assert wanted <= set(GLOSSARY)
