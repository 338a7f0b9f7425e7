"""The process that calculators are forked from: it has loaded everything and does nothing, so a new one is there in 2 ms.

It is forked from the process above the workers before that serves anything, and shares its memory. Whoever wants a calculator sends it
one end of a pair of sockets, and talks with the new process over the other. Each ends by itself when nobody holds the other end.

What draws loads as much again, so those calculators come from an origin of their own. It begins when the first of them is wanted, keeps
nobody else waiting while it loads, and ends when none was for some time: what it had loaded is given back.
"""

from __future__ import annotations

import gc
import logging
import os
import resource
import signal
import socket
from collections.abc import Callable, Mapping
from contextlib import suppress
from importlib import import_module

from borewright.web.calculating.jobs import Done, Job, outcome
from borewright.web.calculating.wire import receive, send

NICENESS = 2  # what answers in a moment comes first; beside other programs of the machine, two shares for their three
IDLE_SECONDS = 10.0  # a calculator that nobody asked for so long ends, and what draws with it
MOST_GROWN = 24 * 1024  # KiB that a calculator may have grown by and still go on: after a larger job the next begins in a fresh process
DRAWING = ("borewright.sheet.content", "borewright.sheet.page", "borewright.sheet.paper")  # half a second and 30 MB
MOST_MEMORY = 1_600_000_000  # bytes of data that one calculation may take: beyond it the caller is refused, and the machine is not hurt
SEND_SECONDS = 30.0
PLAIN, DRAWS = b".", b"d"  # which calculator is wanted
READY = b"!"  # the first that a calculator says: what ends before it never had the job
log = logging.getLogger(__name__)


class Host:
    """The calculators' origin, seen from the processes that ask it.

    make : makes what calculators do, by its names; called in the host alone
    """

    def __init__(self, make: Callable[[], Mapping[str, Job]]) -> None:
        self._make = make
        self._asking, self._asked = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        self._asking.setblocking(False)
        self.pid = 0

    def start(self) -> None:
        """Fork the host, or fork it anew."""
        self.pid = os.fork()
        if self.pid == 0:
            try:
                self._run()
            finally:
                os._exit(0)

    def look_after(self) -> None:
        """Start it anew where it is gone; what was asked meanwhile waits for it."""
        with suppress(ChildProcessError):  # whoever waits for children may have done it
            os.waitpid(self.pid, os.WNOHANG)
        try:
            os.kill(self.pid, 0)
        except ProcessLookupError:
            log.critical("the origin of the calculators is gone: another is started")
            self.start()

    def calculator(self, *, draws: bool = False) -> socket.socket:
        """A connection to a new calculator.

        draws : whether it is to have loaded what draws

        Raises OSError where none is to be had.
        """
        ours, theirs = socket.socketpair()
        try:
            socket.send_fds(self._asking, [DRAWS if draws else PLAIN], [theirs.fileno()])
        except OSError:
            ours.close()
            raise
        finally:
            theirs.close()
        return ours

    def close(self) -> None:
        """Ask no more: the host ends when all who could ask do so."""
        self._asking.close()
        self._asked.close()

    def _run(self) -> None:
        asked = self._asked
        for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP, signal.SIGQUIT, signal.SIGUSR1):
            signal.signal(number, signal.SIG_IGN)  # the service's own: what still calculates is wanted until nobody waits for it
        signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for calculators
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, signal.SIG_DFL)
        _close_all_but(asked.fileno())
        os.nice(NICENESS)
        jobs = self._make()
        gc.collect()
        gc.freeze()
        _originate(asked, jobs, draws=False)


def _originate(asked: socket.socket, jobs: Mapping[str, Job], *, draws: bool) -> None:
    """Fork a calculator for whoever asks, until nobody can ask, or nobody did for as long as the socket waits.

    draws : whether those come from here that draw; else from an origin that is begun for them
    """
    drawing: socket.socket | None = None
    while True:
        try:
            wanted, connections, _, _ = socket.recv_fds(asked, 1, 1)
        except TimeoutError:
            return
        if not connections:
            return  # all who could ask are gone
        with socket.socket(fileno=connections[0]) as connection:
            try:
                if wanted == DRAWS and not draws:
                    drawing = _handed_on(connection, drawing) or _drawing(jobs, connection, asked)
                elif os.fork() == 0:
                    try:
                        for other in (asked, drawing):
                            if other:
                                other.close()
                        _calculate(connection, jobs)
                    finally:
                        os._exit(0)
            except OSError as error:  # no more processes: who waits sees the connection end
                log.warning("no calculator can be started: %s", error.strerror)


def _handed_on(connection: socket.socket, origin: socket.socket | None) -> socket.socket | None:
    """The origin, where it took a connection; None where there is none, or it ended meanwhile."""
    if origin is not None:
        with suppress(OSError):
            socket.send_fds(origin, [DRAWS], [connection.fileno()])
            return origin
        origin.close()
    return None


def _drawing(jobs: Mapping[str, Job], connection: socket.socket, asked: socket.socket) -> socket.socket:
    """A new origin of calculators that draw, to which a connection is handed on; what this one is asked by is not for it."""
    ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    with theirs:
        if os.fork() == 0:
            try:
                for other in (ours, connection, asked):
                    other.close()
                for name in DRAWING:
                    import_module(name)
                gc.freeze()
                theirs.settimeout(IDLE_SECONDS)
                _originate(theirs, jobs, draws=True)
            finally:
                os._exit(0)
    socket.send_fds(ours, [DRAWS], [connection.fileno()])
    return ours


def _calculate(connection: socket.socket, jobs: Mapping[str, Job]) -> None:
    try:
        calculate(connection, jobs)
    except Exception:
        log.exception("a calculator failed in a way it never should")


def calculate(connection: socket.socket, jobs: Mapping[str, Job]) -> None:
    """Do what comes on a connection until it ends, or until this process has grown large.

    The system ends the process when a job's time is over, whatever code it is in.
    """
    _bound_memory()
    most = _largest() + MOST_GROWN
    try:
        connection.sendall(READY)
    except OSError:  # whoever wanted it has gone meanwhile
        return
    while True:
        connection.settimeout(IDLE_SECONDS)
        try:
            head, raw = receive(connection)
        except (EOFError, OSError):
            return
        signal.setitimer(signal.ITIMER_REAL, head["seconds"])
        found = outcome(jobs[head["job"]], raw)
        signal.setitimer(signal.ITIMER_REAL, 0)
        last = _largest() > most
        connection.settimeout(SEND_SECONDS)
        with suppress(OSError):  # who asked may have gone
            if isinstance(found, Done):
                send(connection, {"last": last, "rows": found.rows, "facts": dict(found.facts)}, found.body)
            else:
                errors = [(error.pointer, error.detail, error.code.value) for error in found.errors]
                told = {"problem": found.kind.name, "detail": found.detail, "errors": errors, "headers": found.headers}
                send(connection, {"last": last, **told}, b"")
        if last:
            return
        del raw, found


def _largest() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def _bound_memory() -> None:
    _, hard = resource.getrlimit(resource.RLIMIT_DATA)
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_MEMORY if hard == resource.RLIM_INFINITY else min(MOST_MEMORY, hard), hard))


def _close_all_but(kept: int) -> None:
    """Close what was open in the process above, but for the standard streams: its listening sockets among them."""
    most = os.sysconf("SC_OPEN_MAX")
    os.closerange(3, kept)
    os.closerange(kept + 1, most)
