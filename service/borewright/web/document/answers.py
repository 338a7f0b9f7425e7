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
CUT = "What the service answers, to six digits; of each list of objects or numbers, the first entry."


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


def with_example(title: str, answer: Any, described: Mapping[str, Any]) -> dict[str, Any]:
    """A media type with an example.

    title : of the request that was answered so
    answer : None where there is none yet
    described : the media type without it

    >>> with_example("one", {"rows": 1}, {"schema": {}})["examples"]["one"]["value"]
    {'rows': 1}
    """
    return dict(described) if answer is None else {**described, "examples": {title: {"description": CUT, "value": answer}}}
