"""HTTP answers without the app: for requests that never reached it."""

from __future__ import annotations

from gunicorn.http.errors import LimitRequestHeaders, LimitRequestLine, ParseException

from borewright.web.headers import SECURITY
from borewright.web.problems import MEDIA_TYPE, Problem, body_of


def problem_of(error: BaseException) -> Problem:
    """What is told of a request that gunicorn could not hand to the app.

    >>> problem_of(LimitRequestLine(5000, 4094)).kind.status
    414
    """
    match error:
        case LimitRequestLine():
            return Problem("path-too-long", str(error))
        case LimitRequestHeaders():
            return Problem("headers-too-large", f"the headers are too large: {error}")
        case ParseException():
            return Problem("bad-request", str(error) or type(error).__name__)
        case _:
            return Problem("internal", "the service failed; the request id names the event in its log")


def raw_answer(problem: Problem, request_id: str) -> bytes:
    """The whole HTTP answer to a problem, as bytes: there is no app to make it.

    >>> raw_answer(Problem("bad-request", "no HTTP"), "a1")[:12]
    b'HTTP/1.1 400'
    """
    body = body_of(problem, request_id)
    headers = {
        "Content-Type": MEDIA_TYPE,
        "Content-Length": str(len(body)),
        "Connection": "close",
        "X-Request-Id": request_id,
        "Cache-Control": "no-store",
        **SECURITY,
        **problem.headers,
    }
    head = "".join(f"{name}: {value}\r\n" for name, value in headers.items())
    return f"HTTP/1.1 {problem.kind.status} {problem.kind.title}\r\n{head}\r\n".encode() + body
