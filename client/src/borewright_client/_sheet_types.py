"""What a build sheet brings as data."""

from typing import Any

from borewright_client._measured import Measured
from borewright_client._model import Model
from borewright_client._types import Assumption, Check, FieldProblem, Reply, Sensitivity
from borewright_client._words import Verdict
from borewright_client.sections import SheetSections


class SheetCheck(Check):
    """A check, and the section it belongs to."""

    section: str


class SheetAssumption(Assumption):
    """A default, and the sections that used it; without them it holds for the whole sheet."""

    sections: list[str] | None


class SheetSensitivity(Sensitivity):
    """A share of a variance, and the section of the result."""

    section: str


class MissingSection(Model):
    """A section that the build does not allow yet, and the fields that would."""

    section: str
    fields: list[str]


class RefusedSection(Model):
    """A section whose fields can't be as they are: the type of the problem, and what is wrong with each."""

    section: str
    type: str
    errors: list[FieldProblem]


class Disagreement(Model):
    """Places of the build that can't all be right, what each says (`values` on the wire), and what to do."""

    pointers: list[str]
    values_: list[Any]
    detail: str


class SettledCheck(Model):
    """A check that a measurement may settle, and how likely it is to."""

    section: str
    check: str
    verdict: Verdict
    chance: float


class Measurement(Model):
    """What to measure next, with what, to within how much (`tolerances`, as `fields`), what it may settle and the minutes it takes."""

    measure: str
    how: str
    fields: list[str]
    tolerances: list[Measured | None]
    settles: list[SettledCheck]
    expected: float
    minutes: float


class BuildSheet(Reply):
    """A whole order calculated; `verdict` is the worst of all checks, `input_digest` the same for the same input."""

    order: dict[str, Any]
    service_version: str
    input_digest: str
    verdict: Verdict
    sections: SheetSections
    missing: list[MissingSection]
    refused: list[RefusedSection]
    disagreements: list[Disagreement]
    checks: list[SheetCheck]
    measure_next: list[Measurement]
    cautions: list[str]
    assumptions: list[SheetAssumption]
    sensitivity: list[SheetSensitivity]
