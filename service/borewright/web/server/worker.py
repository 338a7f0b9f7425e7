"""The gunicorn worker: slow callers wait in its loop and hold no thread, and what can't be read is answered with a problem document.

gunicorn's own threaded worker gives a connection to a thread as soon as it is open, so as many callers as it has threads, each
sending half a request, keep everybody else out. Here a connection stays in the loop until its request is there: the head, and
the body up to what is held of one (`incoming`). Of larger bodies a thread waits for the rest, for a bounded time, and at most
half of the threads do. Whoever is slower than the settings allow is answered 408 and closed; whoever is silent is closed.
"""

from __future__ import annotations

import logging
import os
import resource
import socket
import threading
import time
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from selectors import EVENT_READ
from typing import Any

from gunicorn.http.errors import NoMoreData
from gunicorn.workers.gthread import ThreadWorker

from borewright.web.headers import new_request_id
from borewright.web.observing import metrics
from borewright.web.problems import Problem
from borewright.web.server.connection import Connection
from borewright.web.server.ending import ending
from borewright.web.server.incoming import State
from borewright.web.server.raw import problem_of, raw_answer
from borewright.web.settings import Settings

log = logging.getLogger(__name__)
READ_SIZE = 65_536
LINGER_SECONDS = 2.0  # how long a caller that sends nothing has to take the last answer and close (RFC 9112, section 9.6)
MOST_DRAINED = 64_000_000  # bytes thrown away meanwhile: who is still sending what is too large reads the answer only after it
STOP_IDLE_SECONDS = 2.0  # a stopping worker still answers what was already on its way
SWEEP_SECONDS = 0.25
SPARE_FILES = 256  # beside the connections: the program's own


def place(worker: Worker, siblings: Iterable[Worker], processors: Iterable[int]) -> None:
    """Give a worker that is about to start the processor that the fewest others keep to.

    One thread of a Python process runs at a time. Spread over processors, its threads spend much of their time on handing over:
    kept to one, a worker answers half as much again (tests/scale/load.py).
    """
    taken = Counter(sibling.processor for sibling in siblings)
    worker.processor = min(sorted(processors), key=lambda processor: taken[processor])


class Worker(ThreadWorker):
    """gunicorn's threaded worker with a loop of our own."""

    app: Any  # the Server
    wsgi: Any  # the app

    def __init__(self, *arguments: Any, **named: Any) -> None:
        super().__init__(*arguments, **named)
        self.processor: int | None = None
        self.limits = Settings.from_environment()
        self.waiting: dict[Connection, None] = {}  # the longest waiting first
        self.readers = threading.BoundedSemaphore(max(1, self.limits.threads // 2))
        self.swept = 0.0
        self.health: ThreadPoolExecutor

    def init_process(self) -> None:
        """Keep to the processor, make room for the connections among the open files, then begin."""
        if self.processor is not None:
            os.sched_setaffinity(0, {self.processor})
        soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
        wanted = self.limits.connections + SPARE_FILES
        if soft != resource.RLIM_INFINITY and soft < wanted:
            resource.setrlimit(resource.RLIMIT_NOFILE, (wanted if hard == resource.RLIM_INFINITY else min(wanted, hard), hard))
        self.health = ThreadPoolExecutor(max_workers=1, thread_name_prefix="health")
        super().init_process()

    def load_wsgi(self) -> None:
        """Build the app."""
        super().load_wsgi()
        self.calculators = self.wsgi.extensions["borewright_calculators"]
        self.wsgi = ending(self.wsgi)

    def run(self) -> None:
        """Answer until told to stop, then until nothing is left to answer or the time for it is over."""
        self.poller.register(self.method_queue.fileno() or 0, EVENT_READ, self.method_queue.run_callbacks)
        while self.alive and self.is_parent_alive():
            self.set_accept_enabled(self.nr_conns < self.limits.connections)
            self.turn()
        self.alive = False  # also where the process above went: each answer now ends its connection
        self.stop_listening()
        self.hurry()
        end = time.monotonic() + self.cfg.graceful_timeout
        while self.nr_conns > 0 and time.monotonic() < end:
            self.turn()
        for connection in list(self.waiting):
            self.drop(connection)
        self.tpool.shutdown(wait=False)
        self.health.shutdown(wait=False)
        self.poller.close()
        self.method_queue.close()

    def stop_listening(self) -> None:
        """Take what is already connected, then nothing more: who comes later is refused, and not kept waiting."""
        self.set_accept_enabled(False)
        for listener in self.sockets:
            taken = -1
            while self.nr_conns > taken and self.nr_conns < self.limits.connections:
                taken = self.nr_conns
                self.accept(listener)
            listener.close()

    def turn(self) -> None:
        """One turn of the loop."""
        self.notify()
        if self.alive and self.calculators.stuck:
            log.critical("every calculator is held by a calculation that took twice its time: this worker ends, another takes its place")
            self.alive = False
        if self.cfg.keepalive and self.app.readiness.draining:
            self.cfg.set("keepalive", 0)  # each answer says that the connection ends with it
        self.wait_for_and_dispatch_events(timeout=SWEEP_SECONDS if self.waiting else 1.0)
        now = time.monotonic()
        if now - self.swept >= SWEEP_SECONDS:
            self.swept = now
            for connection in [found for found in self.waiting if found.deadline <= now]:
                self.forget(connection)
                if connection.lingering or connection.incoming.state is State.EMPTY:
                    self.drop(connection)
                else:
                    self.turn_away(connection, Problem("request-timeout", "the request did not come in time: send it faster"))

    def accept(self, listener: socket.socket) -> None:
        """Take a connection; of too many, the longest silent one goes."""
        try:
            client, address = listener.accept()
        except OSError as error:  # it went before it was taken, or there are no more files to be had: the service goes on
            if not isinstance(error, BlockingIOError | ConnectionAbortedError):
                self.log.warning("a connection can't be taken: %s", error.strerror)
                self.make_room()
            return
        self.nr_conns += 1
        connection = Connection(self.cfg, client, address, listener.getsockname(), self.limits.head_bytes)
        self.wait_for(connection, self.limits.head_seconds)
        if self.nr_conns >= self.limits.connections:
            self.make_room()

    def make_room(self) -> None:
        """Close the connection that has been silent for the longest time, if there is one."""
        for connection in self.waiting:
            if connection.lingering or connection.incoming.state is State.EMPTY:
                self.drop(connection)
                return

    def wait_for(self, connection: Connection, seconds: float) -> None:
        """Keep a connection in the loop until something comes or the time is over."""
        connection.deadline = time.monotonic() + seconds
        self.waiting[connection] = None
        self.poller.register(connection.sock, EVENT_READ, partial(self.came, connection))

    def came(self, connection: Connection, _: object) -> None:
        """Take what came on a connection."""
        try:
            data = connection.sock.recv(READ_SIZE)
        except (BlockingIOError, InterruptedError):
            return
        except OSError:
            self.drop(connection)
            return
        if connection.lingering:
            connection.drained += len(data)
            if not data or connection.drained > MOST_DRAINED:
                self.drop(connection)
            elif self.alive:
                connection.deadline = min(time.monotonic() + LINGER_SECONDS, connection.drained_by)
            return
        before = connection.incoming.state
        if not data and before is State.EMPTY:
            self.drop(connection)
        elif not data:
            self.hand_over(connection)  # the caller sends no more, and reads on: the parser says what is missing
        else:
            self.fed(connection, before, data)

    def fed(self, connection: Connection, before: State, data: bytes) -> None:
        """Go by how far the request is now."""
        state = connection.incoming.feed(data)
        if state is State.READY:
            self.hand_over(connection)
        elif state is State.TOO_LARGE:
            self.forget(connection)
            most = self.limits.head_bytes
            self.turn_away(connection, Problem("headers-too-large", f"request line and headers are larger than {most} bytes"))
        elif state is not before:
            connection.deadline = time.monotonic() + self.seconds_for(state)

    def seconds_for(self, state: State) -> int:
        """How long a caller has to get further."""
        if state is State.EMPTY:
            return self.limits.idle_seconds
        return self.limits.body_seconds if state is State.BODY else self.limits.head_seconds

    def hand_over(self, connection: Connection) -> None:
        """Give a request to a thread."""
        self.forget(connection)
        self.enqueue_req(connection)

    def enqueue_req(self, conn: Any) -> None:
        """Give a request to a thread; who asks for the service's health does not wait behind calculations, else a busy one looks dead."""
        future = (self.health if conn.incoming.asks_for_health else self.tpool).submit(self.handle, conn)
        future.add_done_callback(lambda done: self.method_queue.defer(self.finish_request, conn, done))

    def handle(self, connection: Any) -> bool:
        """Answer a request; runs in a thread. Whether the connection stays open."""
        reads = connection.incoming.unfinished
        if reads and not self.readers.acquire(blocking=False):
            detail = "too many large bodies are being received: try again"
            self.answer_raw(connection.sock, Problem("unavailable", detail, headers={"Retry-After": "1"}))
            return False
        request = None
        try:
            parser = connection.begin(self.limits.body_seconds, self.limits.answer_seconds)
            request = next(parser)
            return bool(request) and self.handle_request(request, connection) and self.finished(parser)
        except (NoMoreData, StopIteration):
            self.log.debug("the caller closed, or had said that it would")
        except TimeoutError:
            self.log.warning("the caller neither sent nor read in time")
        except OSError as error:
            self.log.debug("the caller is gone: %s", error.strerror)
        except Exception as error:
            self.handle_error(request, connection.sock, connection.client, error)
        finally:
            if reads:
                self.readers.release()
        return False

    def finished(self, parser: Any) -> bool:
        """Whether what the app left of the body can be read away in a moment, so that the next request begins where it should."""
        return bool(parser.finish_body(deadline=time.monotonic() + LINGER_SECONDS))

    def finish_request(self, connection: Any, future: Future[bool]) -> None:
        """Take a connection back from its thread."""
        try:
            if future.cancelled() or not future.result():
                self.linger(connection)
                return
            left = connection.end()
            state = connection.incoming.feed(left) if left else State.EMPTY
            if state is State.READY:
                self.enqueue_req(connection)
            else:
                seconds = self.seconds_for(state)
                self.wait_for(connection, seconds if self.alive else min(seconds, STOP_IDLE_SECONDS))
        except OSError:
            self.drop(connection)

    def hurry(self) -> None:
        """Give silent connections no more than the time that a request already on its way needs."""
        latest = time.monotonic() + STOP_IDLE_SECONDS
        for connection in self.waiting:
            if connection.incoming.state is State.EMPTY:
                connection.deadline = min(connection.deadline, latest)

    def linger(self, connection: Connection) -> None:
        """Say that nothing more is sent, and wait a little for the caller to close: else the answer may be lost on its way."""
        try:
            connection.sock.shutdown(socket.SHUT_WR)
            connection.sock.setblocking(False)
            connection.lingering, connection.drained_by = True, time.monotonic() + self.limits.body_seconds
            self.wait_for(connection, LINGER_SECONDS)
        except (OSError, ValueError):
            self.drop(connection)

    def turn_away(self, connection: Connection, problem: Problem) -> None:
        """Answer from within the loop, as far as it goes at once, and close."""
        self.answer_raw(connection.sock, problem)
        self.linger(connection)

    def forget(self, connection: Connection) -> None:
        """Take a connection out of the loop."""
        if self.waiting.pop(connection, 0) is None:
            self.poller.unregister(connection.sock)

    def drop(self, connection: Connection) -> None:
        """Close a connection."""
        self.forget(connection)
        self.nr_conns -= 1
        connection.close()

    def handle_error(self, req: Any, client: socket.socket, addr: Any, exc: BaseException) -> None:
        """Answer a request that never reached the app."""
        problem = problem_of(exc)
        self.answer_raw(client, problem, exc if problem.kind.status >= 500 else None)

    def answer_raw(self, client: socket.socket, problem: Problem, defect: BaseException | None = None) -> None:
        """Send a problem without the app, and log it."""
        request_id = new_request_id()
        metrics.refused(problem.kind.name)
        fields = {"request_id": request_id, "status": problem.kind.status, "reason": problem.kind.name}
        message = "a request was refused before the app saw it" if defect is None else "a request failed before the app saw it"
        log.log(logging.INFO if defect is None else logging.ERROR, message, exc_info=defect, extra={"fields": fields})
        try:
            client.setblocking(False)
            client.send(raw_answer(problem, request_id))
        except OSError:
            self.log.debug("the caller of %s is gone", request_id)
