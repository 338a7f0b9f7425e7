"""The log: a JSON object a line, on standard error. No bodies, no keys, no query strings."""

from __future__ import annotations

import json
import logging
import os
import select
import socket
import stat
import time
from collections import deque
from collections.abc import Callable
from contextlib import ExitStack, suppress
from datetime import UTC, datetime
from typing import Any

import orjson
from gunicorn.glogging import Logger

MOST_WAITING = 10_000  # lines
LAST_WAIT = 1.0  # seconds that the end of a process waits for its last lines to be taken
STANDARD_ERROR = 2


class JsonFormatter(logging.Formatter):
    """A record as one line of JSON; what the record carries as `fields` stands beside its message.

    >>> record = logging.makeLogRecord({"name": "a", "msg": "%d keys", "args": (2,), "levelname": "INFO", "fields": {"status": 200}})
    >>> JsonFormatter().format(record).partition('"level"')[2]
    ':"info","logger":"a","message":"2 keys","status":200}'
    """

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            **getattr(record, "fields", {}),
        }
        if record.exc_info:
            line["exception"] = self.formatException(record.exc_info)
        try:
            return orjson.dumps(line, default=str).decode()
        except orjson.JSONEncodeError:  # half of a surrogate pair: the standard library writes it as an escape
            return json.dumps(line, default=str)


class Lines(logging.Handler):
    """Writes lines as far as they are taken at once, so that a log which nobody reads stops nobody: the rest waits for the next line.

    Lines beyond what may wait are left out, and counted. A process that was forked begins anew.
    """

    def __init__(self, descriptor: int = STANDARD_ERROR) -> None:
        super().__init__()
        self._descriptor = descriptor
        self._process = 0

    def _begin(self) -> None:
        self._process = os.getpid()
        self._waiting: deque[bytes] = deque()
        self._left_out = 0
        self._write, self._ending = at_once(self._descriptor)

    def emit(self, record: logging.LogRecord) -> None:
        """Take a record; called under the handler's lock."""
        try:
            if self._process != os.getpid():
                self._begin()
            if len(self._waiting) >= MOST_WAITING:
                self._left_out += 1
            else:
                if self._left_out:
                    note = {"levelname": "WARNING", "msg": f"{self._left_out} lines were left out: nobody took them"}
                    self._waiting.append(self.format(logging.makeLogRecord(note)).encode() + b"\n")
                    self._left_out = 0
                self._waiting.append(self.format(record).encode() + b"\n")
            self._go_on()
        except Exception:
            self.handleError(record)

    def _go_on(self) -> None:
        while self._waiting:
            try:
                written = self._write(self._waiting[0])
            except BlockingIOError:
                return
            except OSError:  # nobody will ever read it
                self._waiting.clear()
                return
            line = self._waiting.popleft()
            if written < len(line):
                self._waiting.appendleft(line[written:])

    def close(self) -> None:
        """Wait a little for the last lines to be taken."""
        end = time.monotonic() + LAST_WAIT
        while self._process == os.getpid() and self._waiting and time.monotonic() < end:
            self._go_on()
            time.sleep(0.005)
        if self._process == os.getpid():
            self._ending.close()
        self._process = 0
        super().close()


def at_once(descriptor: int) -> tuple[Callable[[bytes], int], ExitStack]:
    """What writes to a file as much as it takes without waiting, and raises BlockingIOError where it takes nothing; and what ends it."""
    ending = ExitStack()
    if stat.S_ISSOCK(os.fstat(descriptor).st_mode):
        taker = ending.enter_context(socket.socket(fileno=os.dup(descriptor)))
        return lambda line: taker.send(line, socket.MSG_DONTWAIT), ending
    with suppress(OSError):  # opened anew, it does not wait, and whoever else has it is not told so
        own = os.open(f"/proc/self/fd/{descriptor}", os.O_WRONLY | os.O_APPEND | os.O_NONBLOCK | os.O_NOCTTY)
        ending.callback(os.close, own)
        return lambda line: os.write(own, line), ending

    def write(line: bytes) -> int:
        if not select.select([], [descriptor], [], 0)[1]:
            raise BlockingIOError
        return os.write(descriptor, line[: select.PIPE_BUF])  # as much as is taken at once where anything is

    return write, ending


class GunicornLogger(Logger):
    """gunicorn's logger without its own line for each request, which would show query strings."""

    def access(self, resp: object, req: object, environ: object, request_time: object) -> None:
        """Say nothing: the app says it."""


def look_up_no_more_than_is_told() -> None:
    """Have Python's logging not look up the thread and the process of every record, which no line tells."""
    logging.logThreads = logging.logProcesses = logging.logMultiprocessing = False


def configuration(level: str) -> dict[str, Any]:
    """The log's configuration, as logging.config takes it.

    >>> configuration("info")["root"]["level"]
    'INFO'
    """
    least = max(logging.INFO, logging.getLevelNamesMapping()[level.upper()])
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"json": {"()": JsonFormatter}},
        "handlers": {"lines": {"()": Lines, "formatter": "json"}},
        "root": {"level": level.upper(), "handlers": ["lines"]},
        # gunicorn gives its logger a handler of its own, where the root's is enough; its debug lines show what was asked, query and all
        "loggers": {"gunicorn.error": {"level": least, "handlers": [], "propagate": True}},
    }
