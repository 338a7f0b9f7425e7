"""The log: whole lines of JSON, whatever is logged, and a reader that sleeps stops nobody."""

import json
import logging
import os
import socket
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.web.observing import logs
from borewright.web.observing.logs import JsonFormatter, Lines, configuration


def formatted(message: object, *arguments: object, **more: Any) -> dict[str, Any]:
    record = logging.makeLogRecord({"msg": message, "args": arguments, "levelname": "INFO", "name": "a.b", **more})
    line = JsonFormatter().format(record)
    assert "\n" not in line
    found: dict[str, Any] = json.loads(line)
    return found


@given(st.text(st.characters(codec=None)), st.dictionaries(st.text(), st.none() | st.text() | st.integers(-(2**60), 2**60) | st.floats()))
def test_any_record_is_one_line_of_json(message: str, fields: dict[str, Any]) -> None:
    found = formatted(message.replace("%", ""), fields=fields)
    assert set(found) >= {"time", "level", "logger", "message", *fields} - {key for key in fields if not key.isprintable()}


def test_what_a_line_says() -> None:
    found = formatted("%s of %d", "one", 2, created=1_700_000_000.25, fields={"status": 200})
    assert found == {
        "time": "2023-11-14T22:13:20.250+00:00",
        "level": "info",
        "logger": "a.b",
        "message": "one of 2",
        "status": 200,
    }


def test_a_defect_comes_with_its_trace() -> None:
    try:
        raise RuntimeError("what went wrong\n\ud800")
    except RuntimeError:
        found = formatted("failed", exc_info=sys.exc_info())
    assert "test_logs.py" in found["exception"]
    assert "what went wrong" in found["exception"]


def test_objects_that_json_does_not_know_are_shown() -> None:
    assert "object" in formatted("x", fields={"a": object()})["a"]


@contextmanager
def handler_on_a_pipe() -> Iterator[tuple[logging.Logger, Lines, int]]:
    read, write = os.pipe()
    handler, logger = Lines(write), logging.Logger("alone", logging.DEBUG)
    handler.setFormatter(JsonFormatter())
    logger.addHandler(handler)
    try:
        yield logger, handler, read
    finally:
        os.close(read)
        handler.close()
        os.close(write)


def all_of(read: int, number: int) -> list[dict[str, Any]]:
    text = b""
    while text.count(b"\n") < number:
        text += os.read(read, 65536)
    return [json.loads(line) for line in text.splitlines()]


def test_lines_come_whole_and_in_order_from_many_threads() -> None:
    with handler_on_a_pipe() as (logger, _, read):
        threads = [threading.Thread(target=lambda: [logger.info("line %d", number) for number in range(100)]) for _ in range(4)]
        for thread in threads:
            thread.start()
        found = [line["message"] for line in all_of(read, 400)]
        for thread in threads:
            thread.join()
    assert sorted(found) == sorted(f"line {number}" for number in range(100) for _ in range(4))


def test_a_log_that_nobody_reads_stops_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(logs, "MOST_WAITING", 500)
    monkeypatch.setattr(logs, "LAST_WAIT", 0.1)
    with handler_on_a_pipe() as (logger, _, read):
        begin = time.monotonic()
        for number in range(5000):
            logger.info("%d %s", number, "x" * 200)
        assert time.monotonic() - begin < 5.0
        found: list[dict[str, Any]] = []
        text = b""
        for _ in range(100):  # the reader is back, and the service goes on: with each line comes what waited
            text += os.read(read, 1_000_000)
            logger.info("the reader is back")
            found = [json.loads(line) for line in text.splitlines(keepends=True) if line.endswith(b"\n")]
            if found[-1]["message"] == "the reader is back":
                break
    first = [line["message"].split()[0] for line in found[:500]]
    assert first == [str(number) for number in range(500)], "whole and in order"
    rest = found[500:]
    assert any("lines were left out" in line["message"] for line in rest)


@pytest.mark.parametrize("kind", ["pipe", "socket", "file", "a pipe of another user"])
def test_whatever_the_log_is_written_to(kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    if kind == "a pipe of another user":  # which can't be opened anew
        monkeypatch.setattr(logs.os, "open", lambda *given: (_ for _ in ()).throw(PermissionError()))
    if kind == "file":
        (tmp_path / "log").write_text("before\n")
        write = os.open(tmp_path / "log", os.O_RDWR | os.O_APPEND)
    else:
        first, second = socket.socketpair() if kind == "socket" else os.pipe()
        read, write = (first, second) if isinstance(first, int) else (first.detach(), second.detach())
    handler = Lines(write)
    for number in range(3):
        handler.emit(logging.makeLogRecord({"msg": str(number)}))
    handler.close()
    if kind == "file":
        assert (tmp_path / "log").read_text() == "before\n0\n1\n2\n"
    else:
        assert os.read(read, 65536) == b"0\n1\n2\n"
        assert os.get_blocking(write), "whoever else writes to it is not told to hurry"
        os.close(read)
    os.close(write)


def test_a_reader_that_went_stops_nobody() -> None:
    read, write = os.pipe()
    handler = Lines(write)
    os.close(read)
    for _ in range(10):
        handler.emit(logging.makeLogRecord({"msg": "x"}))
    handler.close()
    os.close(write)


def test_the_last_lines_are_written_at_the_end() -> None:
    read, write = os.pipe()
    handler = Lines(write)
    for number in range(50):
        handler.emit(logging.makeLogRecord({"msg": str(number)}))
    handler.close()
    assert os.read(read, 65536).split() == [b"%d" % number for number in range(50)]
    for descriptor in (read, write):
        os.close(descriptor)


def test_a_forked_process_logs_too() -> None:
    with handler_on_a_pipe() as (logger, handler, read):
        logger.info("parent")
        assert all_of(read, 1)[0]["message"] == "parent"
        child = os.fork()
        if child == 0:
            logger.info("child")
            handler.close()
            os._exit(0)
        assert os.waitpid(child, 0)[1] == 0
        assert all_of(read, 1)[0]["message"] == "child"


def test_configuration_is_what_logging_takes() -> None:
    found = configuration("warning")
    assert found["root"] == {"level": "WARNING", "handlers": ["lines"]}
    assert found["loggers"]["gunicorn.error"] == {"level": logging.WARNING, "handlers": [], "propagate": True}
    assert configuration("debug")["loggers"]["gunicorn.error"]["level"] == logging.INFO
    json.dumps(found, default=str)
