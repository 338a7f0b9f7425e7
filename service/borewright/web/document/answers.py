"""The answers that the OpenAPI document shows: those that the service gives to the examples, with long lists cut short.

They are calculated by `borewright openapi` and come with the package, so that a process that starts need not calculate them again,
and the document is the same to its last byte whatever processor it runs on and whatever its operator allows.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

MOST_ENTRIES = 1
FILE = "example_answers.json"


def cut(answer: Any) -> Any:
    """An answer with its lists cut short; those of texts are kept, as cautions are read to the end.

    >>> cut({"loads": [{"angle": 1}, {"angle": 2}, {"angle": 3}], "cautions": ["a", "b", "c"]})
    {'loads': [{'angle': 1}], 'cautions': ['a', 'b', 'c']}
    """
    if isinstance(answer, Mapping):
        return {name: cut(inner) for name, inner in answer.items()}
    if isinstance(answer, list):
        texts = all(isinstance(entry, str) for entry in answer)
        return answer if texts else [cut(entry) for entry in answer[:MOST_ENTRIES]]
    return answer


@cache
def kept_answers() -> Mapping[str, Any]:
    """The answers that come with the package, by the path of the operation that gave them.

    >>> "displacement" in kept_answers()["/v1/displacement"]
    True
    """
    text = (resources.files("borewright.web.document") / FILE).read_text(encoding="utf-8")
    found: dict[str, Any] = json.loads(text)
    return MappingProxyType(found)


def kept_answer(operation: str) -> Any:
    """The answer that is shown for an operation; None where there is none.

    >>> kept_answer("displacement_batch")["rows"], kept_answer("nothing")
    (2, None)
    """
    return next((answer for path, answer in kept_answers().items() if _operation(path) == operation), None)


def _operation(path: str) -> str:
    return path.removeprefix("/v1/").replace("/", "_").replace("-", "_")
