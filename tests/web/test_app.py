"""The app factory: nothing kept between requests, nothing shared between apps."""

import subprocess
import sys

import pytest
from flask import request, session

from borewright.web.app import create_app
from borewright.web.settings import Settings


def test_settings_come_from_the_environment_unless_given(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOREWRIGHT_BODY_BYTES", "10")
    body = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}
    assert create_app().test_client().post("/v1/displacement", json=body).status_code == 413
    assert create_app(Settings()).test_client().post("/v1/displacement", json=body).status_code == 200


def test_every_route_answers_something_that_is_no_defect() -> None:
    client = create_app().test_client()
    for rule in client.application.url_map.iter_rules():
        path = str(rule).replace("<name>", "nothing")
        for method in ("GET", "HEAD", "POST", "PUT", "DELETE", "PATCH", "OPTIONS"):
            response = client.open(path, method=method)
            assert response.status_code in (200, 404, 405, 415), (method, path, response.status_code)
            if response.status_code >= 400:
                assert response.content_type == "application/problem+json"


def test_no_cookies_and_no_secret() -> None:
    app = create_app()
    assert app.secret_key is None
    assert "Set-Cookie" not in app.test_client().get("/health/live").headers


def test_nothing_is_kept_in_a_session() -> None:
    """The one session of all requests is empty and can't be written, and no cookie is set."""
    app = create_app()
    with app.test_request_context():
        assert not session
        with pytest.raises(RuntimeError):
            session["bore"] = 1
    assert "Set-Cookie" not in app.test_client().get("/health/live").headers


@pytest.mark.parametrize(("trusted", "seen"), [(0, "10.0.0.9"), (1, "192.0.2.7"), (2, "192.0.2.1")])
def test_as_many_proxies_are_believed_as_are_trusted(trusted: int, seen: str) -> None:
    app = create_app(Settings(trusted_proxies=trusted))
    found = []
    app.before_request(lambda: found.append(request.remote_addr))
    told = {"X-Forwarded-For": "192.0.2.1, 192.0.2.7"}
    app.test_client().get("/health/live", headers=told, environ_overrides={"REMOTE_ADDR": "10.0.0.9"})
    assert found == [seen]


def test_the_document_is_made_apart() -> None:
    """It takes half a second, in which a worker would answer nobody, and 20 MB, which it would keep."""
    script = """
import sys
from borewright.web.app import create_app
from borewright.web.calculating.host import Host
from borewright.web.calculating.jobs import jobs
from borewright.web.settings import Settings
host = Host(lambda: jobs(Settings()))
host.start()
asked = create_app(host=host).test_client()
short, whole, again = (asked.get(f"/v1/openapi.json{wish}") for wish in ("", "?text=full", ""))
assert (short.status_code, whole.status_code, short.data) == (200, 200, again.data), short.data[:200]
assert 1000 < len(short.data) < len(whole.data)
assert "apispec" not in sys.modules
"""
    subprocess.run([sys.executable, "-c", script], check=True, timeout=120)
