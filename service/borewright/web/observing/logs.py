"""The log: a JSON object a line, on standard error. No bodies, no keys, no query strings."""

from __future__ import annotations

import json
import logging
import os
import queue
import threading
import time
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
    """Writes lines from a thread of its own, so that a log which nobody reads stops nobody.

    A process that was forked begins anew: threads don't come along. Lines beyond what may wait are left out, and counted.
    """

    def __init__(self, descriptor: int = STANDARD_ERROR) -> None:
        super().__init__()
        self._descriptor = descriptor
        self._process = 0
        self._begin()

    def _begin(self) -> None:
        self._waiting: queue.Queue[bytes] = queue.Queue(MOST_WAITING)
        self._left_out = 0
        if self._process:
            threading.Thread(target=self._write, args=(self._waiting,), name="log", daemon=True).start()

    def emit(self, record: logging.LogRecord) -> None:
        """Take a record; called under the handler's lock."""
        if self._process != os.getpid():
            self._process = os.getpid()
            self._begin()
        try:
            line = self.format(record).encode() + b"\n"
            if self._left_out:
                note = logging.makeLogRecord({"levelname": "WARNING", "msg": f"{self._left_out} lines were left out: nobody took them"})
                self._waiting.put_nowait(self.format(note).encode() + b"\n")
                self._left_out = 0
            self._waiting.put_nowait(line)
        except queue.Full:
            self._left_out += 1
        except Exception:
            self.handleError(record)

    def _write(self, waiting: queue.Queue[bytes]) -> None:
        while True:
            left = waiting.get()
            try:
                while left:
                    left = left[os.write(self._descriptor, left) :]
            except OSError:  # nobody will ever read it
                left = b""
            waiting.task_done()

    def close(self) -> None:
        """Wait a little for the last lines to be written."""
        end = time.monotonic() + LAST_WAIT
        while self._process == os.getpid() and self._waiting.unfinished_tasks and time.monotonic() < end:
            time.sleep(0.005)
        super().close()


class GunicornLogger(Logger):
    """gunicorn's logger without its own line for each request, which would show query strings."""

    def access(self, resp: object, req: object, environ: object, request_time: object) -> None:
        """Say nothing: the app says it."""


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
