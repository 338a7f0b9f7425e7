"""Prometheus metrics, right over all workers of an instance."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import accumulate

import numpy as np
from flask import Blueprint, Response, request
from prometheus_client import CollectorRegistry
from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily, HistogramMetricFamily
from prometheus_client.exposition import choose_encoder
from prometheus_client.metrics_core import Metric
from prometheus_client.registry import Collector

from borewright.web.observing.counts import Counts
from borewright.web.problems import PROBLEMS

BUCKETS = (0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)
UNMATCHED = "unmatched"  # any other path or method: what callers make up must not make new series
METHODS = ("GET", "HEAD", "POST", "OPTIONS", "PUT", "DELETE", "PATCH")
REASONS = tuple(PROBLEMS)
STOPPED = ("time", "ended")
STATUSES = ("other", *map(str, sorted({200, 304, *(kind.status for kind in PROBLEMS.values())})))
MOST_OPERATIONS = 96  # beyond it the last ones are counted as unmatched

# one row: what is now, then counters, then for each operation and status its histogram: the buckets, the last without end, and the sum
_CALCULATING = 0
_GAUGES = 1
_STOPPED = _GAUGES
_REFUSED = _STOPPED + len(STOPPED)
_REQUESTS = _REFUSED + len(REASONS)
_SECONDS = _REQUESTS + MOST_OPERATIONS * len(STATUSES) * (len(METHODS) + 1)
_DEPTH = len(BUCKETS) + 2
_WIDTH = _SECONDS + MOST_OPERATIONS * len(STATUSES) * _DEPTH

_METHOD = {name: number for number, name in enumerate((*METHODS, UNMATCHED))}
_REASON = {name: number for number, name in enumerate(REASONS)}
_STATUS = {int(name): number for number, name in enumerate(STATUSES) if number}
_operations: dict[str, int] = {UNMATCHED: 0}
_shared = [Counts(1, _WIDTH, _GAUGES)]


def share(processes: int) -> Counts:
    """Make room for so many processes; to be called before any is forked."""
    _shared[0] = Counts(processes, _WIDTH, _GAUGES)
    return _shared[0]


def know(routes: Iterable[str]) -> None:
    """Tell which operations there are, as they are written in the app: in every process the same, so that their numbers agree."""
    _operations.clear()
    _operations.update({route: number for number, route in enumerate((UNMATCHED, *sorted(set(routes))[: MOST_OPERATIONS - 1]))})


def answered(operation: str | None, method: str, status: int, seconds: float) -> None:
    """Count an answer.

    operation : the route as it is written in the app, None where there is none
    seconds : how long it took
    """
    place = _operations.get(operation or UNMATCHED, 0) * len(STATUSES) + _STATUS.get(status, 0)
    counts = _shared[0]
    counts.add(_REQUESTS + place * len(_METHOD) + _METHOD.get(method, len(METHODS)), 1.0)
    begin = _SECONDS + place * _DEPTH
    counts.add(begin + bisect_left(BUCKETS, seconds), 1.0)
    counts.add(begin + _DEPTH - 1, seconds)


def refused(reason: str) -> None:
    """Count a refusal by the name of its problem."""
    _shared[0].add(_REFUSED + _REASON[reason], 1.0)


def stopped(why: str) -> None:
    """Count a calculation that was stopped at the end of its time, or whose process ended."""
    _shared[0].add(_STOPPED + STOPPED.index(why), 1.0)


@contextmanager
def calculating() -> Iterator[None]:
    """Count a calculation that has a place, as long as it has it."""
    counts = _shared[0]
    counts.add(_CALCULATING, 1.0)
    try:
        yield
    finally:
        counts.add(_CALCULATING, -1.0)


class _Collector(Collector):
    def collect(self) -> Iterator[Metric]:
        counts, total = _shared[0], _shared[0].total
        requests = CounterMetricFamily("borewright_requests", "requests answered", labels=("operation", "method", "status"))
        seconds = HistogramMetricFamily(
            "borewright_request_seconds", "time from the request's head to its answer", labels=("operation", "status")
        )
        operations, methods = list(_operations), list(_METHOD)
        answers = total[_REQUESTS:_SECONDS].reshape(MOST_OPERATIONS, len(STATUSES), len(methods))[: len(operations)]
        for number, status, method in np.argwhere(answers):
            requests.add_metric((operations[number], methods[method], STATUSES[status]), float(answers[number, status, method]))
        times = total[_SECONDS:].reshape(MOST_OPERATIONS, len(STATUSES), _DEPTH)[: len(operations)]
        for number, status in np.argwhere(times[..., :-1].any(axis=-1)):
            *buckets, spent = times[number, status].tolist()
            reached = list(zip((*map(str, BUCKETS), "+Inf"), accumulate(buckets), strict=True))
            seconds.add_metric((operations[number], STATUSES[status]), reached, spent)
        refusals = CounterMetricFamily("borewright_refused", "requests refused, by the name of the problem", labels=("reason",))
        for reason, number in _REASON.items():
            refusals.add_metric((reason,), float(total[_REFUSED + number]))
        ended = CounterMetricFamily("borewright_calculations_stopped", "calculations without an answer, by why", labels=("why",))
        for number, why in enumerate(STOPPED):
            ended.add_metric((why,), float(total[_STOPPED + number]))
        yield from (requests, seconds, refusals, ended)
        yield GaugeMetricFamily("borewright_calculations", "calculations that have a place now", float(total[_CALCULATING]))
        incomplete = "1 where more processes counted than there was room for: some counts may be lost"
        yield GaugeMetricFamily("borewright_metrics_incomplete", incomplete, float(not counts.complete))


_registry = CollectorRegistry()
_registry.register(_Collector())


def exposed(accept: str) -> tuple[bytes, str]:
    """The metrics in the form that is asked for, and its media type.

    >>> b"borewright_requests_total" in exposed("text/plain")[0]
    True
    """
    encoder, media_type = choose_encoder(accept)
    return encoder(_registry), media_type


def blueprint() -> Blueprint:
    """GET /metrics."""
    routes = Blueprint("metrics", __name__)

    @routes.get("/metrics")
    def metrics() -> Response:
        body, media_type = exposed(request.headers.get("Accept", ""))
        return Response(body, content_type=media_type)

    return routes
