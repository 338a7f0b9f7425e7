"""The refusals in the OpenAPI document: their one shape, and a response with an example for each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from apispec import APISpec

from borewright.calculations.base.mistakes import MISTAKES
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest, Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.web.document.headers import COUNTED, EVERYWHERE, HEADERS, PACKED, headers
from borewright.web.problems import MEDIA_TYPE, MOST_ERRORS, PROBLEMS, Problem, document
from borewright.web.settings import Settings
from borewright.web.strict_json import NotJsonError, decoder

# What a program can mend of its body, and whatever else may come: a client goes by the type of the problem for more.
RESPONSES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "invalid": ("invalid-request", "impossible-build"),
        "refused": tuple(name for name, kind in PROBLEMS.items() if kind.name != "internal"),
    }
)
OWN_HEADERS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"refused": (*EVERYWHERE, "WWW-Authenticate", "Allow", "Accept-Post", "Accept-Encoding", "Retry-After", *COUNTED, *PACKED)}
)


def _referring(responses: Mapping[str, str]) -> Mapping[str, Any]:
    return MappingProxyType({status: {"$ref": f"#/components/responses/{name}"} for status, name in responses.items()})


# Statuses by name and `default`: of ranges such as 4XX, some generators make types that do not compile.
REFUSED = _referring({"422": "invalid", "default": "refused"})
REFUSED_PAGE = _referring({"400": "refused", "default": "refused"})
BUSY = _referring({"503": "refused"})


def describe_problems(spec: APISpec) -> None:
    """Add the shape of a problem, and the response of each kind."""
    spec.components.schema(
        "ErrorCode",
        {
            "type": "string",
            "enum": [code.value for code in MISTAKES],
            "description": "Which kind of mistake it is, for a program to go by.\n\n"
            + "\n".join(f"- `{code}`: {mistake.sentence}" for code, mistake in MISTAKES.items()),
        },
    )
    spec.components.schema(
        "FieldProblem",
        {
            "type": "object",
            "description": "What is wrong with one field.",
            "properties": {
                "pointer": {"type": "string", "description": "where it is in the body: a JSON pointer (RFC 6901) behind a #"},
                "detail": {"type": "string", "description": "what is wrong there, and what would be taken"},
                "code": {"$ref": "#/components/schemas/ErrorCode"},
            },
            "required": ["pointer", "detail", "code"],
            "additionalProperties": False,
        },
    )
    spec.components.schema(
        "Problem",
        {
            "type": "object",
            "description": "A problem document (RFC 9457).",
            "properties": {
                "type": {
                    "type": "string",
                    "enum": [f"/problems/{name}" for name in PROBLEMS],
                    "description": "the kind of problem; the service explains it at this path",
                },
                "title": {"type": "string", "description": "the kind of problem in a few words"},
                "status": {
                    "type": "integer",
                    "description": "the status of the answer",
                    "enum": sorted({p.status for p in PROBLEMS.values()}),
                },
                "detail": {"type": "string", "description": "what is wrong with this request"},
                "request_id": {"type": "string", "description": "the id of the request, as in the header X-Request-Id"},
                "errors": {
                    "type": "array",
                    "items": {"$ref": "#/components/schemas/FieldProblem"},
                    "maxItems": MOST_ERRORS,
                    "description": "the fields that are wrong, where it is fields",
                },
            },
            "required": ["type", "title", "status", "detail"],
            "additionalProperties": False,
        },
    )
    for response, names in RESPONSES.items():
        spec.components.response(response, _described(response, names))


def _described(response: str, names: tuple[str, ...]) -> dict[str, Any]:
    kinds = [PROBLEMS[name] for name in names]
    told = "; ".join(f"{kind.status} {kind.title}" for kind in sorted(kinds, key=lambda kind: kind.status))
    return {
        "description": told,
        **({"headers": headers(OWN_HEADERS[response])} if response in OWN_HEADERS else {}),
        "content": {
            MEDIA_TYPE: {
                "schema": {"$ref": "#/components/schemas/Problem"},
                "examples": {kind.name: {"summary": kind.title, "value": example(kind.name)} for kind in kinds},
            }
        },
    }


def example(name: str) -> dict[str, Any]:
    """A problem document of a kind, as a caller sees it: where it is about fields, about one that really is refused so.

    >>> example("invalid-request")["errors"][0]["pointer"]
    '#/bore'
    """
    problem = _REFUSED[name]() if name in _REFUSED else Problem(name, PROBLEMS[name].meaning)
    return {**document(problem), "request_id": HEADERS["X-Request-Id"]["example"]}


def _unread() -> Problem:
    try:
        decoder(Settings()).decode(b'{"bore": 3.892, "bore": 3.902}')
    except NotJsonError as refusal:
        return Problem("not-json", refusal.detail, refusal.errors)
    raise ValueError("the example of not-json is read")


def _refused(name: str, kind: type[Refusal], bore: str) -> Problem:
    try:
        answer(calculations()["displacement"], {"bore": bore, "stroke": "3.36 in", "cylinders": 8})
    except kind as refusal:
        first = refusal.errors[0]
        return Problem(name, f"{first.pointer}: {first.detail}", refusal.errors)
    raise ValueError(f"the example of {name} is answered")


_REFUSED: Mapping[str, Callable[[], Problem]] = MappingProxyType(
    {
        "not-json": _unread,
        "invalid-request": lambda: _refused("invalid-request", InvalidRequest, "3.9 kg"),
        "impossible-build": lambda: _refused("impossible-build", ImpossibleBuild, "3.9 m"),
    }
)
