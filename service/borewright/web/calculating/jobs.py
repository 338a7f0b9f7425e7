"""What can be asked of a calculator: bytes of a body in, bytes of an answer out, so that a process of its own can do it."""

from __future__ import annotations

import gc
import logging
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import Enum
from functools import cache, partial
from typing import Any

import orjson

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.web.problems import Problem, problem_of
from borewright.web.settings import Settings
from borewright.web.strict_json import decoder

JSON = "application/json"
HTML = "text/html"
PDF = "application/pdf"
FORMS = (JSON, HTML, PDF)
SHEET = "build-sheet"
DOCUMENTS = {False: "openapi.json", True: "openapi.json?text=full"}  # with short texts, with whole ones
Decode = Callable[[bytes], Any]
log = logging.getLogger(__name__)


class Kind(Enum):
    """What a job is like: each kind has calculators of its own, so that none keeps another waiting."""

    SINGLE = "single"
    BATCH = "batch"
    SHEET = "sheet"


@dataclass(frozen=True)
class Done:
    """What came of a job.

    rows : how many rows were answered; 1 where it was no batch
    facts : what else the route wants to know of it
    """

    body: bytes
    rows: int = 1
    facts: Mapping[str, str] = field(default_factory=dict)


Job = Callable[[bytes], Done]


def jobs(settings: Settings) -> Mapping[str, Job]:
    """Every job by its name: the path below /v1/, for the build sheet with the form that is wanted.

    >>> found = jobs(Settings())
    >>> found["displacement"](b'{"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4}').body[:1]
    b'{'
    >>> "displacement/batch" in found, "build-sheet application/pdf" in found
    (True, True)
    """
    decode = decoder(settings).decode
    found: dict[str, Job] = {}
    for calculation in calculations().values():
        found[calculation.name] = partial(single, decode, calculation)
        if calculation.batch:
            found[f"{calculation.name}/batch"] = partial(batch, decode, settings.batch_rows, calculation)
    found |= {f"{SHEET} {form}": partial(sheet, decode, form) for form in FORMS}
    return {**found, **{name: partial(document, settings.batch_rows, whole) for whole, name in DOCUMENTS.items()}}


def single(decode: Decode, calculation: Calculation, raw: bytes) -> Done:
    """Answer one request."""
    return Done(written(answer(calculation, decode(raw))))


def batch(decode: Decode, most_rows: int, calculation: Calculation, raw: bytes) -> Done:
    """Answer many rows."""
    with uncollected():
        found = answer_batch(calculation, decode(raw), most_rows=most_rows)
        return Done(written(found), int(found["rows"]))


@contextmanager
def uncollected() -> Iterator[None]:
    """Make many small objects that all stay to the end: the collector would go through them again and again, and find nothing.

    >>> with uncollected():
    ...     gc.isenabled()
    False
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def sheet(decode: Decode, form: str, raw: bytes) -> Done:
    """Work out an order and set it in a form."""
    from borewright.sheet.sections import worked

    found = worked(decode(raw))
    facts = {"digest": found.sheet["input_digest"], "verdict": found.sheet["verdict"]}
    if form == JSON:
        return Done(written(found.sheet), facts=facts)
    from borewright.sheet.content import content  # what draws takes a quarter of a second and 30 MB: for who asks for a drawing

    if form == PDF:
        from borewright.sheet.paper import paper

        return Done(paper(content(found)), facts=facts)
    from borewright.sheet.page import POLICY, page

    return Done(page(content(found)).encode(), facts={**facts, "policy": POLICY})


def document(most_rows: int, whole: bool, raw: bytes) -> Done:
    """The OpenAPI document; nothing is asked for in a body."""
    return Done(_document(most_rows, whole))


@cache
def _document(most_rows: int, whole: bool) -> bytes:
    from borewright.web.document.openapi import openapi  # it takes half a second and 20 MB to make: for who asks for it

    return written(openapi(most_rows=most_rows, whole=whole))


def written(found: Any) -> bytes:
    """An answer as JSON; NumPy columns are written as they are, NaN as null."""
    return orjson.dumps(found, option=orjson.OPT_SERIALIZE_NUMPY)


def outcome(job: Job, raw: bytes) -> Done | Problem:
    """What comes of a job, a refusal included; a defect is logged here, where it happened."""
    try:
        return job(raw)
    except MemoryError:
        return Problem("too-large", "the calculation needs more memory than one may have: ask for less at once, for example fewer rows")
    except Exception as error:
        problem = problem_of(error)
        if problem.kind.name == "internal":
            log.exception("a calculation failed in a way it never should")
        return problem
