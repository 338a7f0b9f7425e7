"""A calculation as data: its schemas, its function, its examples and sources."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from borewright.calculations.base.answers import Answer
from borewright.calculations.base.fields import Request
from borewright.calculations.base.outcome import Outcome
from borewright.rules.cautions import require_caution


@dataclass(frozen=True)
class Calculation:
    """One calculation; the route, batch route, document entry, docs page and client method follow from it.

    name : as in the path, /v1/<name>
    question : what a shop asks it, in plain words; left out, the title stands for it
    compute : SI arrays in (a tree as the request), Outcome out; no loop over states
    headline : dotted names of the results whose variance is shared out, the first that exists counts
    cautions : keys of `rules.cautions`
    examples : requests that anybody can replay, by a short title
    published : the test modules under tests/published that hold it against the outside
    propagation : "corners" lays inputs out over every corner of the tolerances; "additive" moves one input at a time and adds up what each
        does, for functions that cost much; "thorough" takes few corners and points between, for functions that turn inside; "interval"
        gives each input as [nominal, all low, all high]
    most_toleranced : how many toleranced inputs are taken (the corners double with each)
    most_rows : most rows of a batch, where a row costs so much that the service's own limit would be too many
    light : a single request takes a moment whatever it asks, so it is answered where it is read and not in a process that can be stopped
    """

    name: str
    title: str
    text: str
    request: type[Request]
    answer: type[Answer]
    compute: Callable[[dict[str, Any]], Outcome]
    headline: tuple[str, ...]
    examples: Mapping[str, Mapping[str, Any]]
    sources: tuple[str, ...]
    published: tuple[str, ...]
    cautions: tuple[str, ...] = ()
    batch: bool = False
    propagation: Literal["corners", "additive", "thorough", "interval"] = "corners"
    most_toleranced: int = 14
    most_rows: int | None = None
    light: bool = False
    question: str = ""
    request_schema: Request = field(init=False)
    answer_schema: Answer = field(init=False)

    def __post_init__(self) -> None:
        for caution in self.cautions:
            require_caution(caution)
        object.__setattr__(self, "request_schema", self.request())
        object.__setattr__(self, "answer_schema", self.answer())
        object.__setattr__(self, "question", self.question or self.title)
