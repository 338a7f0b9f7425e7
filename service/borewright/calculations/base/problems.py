"""What a calculation can refuse, before anything is known of HTTP."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

from borewright.calculations.base.mistakes import code_of

MOST_NAMED = 16  # longer lists of names help nobody


@dataclass(frozen=True)
class FieldError:
    """One wrong field: a JSON pointer as a URI fragment, and what to do about it."""

    pointer: str
    detail: str

    @property
    def code(self) -> str:
        """Which kind of mistake it is, one of MISTAKES.

        >>> FieldError("#/bore", "'3.9 kg' has no unit").code
        'no-unit'
        """
        return code_of(self.detail)


class Refusal(Exception):
    """A request that gets no answer, with every wrong field."""

    def __init__(self, errors: Iterable[FieldError]) -> None:
        self.errors = list(errors)
        super().__init__("; ".join(f"{error.pointer}: {error.detail}" for error in self.errors))


class InvalidRequest(Refusal):
    """The request does not follow the schema."""


class ImpossibleBuild(Refusal):
    """The request follows the schema, but what it describes can't exist."""


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
    """
    found = difflib.get_close_matches(word[:80], list(known), n=1, cutoff=0.6)
    return found[0] if found else None


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
