"""What a calculation can refuse, before anything is known of HTTP."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from borewright.calculations.base.mistakes import Code

MOST_NAMED = 16  # longer lists of names help nobody


@dataclass(frozen=True)
class FieldError:
    """One wrong field: a JSON pointer as a URI fragment, what is wrong and what to do about it, and which kind of mistake it is."""

    pointer: str
    detail: str
    code: Code

    def shown(self) -> dict[str, str]:
        """As an answer has it.

        >>> FieldError("#/bore", "94 has no unit", Code.NO_UNIT).shown()
        {'pointer': '#/bore', 'detail': '94 has no unit', 'code': 'no-unit'}
        """
        return {"pointer": self.pointer, "detail": self.detail, "code": self.code.value}


class Refusal(Exception):
    """A request that gets no answer, with every wrong field."""

    def __init__(self, errors: Iterable[FieldError]) -> None:
        self.errors = list(errors)
        super().__init__("; ".join(f"{error.pointer}: {error.detail}" for error in self.errors))


class InvalidRequest(Refusal):
    """The request does not follow the schema, or does not hang together: something is missing, or stands twice."""


class ImpossibleBuild(Refusal):
    """The request follows the schema, but what it describes can't exist."""


def refusal_of(errors: Sequence[FieldError]) -> InvalidRequest | ImpossibleBuild:
    """The refusal of a request that follows the schema: impossible where all that is wrong with it is that it can't exist.

    >>> type(refusal_of([FieldError("#/crown/dome", "nothing is left above the piston", Code.IMPOSSIBLE)])).__name__
    'ImpossibleBuild'
    >>> type(refusal_of([FieldError("#/rods/1/id", "this id stands twice", Code.GIVEN_TWICE)])).__name__
    'InvalidRequest'
    """
    return ImpossibleBuild(errors) if all(error.code is Code.IMPOSSIBLE for error in errors) else InvalidRequest(errors)


def pointer(*steps: object) -> str:
    """Write a JSON pointer (RFC 6901) as a URI fragment.

    >>> pointer("gasket", "thickness"), pointer("readings", 3, "a/b"), pointer()
    ('#/gasket/thickness', '#/readings/3/a~1b', '#')
    """
    return "#" + "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in steps)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word closest to a misspelled one, or None.

    >>> nearest("gaskets_bore", ["gasket", "bore", "gasket_bore"])
    'gasket_bore'
    >>> nearest("sae", ["iso-1585", "sae-j1349"])
    'sae-j1349'
    """
    names = list(known)
    found = difflib.get_close_matches(word[:80], names, n=1, cutoff=0.6)
    begun = (name for name in names if len(word) > 2 and name.startswith(word))
    return found[0] if found else next(begun, None)


def unknown_field(name: str, known: Iterable[str]) -> str:
    """Say that a field is not known, with the nearest that is.

    >>> unknown_field("bor", ["bore", "stroke"])
    "there is no field 'bor' here; did you mean 'bore'?"
    """
    names = sorted(known)
    close = nearest(name, names)
    if close is not None:
        return f"there is no field {name[:80]!r} here; did you mean {close!r}?"
    if len(names) > MOST_NAMED:
        return f"there is no field {name[:80]!r} here; the {len(names)} fields are listed in /v1/openapi.json"
    return f"there is no field {name[:80]!r} here; the fields are {', '.join(names)}"
