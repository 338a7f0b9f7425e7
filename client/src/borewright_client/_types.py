"""The shapes that go into a request and come out of an answer."""

from decimal import Decimal
from typing import Any, Literal, NotRequired, TypedDict

Units = Literal["inch", "metric"]
ReferenceTable = Literal["materials", "fuels", "practice", "units"]
SheetFormat = Literal["json", "html", "pdf"]
Verdict = Literal["pass", "watch", "fail", "unknown"]
Basis = Literal["common practice", "published", "caller"]


class OneSidedTolerance(TypedDict):
    """A tolerance that reaches further to one side than to the other."""

    plus: float
    minus: float


class QuantityObject(TypedDict):
    """A quantity spelled out: a value, its unit and, where known, its tolerance in the same unit.

    >>> bore: QuantityObject = {"value": 4.030, "unit": "in", "tolerance": 0.0005}
    >>> housing: QuantityObject = {"value": 4.030, "unit": "in", "tolerance": {"plus": 0.001, "minus": 0}}
    """

    value: float
    unit: str
    tolerance: NotRequired[float | OneSidedTolerance]


# A bare number is only taken by the service where the call also says `units`.
Quantity = str | float | int | Decimal | QuantityObject


class Measured(TypedDict):
    """A quantity in an answer; the band is there where an input had a tolerance."""

    value: float
    unit: str
    low: NotRequired[float]
    high: NotRequired[float]
    uncertainty: NotRequired[float]


class Limits(TypedDict):
    """The limits of a check; a side without a limit is None."""

    low: Measured | None
    high: Measured | None


class Check(TypedDict):
    """One judgement: what was looked at, against which limits, and where those come from."""

    name: str
    verdict: Verdict
    value: Measured | None
    limits: Limits
    reason: str
    basis: Basis
    source: str


class Assumption(TypedDict):
    """A default that was used because the caller left it out."""

    name: str
    value: Any
    basis: Basis
    source: str


class Sensitivity(TypedDict):
    """The share of a result's variance that one input's tolerance brings."""

    input: str
    output: str
    contribution: float


class Answer(TypedDict):
    """What every calculation's answer carries beside its own results; `sensitivity` is empty where no input had a tolerance."""

    verdict: Verdict
    checks: list[Check]
    cautions: list[str]
    assumptions: list[Assumption]
    sensitivity: list[Sensitivity]


class FieldProblem(TypedDict):
    """What is wrong with one field of a batch row."""

    pointer: str
    detail: str


class BatchFailure(TypedDict):
    """A row that could not be calculated and why."""

    row: int
    errors: list[FieldProblem]


class BatchAnswer(TypedDict):
    """A batch's results by column, the verdicts of its checks by name; a failed row is None in every column."""

    rows: int
    columns: dict[str, list[Any]]
    units: dict[str, str]
    failures: list[BatchFailure]
    checks: dict[str, list[Verdict | None]]
    cautions: list[str]
    assumptions: list[Assumption]
