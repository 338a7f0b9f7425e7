"""A Python client for the Borewright engine-building service.

Every calculation is a method of `Client`, with the fields of its request as keyword arguments; the many rows of a batch go to the
method with `_batch` in its name, or as a table of any size to `Client.table` and `Client.csv`. Answers have attributes, and `raw` is
what JSON brought. `parts` has the types of what goes into requests, `answers` of what comes out, `sections` of a build sheet's sections.

    with Client("https://shop.example/engines", api_key=key) as client:
        try:
            answer = client.displacement(bore="94.00 mm", stroke="88.00 mm", cylinders=4)
        except (InvalidRequest, ImpossibleBuild) as problem:   # the request is wrong: problem.errors names each field
            ...
        except (TooManyRequests, Unavailable) as problem:      # later: problem.retry_after says when, where the service does
            ...
        except BorewrightError as problem:                     # everything else: the key, the network, another service there
            ...
        print(answer.displacement.to("in3"), answer.verdict)

What may pass by itself (429, 502, 503, 504, no connection, no answer in time) has been tried again by then.
"""

from borewright_client import answers, parts, sections
from borewright_client._async.client import AsyncClient
from borewright_client._client import Client
from borewright_client._core import Attempt
from borewright_client._csv import Written
from borewright_client._errors import (
    BorewrightError,
    ConnectionFailed,
    FieldError,
    Forbidden,
    ImpossibleBuild,
    InvalidRequest,
    MethodNotAllowed,
    MissingExtra,
    MissingMember,
    NotAcceptable,
    NotFound,
    NotJson,
    ProblemError,
    ServerError,
    TimedOut,
    TooLarge,
    TooManyRequests,
    Unauthorized,
    Unavailable,
    UnexpectedAnswer,
    Unsendable,
    UnsupportedMediaType,
    WrongSetting,
    WrongUnit,
)
from borewright_client._measured import Measured
from borewright_client._model import Model
from borewright_client._sheet_types import (
    BuildSheet,
    Disagreement,
    MissingSection,
    RefusedSection,
    SheetAssumption,
    SheetCheck,
    SheetSensitivity,
)
from borewright_client._tables import Part, Table
from borewright_client._types import (
    Answer,
    Assumption,
    BatchAnswer,
    BatchFailure,
    Check,
    FieldProblem,
    Limits,
    Options,
    Quantity,
    QuantityObject,
    ReferenceTable,
    Reply,
    Sensitivity,
    SheetDetail,
    SheetDocument,
    SheetFormat,
    Sides,
)
from borewright_client._version import __version__
from borewright_client._words import Basis, CheckName, Units, Verdict

__all__ = [
    "Answer",
    "Assumption",
    "AsyncClient",
    "Attempt",
    "Basis",
    "BatchAnswer",
    "BatchFailure",
    "BorewrightError",
    "BuildSheet",
    "Check",
    "CheckName",
    "Client",
    "ConnectionFailed",
    "Disagreement",
    "FieldError",
    "FieldProblem",
    "Forbidden",
    "ImpossibleBuild",
    "InvalidRequest",
    "Limits",
    "Measured",
    "MethodNotAllowed",
    "MissingExtra",
    "MissingMember",
    "MissingSection",
    "Model",
    "NotAcceptable",
    "NotFound",
    "NotJson",
    "Options",
    "Part",
    "ProblemError",
    "Quantity",
    "QuantityObject",
    "ReferenceTable",
    "RefusedSection",
    "Reply",
    "Sensitivity",
    "ServerError",
    "SheetAssumption",
    "SheetCheck",
    "SheetDetail",
    "SheetDocument",
    "SheetFormat",
    "SheetSensitivity",
    "Sides",
    "Table",
    "TimedOut",
    "TooLarge",
    "TooManyRequests",
    "Unauthorized",
    "Unavailable",
    "UnexpectedAnswer",
    "Units",
    "Unsendable",
    "UnsupportedMediaType",
    "Verdict",
    "Written",
    "WrongSetting",
    "WrongUnit",
    "__version__",
    "answers",
    "parts",
    "sections",
]
