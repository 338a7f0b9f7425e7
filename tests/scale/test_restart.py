"""Restarts under load: what they cost whoever asks meanwhile. The figures are printed."""

import signal
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from scale_load import Load
from scale_service import haproxy, instances, status, until

from borewright_client import BorewrightError, Client

CALLERS = 6
DRAIN = 3  # seconds; the proxy looks fifteen times in it, on a busy machine less often


def more(load: Load, number: int) -> None:
    """Wait until so many more requests were answered."""
    wanted = load.answered + number
    until(lambda: load.answered >= wanted, 30.0, "the load goes on")


@pytest.mark.system
def test_a_rolling_restart_behind_a_proxy_loses_nothing(tmp_path: Path, tell: Callable[[str], None]) -> None:
    """Two instances, one after the other: SIGTERM, end, start. HAProxy never sends a request twice that it had sent."""
    with instances(tmp_path, 2, DRAIN_SECONDS=str(DRAIN)) as both, haproxy(tmp_path, both) as port, Load(port, CALLERS).running() as load:
        more(load, 100)
        for instance in both:
            instance.signal(signal.SIGTERM)
            assert instance.wait() == 0
            more(load, 50)
            instance.start()
            until(lambda instance=instance: instance.answered() > 0, 60.0, "the proxy has found it again")
            more(load, 50)
    tell(f"rolling restart of two instances behind HAProxy, {CALLERS} callers: {load.tally}")
    assert load.tally.lost_number == 0
    assert load.answered >= 300


def test_a_reload_loses_nothing(tmp_path: Path, tell: Callable[[str], None]) -> None:
    """SIGHUP, without a proxy: new workers come, the old ones answer what was on its way and end."""
    with instances(tmp_path, 1, workers=2) as (instance,), Load(instance.port, CALLERS).running() as load:
        before = instance.worker_pids()
        more(load, 100)
        instance.signal(signal.SIGHUP)
        until(lambda: not set(before) & set(instance.worker_pids()), 30.0, "the old workers end")
        more(load, 100)
        assert len(instance.worker_pids()) == 2
    tell(f"reload of one instance with two workers, {CALLERS} callers: {load.tally}")
    assert load.tally.lost_number == 0


def test_a_killed_worker_costs_no_more_than_the_requests_in_it(tmp_path: Path, tell: Callable[[str], None]) -> None:
    """SIGKILL, without a proxy: a caller has one request on its way, so it can lose one at most."""
    with instances(tmp_path, 1, workers=2) as (instance,), Load(instance.port, CALLERS).running() as load:
        more(load, 100)
        killed = instance.worker_pids()[0]
        instance.kill_a_worker()
        until(lambda: killed not in instance.worker_pids() and len(instance.worker_pids()) == 2, 30.0, "another takes its place")
        more(load, 200)
        assert status(instance.port, "/health/ready") == 200
    tell(f"SIGKILL of one of two workers, {CALLERS} callers: {load.tally}")
    assert load.tally.lost_number <= CALLERS
    assert set(load.tally.lost) <= {"ConnectionResetError", "RemoteDisconnected", "BrokenPipeError", "IncompleteRead"}, "no wrong answer"


def test_the_clients_retries_hide_a_killed_worker(tmp_path: Path, tell: Callable[[str], None]) -> None:
    done, answers, errors = threading.Event(), [0] * CALLERS, list[BorewrightError]()

    def call(number: int, port: int) -> None:
        with Client(f"http://127.0.0.1:{port}") as client:
            while not done.is_set():
                try:
                    client.displacement(bore="100 mm", stroke="80 mm", cylinders=4)
                    answers[number] += 1
                except BorewrightError as error:
                    errors.append(error)

    with instances(tmp_path, 1, workers=2) as (instance,):
        threads = [threading.Thread(target=call, args=(number, instance.port), daemon=True) for number in range(CALLERS)]
        for thread in threads:
            thread.start()
        try:
            for _ in range(2):
                reached = sum(answers) + 100
                until(lambda reached=reached: sum(answers) > reached, 30.0, "the callers are answered")
                killed = instance.worker_pids()[0]
                instance.kill_a_worker()
                until(
                    lambda killed=killed: killed not in instance.worker_pids() and len(instance.worker_pids()) == 2, 30.0, "another comes"
                )
            reached = sum(answers) + 100
            until(lambda: sum(answers) > reached, 30.0, "the callers are answered")
        finally:
            done.set()
            for thread in threads:
                thread.join(timeout=60.0)
    tell(f"SIGKILL of a worker twice, {CALLERS} callers through the client: {sum(answers)} answered, {len(errors)} failed")
    assert errors == []


def test_the_load_itself_notices_what_is_lost(tmp_path: Path) -> None:
    """The instance goes without a drain while it is asked: callers without retries do see that."""
    with instances(tmp_path, 1, DRAIN_SECONDS="0") as (instance,), Load(instance.port, 2, pause=0.01).running() as load:
        more(load, 10)
        instance.signal(signal.SIGKILL)
        instance.wait()
        for pid in instance.worker_pids():
            until(lambda pid=pid: pid not in instance.worker_pids(), 10.0, "its worker sees that it is alone")
        until(lambda: load.tally.lost_number > 0, 10.0, "the callers notice")
    assert load.tally.lost_number > 0
