"""The gunicorn worker: the one of gevent, with our connections, and with problem documents for what can't be read."""

from __future__ import annotations

import logging
from typing import Any

from gevent import GreenletExit, events
from gunicorn.workers.ggevent import GeventWorker

from borewright.web.headers import new_request_id
from borewright.web.observing import metrics
from borewright.web.problems import Problem
from borewright.web.server import heap
from borewright.web.server.connection import Connection
from borewright.web.server.raw import problem_of, raw_answer

log = logging.getLogger(__name__)


class Worker(GeventWorker):
    """gunicorn's worker for gevent."""

    def patch(self) -> None:
        """Have gevent take the place of Python's own waiting; nothing that is installed beside has a say in it.

        Else gevent reads the metadata of every distribution that there is at each of two dozen modules: up to a tenth of a second.
        """
        vars(events).update(notify_and_call_entry_points=lambda event: None)
        super().patch()

    def notify(self) -> None:
        """Say each second that the loop turns."""
        super().notify()
        heap.give_back()

    def handle(self, listener: Any, client: Any, addr: Any) -> None:
        """Serve a connection until it ends."""
        super().handle(listener, Connection.of(client), addr)

    def handle_error(self, req: Any, client: Any, addr: Any, exc: BaseException) -> None:
        """Answer a request that never reached the app."""
        if isinstance(exc, GreenletExit):  # the time to finish is over
            return
        problem = problem_of(exc)
        self.turn_away(client, problem, exc if problem.kind.status >= 500 else None)

    def turn_away(self, client: Any, problem: Problem, defect: BaseException | None) -> None:
        """Send a problem without the app, and log it."""
        request_id = new_request_id()
        metrics.refused(problem.kind.name)
        fields = {"request_id": request_id, "status": problem.kind.status, "reason": problem.kind.name}
        message = "a request was refused before the app saw it" if defect is None else "a request failed before the app saw it"
        log.log(logging.INFO if defect is None else logging.ERROR, message, exc_info=defect, extra={"fields": fields})
        try:
            client.sendall(raw_answer(problem, request_id))
        except OSError:
            log.debug("the caller of %s is gone", request_id)
