"""Liveness and readiness, apart."""

from collections.abc import Callable
from typing import Any

from flask.testing import FlaskClient

from borewright import __version__
from borewright.web.app import create_app


def test_live_and_ready(client: FlaskClient) -> None:
    for name in ("live", "ready"):
        response = client.get(f"/health/{name}")
        assert response.status_code == 200
        assert response.get_json() == {"status": name, "version": __version__}
        assert response.headers["Cache-Control"] == "no-store"


def test_a_draining_instance_lives_and_is_not_ready(expect_problem: Callable[..., dict[str, Any]]) -> None:
    app = create_app()
    app.extensions["borewright_readiness"].draining = True
    service = app.test_client()
    response = service.get("/health/ready")
    expect_problem(response, 503, "unavailable")
    assert response.headers["Retry-After"] == "1"
    assert service.get("/health/live").status_code == 200


def test_instances_do_not_share_their_readiness() -> None:
    draining, other = create_app(), create_app()
    draining.extensions["borewright_readiness"].draining = True
    assert other.test_client().get("/health/ready").status_code == 200
