"""The shapes that go into a request and come out of an answer."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Literal, NotRequired, Self, TypedDict, cast

from requests.structures import CaseInsensitiveDict

from borewright_client._measured import Measured
from borewright_client._model import Model
from borewright_client._words import Basis, CheckName, Verdict

ReferenceTable = Literal["materials", "fuels", "practice", "checks", "units"]
SheetFormat = Literal["json", "html", "pdf"]
SheetDetail = Literal["page", "drawings", "full"]


class OneSidedTolerance(TypedDict):
    """A tolerance that reaches further to one side than to the other."""

    plus: float
    minus: float


class Sides(TypedDict):
    """A tolerance that reaches further to one side than to the other."""

    plus: float
    minus: float


class QuantityObject(TypedDict):
    """A quantity spelled out: a value, its unit and, where known, its tolerance in the same unit.

    >>> bore: QuantityObject = {"value": 3.892, "unit": "in", "tolerance": 0.0005}
    >>> housing: QuantityObject = {"value": 3.892, "unit": "in", "tolerance": {"plus": 0.001, "minus": 0}}
    """

    value: float
    unit: str
    tolerance: NotRequired[float | OneSidedTolerance]


class Options(TypedDict, total=False):
    """What one call does otherwise than its client: see `Client`."""

    timeout: float
    deadline: float
    retries: int
    request_id: str


# A bare number is only taken by the service where the call also says `units`; a figure of an answer can go into the next request.
Quantity = str | float | int | Decimal | QuantityObject | Measured


class Limits(Model):
    """The limits of a check; a side without a limit is None."""

    low: Measured | None
    high: Measured | None


class Check(Model):
    """One judgment: what was looked at, against which limits, and where those come from."""

    name: CheckName
    verdict: Verdict
    value: Measured | None
    limits: Limits
    reason: str
    basis: Basis
    source: str
    missing: list[str]


class Assumption(Model):
    """A default that was used because the caller left it out."""

    name: str
    value: Measured | str | float | bool
    basis: Basis
    source: str


class Sensitivity(Model):
    """The share of a result's variance that one input's tolerance brings."""

    input: str
    output: str
    contribution: float


class Reply(Model):
    """What came back for a request: the members of the answer, and what its headers said.

    request_id : names the request in the service's log
    headers : of the answer
    """

    __slots__ = ("headers", "request_id")
    request_id: str | None
    headers: Mapping[str, str]

    def __init__(self, raw: Mapping[str, Any], request_id: str | None = None, headers: Mapping[str, str] | None = None) -> None:
        super().__init__(raw)
        object.__setattr__(self, "request_id", request_id)
        object.__setattr__(self, "headers", CaseInsensitiveDict(headers or {}))

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (self.raw, self.request_id, self.headers)


class SheetDocument(bytes):
    """A build sheet as the bytes of a file, and what the headers of its answer said.

    request_id : names the request in the service's log
    headers : of the answer

    >>> page = SheetDocument(b"%PDF", "a1", {"Borewright-Verdict": "watch", "Borewright-Input-Digest": "f4846d"})
    >>> page.verdict, page.input_digest, page[:4]
    ('watch', 'f4846d', b'%PDF')
    """

    request_id: str | None
    headers: Mapping[str, str]

    def __new__(cls, content: bytes, request_id: str | None = None, headers: Mapping[str, str] | None = None) -> Self:
        found = super().__new__(cls, content)
        found.request_id, found.headers = request_id, CaseInsensitiveDict(headers or {})
        return found

    @property
    def verdict(self) -> Verdict | None:
        """The worst of all its checks; None where the service is older than this header."""
        return cast(Verdict | None, self.headers.get("Borewright-Verdict"))

    @property
    def input_digest(self) -> str | None:
        """The same for the same input; None where the service is older than this header."""
        return self.headers.get("Borewright-Input-Digest")


class Answer(Reply):
    """What every calculation's answer carries beside its own results; `sensitivity` is empty where no input had a tolerance."""

    verdict: Verdict
    checks: list[Check]
    cautions: list[str]
    assumptions: list[Assumption]
    sensitivity: list[Sensitivity]


class FieldProblem(Model):
    """What is wrong with one field of a batch row."""

    pointer: str
    detail: str
    code: str


class BatchFailure(Model):
    """A row that could not be calculated and why."""

    row: int
    errors: list[FieldProblem]


class BatchAnswer(Reply):
    """A batch's results by column, the verdicts of its checks by name; a failed row is None in every column."""

    rows: int
    columns: dict[str, list[Any]]
    units: dict[str, str]
    failures: list[BatchFailure]
    verdicts: list[Verdict | None]
    checks: dict[str, list[Verdict | None]]
    cautions: list[str]
    assumptions: list[Assumption]
