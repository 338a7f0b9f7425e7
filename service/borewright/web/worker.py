"""The gunicorn worker: requests that are no HTTP get a problem document too, where gunicorn writes an HTML page."""

from __future__ import annotations

import socket
from typing import Any

from gunicorn.http.errors import LimitRequestHeaders, LimitRequestLine, ParseException
from gunicorn.util import write_nonblock
from gunicorn.workers.gthread import ThreadWorker

from borewright.web.headers import SECURITY, new_request_id
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
    }
    head = "".join(f"{name}: {value}\r\n" for name, value in headers.items())
    return f"HTTP/1.1 {problem.kind.status} {problem.kind.title}\r\n{head}\r\n".encode() + body


class Worker(ThreadWorker):
    """gunicorn's threaded worker with our answer to what it can't read."""

    def handle_error(self, req: Any, client: socket.socket, addr: Any, exc: BaseException) -> None:
        """Answer a request that never reached the app."""
        problem, request_id = problem_of(exc), new_request_id()
        if problem.kind.status < 500:
            self.log.warning("request %s can't be read: %s", request_id, exc)
        else:
            self.log.error("request %s failed in the server", request_id, exc_info=exc)
        try:
            write_nonblock(client, raw_answer(problem, request_id))
        except OSError:
            self.log.debug("the caller of %s is gone", request_id)
