"""A thin Python client for the Borewright engine-building service.

Every calculation is a method of `Client`, with the fields of its request as keyword arguments; the many rows of a batch go to the
method with `_batch` in its name. `parts` has the types of what goes into requests, `answers` of what comes out, `sections` of a
build sheet's sections.

    with Client("https://shop.example/engines", api_key=key) as client:
        try:
            answer = client.displacement(bore="4.030 in", stroke="3.480 in", cylinders=8)
        except (InvalidRequest, ImpossibleBuild) as problem:   # the request is wrong: problem.errors names each field
            ...
        except (TooManyRequests, Unavailable) as problem:      # later: problem.retry_after says when, where the service does
            ...
        except BorewrightError as problem:                     # everything else: the key, the network, another service there
            ...

What may pass by itself (429, 502, 503, 504, no connection, no answer in time) has been tried again by then.
"""

from borewright_client import answers, parts, sections
from borewright_client._client import Client
from borewright_client._errors import (
    BorewrightError,
    ConnectionFailed,
    FieldError,
    Forbidden,
    ImpossibleBuild,
    InvalidRequest,
    MethodNotAllowed,
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
    UnsupportedMediaType,
)
from borewright_client._sheet import BuildSheet, Disagreement, MissingSection, RefusedSection, SheetAssumption, SheetCheck, SheetSensitivity
from borewright_client._types import (
    Answer,
    Assumption,
    Basis,
    BatchAnswer,
    BatchFailure,
    Check,
    FieldProblem,
    Limits,
    Measured,
    Quantity,
    QuantityObject,
    ReferenceTable,
    Sensitivity,
    SheetFormat,
    Units,
    Verdict,
)
from borewright_client._version import __version__

__all__ = [
    "Answer",
    "Assumption",
    "Basis",
    "BatchAnswer",
    "BatchFailure",
    "BorewrightError",
    "BuildSheet",
    "Check",
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
    "MissingSection",
    "NotAcceptable",
    "NotFound",
    "NotJson",
    "ProblemError",
    "Quantity",
    "QuantityObject",
    "ReferenceTable",
    "RefusedSection",
    "Sensitivity",
    "ServerError",
    "SheetAssumption",
    "SheetCheck",
    "SheetFormat",
    "SheetSensitivity",
    "TimedOut",
    "TooLarge",
    "TooManyRequests",
    "Unauthorized",
    "Unavailable",
    "UnexpectedAnswer",
    "Units",
    "UnsupportedMediaType",
    "Verdict",
    "__version__",
    "answers",
    "parts",
    "sections",
]
