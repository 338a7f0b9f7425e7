"""The kinds of mistake that a refused field can be: a code that a program goes by, stated where the field is refused."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple


class Code(StrEnum):
    """What a program goes by; what is said of the field beside it may change, the code does not."""

    MISSING = "missing"
    UNKNOWN_FIELD = "unknown-field"
    GIVEN_TWICE = "given-twice"
    NOT_APPLICABLE = "not-applicable"
    WRONG_ORDER = "wrong-order"
    UNIT_OF_ANOTHER_KIND = "unit-of-another-kind"
    UNKNOWN_UNIT = "unknown-unit"
    NO_UNIT = "no-unit"
    UNREADABLE_QUANTITY = "unreadable-quantity"
    OUT_OF_RANGE = "out-of-range"
    NOT_AN_OPTION = "not-an-option"
    WRONG_LENGTH = "wrong-length"
    UNEQUAL_COLUMNS = "unequal-columns"
    TOLERANCE_NOT_TAKEN = "tolerance-not-taken"
    TOO_MUCH = "too-much"
    WRONG_TYPE = "wrong-type"
    NOT_JSON = "not-json"
    IMPOSSIBLE = "impossible"


class Mistake(NamedTuple):
    """A kind of mistake.

    sentence : what it means, for the document
    beyond_schema : whether a request that follows the schema can be `invalid-request` for it: the schema can't say all of it
    """

    sentence: str
    beyond_schema: bool = False


MISTAKES: Mapping[Code, Mistake] = MappingProxyType(
    {
        Code.MISSING: Mistake("A field, or every way of giving it, is missing, or another field needs it.", beyond_schema=True),
        Code.UNKNOWN_FIELD: Mistake("There is no such field."),
        Code.GIVEN_TWICE: Mistake(
            "It is given in two ways, or stands twice where each stands once: an id, a cylinder.", beyond_schema=True
        ),
        Code.NOT_APPLICABLE: Mistake("It means nothing beside the other fields.", beyond_schema=True),
        Code.WRONG_ORDER: Mistake("Two values stand in the wrong order, as a lowest above its highest.", beyond_schema=True),
        Code.UNIT_OF_ANOTHER_KIND: Mistake("The unit is of another kind of quantity."),
        Code.UNKNOWN_UNIT: Mistake("There is no such unit."),
        Code.NO_UNIT: Mistake("A bare number without a unit, and the request does not say `units`.", beyond_schema=True),
        Code.UNREADABLE_QUANTITY: Mistake("It can't be read as a quantity."),
        Code.OUT_OF_RANGE: Mistake("It lies outside the allowed range, which the text names."),
        Code.NOT_AN_OPTION: Mistake("It is none of the words that are taken."),
        Code.WRONG_LENGTH: Mistake(
            "A text, a list, an object or a batch is too long or too short, or does not suit another list.", beyond_schema=True
        ),
        Code.UNEQUAL_COLUMNS: Mistake("The columns of a batch are not equally long.", beyond_schema=True),
        Code.TOLERANCE_NOT_TAKEN: Mistake("A tolerance where none, or no further one, is taken.", beyond_schema=True),
        Code.TOO_MUCH: Mistake("It asks for more work than one request may: ask for less at once.", beyond_schema=True),
        Code.WRONG_TYPE: Mistake("It is of another JSON type, or a text that is not taken."),
        Code.NOT_JSON: Mistake("It is no JSON."),
        Code.IMPOSSIBLE: Mistake("It follows the schema, and can't exist with the rest of the request."),
    }
)
BEYOND_SCHEMA = frozenset(code for code, mistake in MISTAKES.items() if mistake.beyond_schema)


class Said(str):
    """What is said of a field, with its code: marshmallow hands such a message on as it is.

    impossible : the schema allows it and nature does not
    """

    __slots__ = ("code", "impossible")
    code: Code
    impossible: bool

    def __new__(cls, text: str, code: Code, *, impossible: bool = False) -> Said:
        """Make the message.

        >>> Said("this is outside what can be", Code.OUT_OF_RANGE).code
        <Code.OUT_OF_RANGE: 'out-of-range'>
        """
        said = super().__new__(cls, text)
        said.code, said.impossible = code, impossible
        return said

    def __getnewargs_ex__(self) -> tuple[tuple[str, Code], dict[str, bool]]:
        """How it is copied, as a schema copies its fields.

        >>> import copy
        >>> copy.deepcopy(Said("this is outside what can be", Code.OUT_OF_RANGE, impossible=True)).impossible
        True
        """
        return (str(self), self.code), {"impossible": self.impossible}
