"""Where heavy calculations run: bounded in number and time, each kind apart, and what is stopped gives its place back."""

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError, ImpossibleBuild
from borewright.web.calculating import calculators as module
from borewright.web.calculating import host as origin
from borewright.web.calculating.calculators import RETRY_AFTER, Calculators
from borewright.web.calculating.host import READY, Host
from borewright.web.calculating.jobs import Done, Job, Kind
from borewright.web.calculating.wire import receive, send
from borewright.web.problems import Problem


def sleep(raw: bytes) -> Done:
    time.sleep(float(raw))
    return Done(b"slept")


def spin(raw: bytes) -> Done:
    while True:
        pass


def refuse(raw: bytes) -> Done:
    raise ImpossibleBuild([FieldError("#/bore", raw.decode(), Code.WRONG_ORDER)])


def fail(raw: bytes) -> Done:
    raise ZeroDivisionError


def grow(raw: bytes) -> Done:
    return Done(str(len(b"x" * int(raw))).encode())


def die(raw: bytes) -> Done:
    os.kill(os.getpid(), signal.SIGKILL)
    return Done(b"")


JOBS: Mapping[str, Job] = {
    "twice": lambda raw: Done(raw * 2, 7, {"a": "b"}),
    "who": lambda raw: Done(str(os.getpid()).encode()),
    "loaded": lambda raw: Done(str(raw.decode() in sys.modules).encode()),
    "sleep": sleep,
    "spin": spin,
    "refuse": refuse,
    "fail": fail,
    "grow": grow,
    "die": die,
}


@pytest.fixture(scope="module")
def host() -> Iterator[Host]:
    found = Host(lambda: JOBS)
    found.start()
    yield found
    found.close()
    assert os.waitpid(found.pid, 0)[1] == 0, "it ends by itself when nobody can ask it"


@pytest.fixture
def made(host: Host) -> Iterator[Callable[..., Calculators]]:
    found: list[Calculators] = []

    def make(places: int = 2, seconds: float = 20.0) -> Calculators:
        found.append(Calculators(JOBS, host, places=places, seconds=seconds))
        return found[-1]

    yield make
    for calculators in found:
        calculators.close()


def pid_of(calculators: Calculators, kind: Kind = Kind.SINGLE) -> int:
    return int(calculators.run("who", b"", kind).body)


@pytest.mark.parametrize("apart", [True, False], ids=["in a process", "where it is asked"])
def test_what_comes_of_a_job(made: Callable[..., Calculators], apart: bool) -> None:
    calculators = made() if apart else Calculators(JOBS, None, places=2, seconds=20.0)
    assert (pid_of(calculators) == os.getpid()) is not apart
    assert calculators.run("twice", b"\0ab") == Done(b"\0ab\0ab", 7, {"a": "b"})
    with pytest.raises(Problem) as refused:
        calculators.run("refuse", "µ".encode())
    assert (refused.value.kind.name, refused.value.errors) == ("impossible-build", [FieldError("#/bore", "µ", Code.WRONG_ORDER)])
    with pytest.raises(Problem) as failed:
        calculators.run("fail", b"")
    assert failed.value.kind.status == 500


def test_large_bodies_both_ways(made: Callable[..., Calculators]) -> None:
    assert len(made().run("twice", b"x" * 20_000_001).body) == 40_000_002


def test_one_process_does_one_job_after_the_other(made: Callable[..., Calculators]) -> None:
    calculators = made()
    assert len({pid_of(calculators) for _ in range(5)}) == 1


def test_singles_and_batches_have_their_processes_together(made: Callable[..., Calculators]) -> None:
    calculators = made()
    assert len({pid_of(calculators, kind) for kind in (Kind.SINGLE, Kind.BATCH, Kind.SHEET)}) == 1


def test_what_draws_has_an_origin_of_its_own_that_ends(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """What it loads is in no other calculator, and is given back when nobody asks for it any more."""
    monkeypatch.setattr(origin, "IDLE_SECONDS", 0.3)
    (tmp_path / "only_for_drawing.py").touch()  # nobody else has loaded it
    monkeypatch.syspath_prepend(tmp_path)
    monkeypatch.setattr(origin, "DRAWING", ("only_for_drawing",))
    host = Host(lambda: JOBS)
    host.start()
    calculators = Calculators(JOBS, host, places=2, seconds=20.0)
    for _ in range(2):
        loaded = [calculators.run("loaded", b"only_for_drawing", Kind.SHEET, draws=draws).body for draws in (True, False, True)]
        assert loaded == [b"True", b"False", b"True"]
        calculators.close()
        end = time.monotonic() + 20.0
        while Path(f"/proc/{host.pid}/task/{host.pid}/children").read_text():
            assert time.monotonic() < end, "the origin of what draws stays"
            time.sleep(0.02)
    host.close()
    assert os.waitpid(host.pid, 0)[1] == 0


def test_a_process_that_has_grown_is_used_no_more(made: Callable[..., Calculators]) -> None:
    calculators = made()
    before = pid_of(calculators)
    assert calculators.run("grow", b"90000000").body == b"90000000"
    assert pid_of(calculators) != before


def test_more_memory_than_one_may_have_is_refused_and_not_the_end(made: Callable[..., Calculators]) -> None:
    calculators = made()
    with pytest.raises(Problem, match="more memory") as refused:
        calculators.run("grow", b"9000000000")
    assert refused.value.kind.status == 413
    assert calculators.run("twice", b"a").body == b"aa"


@pytest.mark.parametrize("endless", ["spin", "sleep"])
def test_what_takes_too_long_is_stopped_and_its_place_is_free(made: Callable[..., Calculators], endless: str) -> None:
    calculators = made(places=1, seconds=1.0)
    stopped = pid_of(calculators)
    with pytest.raises(Problem, match=r"took longer than 1 s and was stopped") as refused:
        calculators.run(endless, b"600")
    assert (refused.value.kind.status, refused.value.headers["Retry-After"]) == (503, str(RETRY_AFTER))
    _ends(stopped)
    assert calculators.run("twice", b"a").body == b"aa"


def _ends(pid: int) -> None:
    """Wait for a process to be gone, or dead and not yet taken note of."""
    end = time.monotonic() + 10.0
    place = Path(f"/proc/{pid}/stat")
    while True:
        try:
            if place.read_text().rpartition(")")[2].split()[0] in "ZX":
                return
        except OSError:
            return
        assert time.monotonic() < end, "it goes on"
        time.sleep(0.01)


def test_a_process_that_is_killed_costs_its_own_request_alone(made: Callable[..., Calculators]) -> None:
    calculators = made(places=1)
    with pytest.raises(Problem, match="the process that calculated ended") as refused:
        calculators.run("die", b"")
    assert refused.value.kind.status == 503
    idle = pid_of(calculators)
    os.kill(idle, signal.SIGKILL)  # while it has nothing to do: nobody notices
    assert pid_of(calculators) != idle


def test_each_kind_has_places_of_its_own(made: Callable[..., Calculators]) -> None:
    """Two batches, however long, leave a single calculation and a sheet theirs."""
    calculators = made(places=2, seconds=4.0)
    with ThreadPoolExecutor(3) as askers:
        batches = [askers.submit(calculators.run, "sleep", b"600", Kind.BATCH) for _ in range(2)]
        time.sleep(1.0)  # so long the third waits on when their time is over
        for kind in (Kind.SINGLE, Kind.SHEET):
            assert calculators.run("twice", b"a", kind).body == b"aa"
        assert not any(batch.done() for batch in batches)
        third = askers.submit(calculators.run, "twice", b"a", Kind.BATCH)
        for batch in batches:
            with pytest.raises(Problem, match="was stopped"):
                batch.result()
        assert third.result().body == b"aa", "their places are free"


def test_no_more_than_the_places_at_once() -> None:
    running, most, lock = 0, 0, threading.Lock()
    three = threading.Barrier(3, timeout=20.0)

    def work(raw: bytes) -> Done:
        nonlocal running, most
        with lock:
            running += 1
            most = max(most, running)
        three.wait()  # as many are there
        with lock:
            running -= 1
        return Done(raw)

    calculators = Calculators({"work": work}, None, places=3, seconds=20.0)
    with ThreadPoolExecutor(12) as askers:
        bodies = [b"%d" % number for number in range(42)]
        assert [found.body for found in askers.map(lambda raw: calculators.run("work", raw), bodies)] == bodies
    assert most == 3


def test_who_waits_too_long_for_a_place_is_told_so(made: Callable[..., Calculators]) -> None:
    calculators = made(places=1, seconds=1.5)
    with calculators._lanes[Kind.BATCH].place(1.0), pytest.raises(Problem, match="all calculators are busy") as refused:
        calculators.run("twice", b"a", Kind.BATCH)
    assert refused.value.kind.status == 503
    assert calculators.run("twice", b"a", Kind.BATCH).body == b"aa"


def test_no_more_may_wait_than_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "WAITING", 1)
    ended = threading.Event()
    calculators = Calculators({"wait": lambda raw: Done(str(ended.wait(20.0)).encode())}, None, places=1, seconds=20.0)
    with ThreadPoolExecutor(2) as askers:
        asked = [askers.submit(calculators.run, "wait", b"") for _ in range(2)]
        time.sleep(0.2)
        with pytest.raises(Problem, match="too many wait"):
            calculators.run("wait", b"")
        ended.set()
        assert [found.result().body for found in asked] == [b"True"] * 2


def test_an_origin_that_is_gone_is_started_anew(made: Callable[..., Calculators], host: Host) -> None:
    before = host.pid
    os.kill(before, signal.SIGKILL)
    os.waitpid(before, 0)
    calculators = made()
    with ThreadPoolExecutor(1) as asker:
        asked = asker.submit(calculators.run, "twice", b"a")  # waits for the new one
        time.sleep(0.2)
        host.look_after()
        assert asked.result().body == b"aa"
    assert host.pid != before
    host.look_after()
    os.kill(host.pid, 0)


def test_processes_end_when_nobody_can_ask_them(host: Host) -> None:
    connection = host.calculator()
    assert connection.recv(1) == READY
    send(connection, {"job": "who", "seconds": 5.0}, b"")
    pid = int(receive(connection)[1])
    connection.close()
    _ends(pid)
