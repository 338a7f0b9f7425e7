"""The kinds of mistake that a refused field can be: a code that a program goes by, told from what is said of the field."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import NamedTuple

IMPOSSIBLE = "impossible"


class Mistake(NamedTuple):
    """A kind of mistake.

    sentence : what it means, for the document
    said : what is said of such a field, as a regular expression
    """

    sentence: str
    said: str


MISTAKES: dict[str, Mistake] = {
    "missing": Mistake("A field, or every way of giving it, is missing.", r"^this (?:[\w ,-]+ )?is missing|^one of these is needed"),
    "unknown-field": Mistake("There is no such field.", r"^there is no (?:field|member|column)|is not part of a quantity"),
    "given-twice": Mistake(
        "It is given in two ways, or twice.", r"^only one of these can be given|given as a column too|given twice|is there twice"
    ),
    "unit-of-another-kind": Mistake("The unit is of another kind of quantity.", r"is a unit of .+, and this must be"),
    "unknown-unit": Mistake("There is no such unit.", r"is not a known unit|must name a unit"),
    "no-unit": Mistake("A bare number without a unit, and the request does not say `units`.", r" has no unit"),
    "unreadable-quantity": Mistake(
        "It can't be read as a quantity.",
        r"can't be read as a quantity|is not a quantity|^\"value\" must|\"tolerance\" (?:must|has)|two sides of one sign|must be finite",
    ),
    "out-of-range": Mistake(
        "It lies outside the allowed range.",
        r"outside what can be|outside the allowed range|can't be negative|^a price is from|its tolerance reaches",
    ),
    "not-an-option": Mistake("It is none of the words that are taken.", r"^this must be one of"),
    "wrong-length": Mistake(
        "A text, a list, an object or a batch is too long or too short.",
        r"names: at most|characters are too many|entries: the list takes|rows are too many|more than \d+ values|of \d+ characters:",
    ),
    "unequal-columns": Mistake("The columns of a batch are not equally long.", r"must be equally long"),
    "tolerance-not-taken": Mistake("A tolerance where none, or no further one, is taken.", r"^tolerances are calculated|carry a tolerance"),
    "wrong-type": Mistake(
        "It is of another JSON type, or a text that is not taken.",
        r"^this must|^a column must be|^the body must be|must match the pattern|control characters|belongs beside common",
    ),
    "not-json": Mistake("It is no JSON.", r"JSON|given more than once|UTF-8|nest|digits"),
    IMPOSSIBLE: Mistake("It follows the schema, and can't exist with the rest of the request.", r""),
}
_SAID = tuple((code, re.compile(mistake.said)) for code, mistake in MISTAKES.items())


@lru_cache(maxsize=1024)
def code_of(detail: str) -> str:
    """The code of what is said of a field.

    >>> code_of("this length is missing: diameter of the cylinder"), code_of("the piston would stand above the block")
    ('missing', 'impossible')
    """
    return next(code for code, said in _SAID if said.search(detail))
