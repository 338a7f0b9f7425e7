"""RFC 9457 problems: one shape for everything that can go wrong."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import orjson
from flask import Flask, Response, current_app, g, request
from werkzeug.exceptions import HTTPException, MethodNotAllowed, NotFound, TooManyRequests

from borewright.calculations.base.problems import FieldError, ImpossibleBuild, InvalidRequest
from borewright.calculations.base.problems import nearest as nearest_name
from borewright.web.strict_json import NotJsonError

MEDIA_TYPE = "application/problem+json"
MOST_ERRORS = 100  # a body of nothing but wrong fields would be answered with more than it sent
LONGEST_POINTER, LONGEST_DETAIL = 400, 1000  # characters; beyond, they only send a name of the caller's back
log = logging.getLogger(__name__)


@dataclass(frozen=True)
class ProblemType:
    """A kind of problem, explained to a person."""

    name: str
    status: int
    title: str
    meaning: str
    remedy: str


PROBLEMS: Mapping[str, ProblemType] = MappingProxyType(
    {
        kind.name: kind
        for kind in (
            ProblemType(
                "not-json",
                400,
                "The body is not JSON",
                "The body could not be read as JSON: a syntax error, bytes that are not UTF-8, NaN or an infinity, "
                "a name given twice in one object, a number with too many digits, or nesting that is too deep.",
                "Send one JSON object in UTF-8. The errors list points at the places that were found.",
            ),
            ProblemType(
                "unauthorized",
                401,
                "A key is needed",
                "The service runs with keys, and the request carried none or one that is not known.",
                "Send the header Authorization: Bearer <key> with a key the operator gave you.",
            ),
            ProblemType(
                "forbidden", 403, "Not allowed", "The key is known but may not do this.", "Ask the operator what the key is meant for."
            ),
            ProblemType(
                "not-found",
                404,
                "No such resource",
                "Nothing is served at this path.",
                "The paths are listed in /v1/openapi.json and at /docs.",
            ),
            ProblemType(
                "method-not-allowed",
                405,
                "The method does not fit",
                "The path exists, but not for this method.",
                "Use a method of the Allow header; calculations are POSTed.",
            ),
            ProblemType(
                "not-acceptable",
                406,
                "No such form of the answer",
                "The Accept header names no form that the answer comes in.",
                "Ask for one of the forms that the detail names.",
            ),
            ProblemType(
                "precondition-failed",
                412,
                "The condition does not hold",
                "The request was to be answered only if the page were still the one that If-Match names, and it is not.",
                "Ask again without the condition, or with the ETag of the present page.",
            ),
            ProblemType(
                "request-timeout",
                408,
                "The request came too slowly",
                "The request was not there as a whole in the time that the service waits for one.",
                "Send it again, at once or over a quicker line.",
            ),
            ProblemType(
                "too-large", 413, "The body is too large", "The body is larger than the service takes.", "Send less at once: split a batch."
            ),
            ProblemType(
                "path-too-long",
                414,
                "The address is too long",
                "The request line is longer than the server reads.",
                "Send what the request says in its body.",
            ),
            ProblemType(
                "unsupported-media-type",
                415,
                "The body is not declared as JSON",
                "The Content-Type of the body is not application/json, or the body is packed in another way than gzip.",
                "Send the header Content-Type: application/json, and the body as it is or in gzip.",
            ),
            ProblemType(
                "range-not-satisfiable",
                416,
                "No such part of the page",
                "The Range header asks for bytes that the page does not have.",
                "Ask for the whole page: leave the Range header out.",
            ),
            ProblemType(
                "invalid-request",
                422,
                "The request does not follow the schema",
                "The body is JSON, but a field is missing, unknown, of the wrong kind, or spelled in a way that can't be read.",
                "Mend the fields that the errors list points at; each entry says what would be taken.",
            ),
            ProblemType(
                "impossible-build",
                422,
                "What is described can't exist",
                "Every field follows the schema, but a size lies outside what can be, or the parts can't exist together.",
                "Check the values that the errors list points at, and their units.",
            ),
            ProblemType(
                "too-many-requests",
                429,
                "Too many requests",
                "The caller has sent more requests than it may.",
                "Wait as long as Retry-After says.",
            ),
            ProblemType(
                "headers-too-large",
                431,
                "The headers are too large",
                "The request has more or longer headers than the server reads.",
                "Leave out the headers that the service does not need: it reads few.",
            ),
            ProblemType(
                "unavailable",
                503,
                "Not available now",
                "The service is shutting down, or the request took longer than it may.",
                "Try again after the time that Retry-After gives.",
            ),
            ProblemType(
                "bad-request", 400, "The request can't be read", "The HTTP request itself is malformed.", "Check the client that sends it."
            ),
            ProblemType(
                "internal",
                500,
                "A defect of the service",
                "The service failed in a way it never should.",
                "Report it with the request id; the request itself may be fine.",
            ),
        )
    }
)
# the kind that stands for a status where nothing more is known; 422 says too little to be one
_BY_STATUS = {400: "bad-request"} | {kind.status: kind.name for kind in PROBLEMS.values() if kind.status not in (400, 422, 500)}


class Problem(Exception):
    """A problem to be answered."""

    def __init__(self, name: str, detail: str, errors: Iterable[FieldError] = (), headers: Mapping[str, str] | None = None) -> None:
        super().__init__(detail)
        self.kind, self.detail, self.errors, self.headers = PROBLEMS[name], detail, list(errors), dict(headers or {})


def document(problem: Problem) -> dict[str, Any]:
    """The problem document.

    >>> document(Problem("not-found", "nothing is here"))["type"]
    '/problems/not-found'
    """
    found: dict[str, Any] = {
        "type": f"/problems/{problem.kind.name}",
        "title": problem.kind.title,
        "status": problem.kind.status,
        "detail": _cut(problem.detail, LONGEST_DETAIL),
    }
    if problem.errors:
        found["errors"] = [
            {"pointer": _cut(error.pointer, LONGEST_POINTER), "detail": _cut(error.detail, LONGEST_DETAIL), "code": error.code.value}
            for error in problem.errors[:MOST_ERRORS]
        ]
    return found


def _cut(text: str, longest: int) -> str:
    shown = printable(text)
    return shown if len(shown) <= longest else shown[:longest] + "…"


def printable(text: str) -> str:
    """Text that any JSON writer takes: lone surrogates of the caller's strings are replaced.

    >>> printable("a\\ud800b")
    'a?b'
    """
    return text.encode("utf-8", "replace").decode("utf-8")


def body_of(problem: Problem, request_id: str | None) -> bytes:
    """The problem document as JSON, with the id of its request.

    >>> body_of(Problem("not-found", "nothing is here"), "a1")[-18:]
    b'"request_id":"a1"}'
    """
    named = {} if request_id is None else {"request_id": request_id}
    return orjson.dumps({**document(problem), **named})


def respond(problem: Problem) -> Response:
    """The HTTP answer to a problem."""
    g.reason = problem.kind.name
    response = Response(body_of(problem, g.get("request_id")), status=problem.kind.status, mimetype=MEDIA_TYPE)
    response.headers.update(problem.headers)
    return response


def _http(error: HTTPException) -> Problem:
    headers = {name: value for name, value in error.get_headers() if name.lower() not in ("content-type", "content-length")}
    name = _BY_STATUS.get(error.code or 500, "internal" if (error.code or 500) >= 500 else "bad-request")
    detail = error.description or PROBLEMS[name].meaning
    if isinstance(error, NotFound):
        detail = f"no such resource: nothing is served at {request.path[:200]}"
        close = nearest_name(request.path, [str(rule) for rule in current_app.url_map.iter_rules() if not rule.arguments])
        if close:
            detail += f"; did you mean {close}?"
    elif isinstance(error, MethodNotAllowed):
        detail = f"{request.method} is not for {request.path[:200]}: use {headers.get('Allow', 'another method')}"
    elif isinstance(error, TooManyRequests):
        detail = f"the limit is {detail}s: wait as many seconds as Retry-After says"  # "5 per 60 second"
    return Problem(name, detail, headers=headers)


def problem_of(error: Exception) -> Problem:
    """What is told of an error, whatever it is.

    >>> problem_of(ZeroDivisionError()).kind.status
    500
    """
    match error:
        case Problem():
            return error
        case NotJsonError():
            return Problem("not-json", error.detail, error.errors)
        case InvalidRequest():
            return Problem("invalid-request", _summary(error.errors), error.errors)
        case ImpossibleBuild():
            return Problem("impossible-build", _summary(error.errors), error.errors)
        case _:
            return Problem("internal", "the service failed; the request id names the event in its log")


def register(app: Flask) -> None:
    """Answer every refusal and every error of the app with a problem document."""

    @app.errorhandler(Exception)
    def _any(error: Exception) -> Response:
        if isinstance(error, HTTPException):
            return respond(_http(error))
        problem = problem_of(error)
        if problem.kind.name == "internal" and problem is not error:
            log.exception("request %s failed in a way it never should", g.get("request_id"))
        return respond(problem)


def _summary(errors: list[FieldError]) -> str:
    first = f"{errors[0].pointer}: {errors[0].detail}"
    return first if len(errors) == 1 else f"{len(errors)} fields are wrong; the first: {first}"
