"""Who may ask: every route with and without a key, and pages of other origins."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from borewright.web.access.keys import key_line
from borewright.web.app import create_app
from borewright.web.setting_values import SettingError
from borewright.web.settings import Settings

Check = Callable[..., dict[str, Any]]
GOOD, DISABLED = "a-good-key", "a-disabled-key"
OPEN = {
    "/",
    "/docs",
    "/docs/<name>",
    "/docs/code",
    "/docs/examples.json",
    "/docs/examples/<operation>.json",
    "/glossary",
    "/problems",
    "/problems/<name>",
    "/health/live",
    "/health/ready",
    "/v1/openapi.json",
}
BODY = {"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}
ORIGIN = "https://shop.example"


@pytest.fixture(scope="module")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    path = tmp_path_factory.mktemp("keys") / "keys"
    path.write_text(f"{key_line('shop-1', GOOD)}\n{key_line('shop-2', DISABLED)} disabled\n")
    return create_app(Settings(keys_file=str(path))).test_client()


def bearer(key: str) -> dict[str, str]:
    return {"Authorization": f"Bearer {key}"}


def test_every_route_needs_the_key_but_those_named_here(keyed: FlaskClient, expect_problem: Check) -> None:
    for rule in keyed.application.url_map.iter_rules():
        path = str(rule).replace("<name>", "units")
        method = "POST" if "POST" in (rule.methods or ()) else "GET"
        status = keyed.open(path, method=method).status_code
        assert (status == 401) is (str(rule) not in OPEN), str(rule)
        assert keyed.open(path, method=method, headers=bearer(GOOD)).status_code != 401


@pytest.mark.parametrize(
    "header",
    [
        "",
        "Bearer",
        "Bearer ",
        "Basic YTpi",
        GOOD,
        f"Bearer{GOOD}",
        f"Digest {GOOD}",
        "Bearer x",
        f"Bearer {GOOD}x",
        f"Bearer {GOOD} {GOOD}",
        "é",
    ],
)
def test_without_a_known_key(keyed: FlaskClient, expect_problem: Check, header: str) -> None:
    response = keyed.post("/v1/displacement", json=BODY, headers={"Authorization": header} if header else {})
    problem = expect_problem(response, 401, "unauthorized")
    assert response.headers["WWW-Authenticate"].startswith('Bearer realm="borewright"')
    assert GOOD not in str(problem)


def test_an_unknown_key_is_told_apart_from_none(keyed: FlaskClient) -> None:
    """RFC 6750, section 3.1: no error code where nothing was tried."""
    tried = keyed.get("/v1/reference/units", headers=bearer("x")).headers["WWW-Authenticate"]
    assert tried.endswith('error="invalid_token"')
    assert "error" not in keyed.get("/v1/reference/units").headers["WWW-Authenticate"]


@pytest.mark.parametrize("scheme", ["Bearer", "bearer", "BEARER"])
def test_with_the_key(keyed: FlaskClient, scheme: str) -> None:
    assert keyed.post("/v1/displacement", json=BODY, headers={"Authorization": f"{scheme} {GOOD}"}).status_code == 200


def test_a_disabled_key(keyed: FlaskClient, expect_problem: Check) -> None:
    problem = expect_problem(keyed.post("/v1/displacement", json=BODY, headers=bearer(DISABLED)), 403, "forbidden")
    assert "shop-2" in problem["detail"]


def test_what_is_not_there_needs_the_key_below_v1(keyed: FlaskClient, expect_problem: Check) -> None:
    expect_problem(keyed.get("/v1/nothing"), 401, "unauthorized")
    expect_problem(keyed.get("/v1/displacement"), 401, "unauthorized")
    expect_problem(keyed.get("/v1/nothing", headers=bearer(GOOD)), 404, "not-found")
    expect_problem(keyed.get("/nothing"), 404, "not-found")


def test_a_refused_body_is_not_read(keyed: FlaskClient) -> None:
    def read() -> bytes:
        raise AssertionError("the body was read")

    class Body:
        def read(self, size: int = -1) -> bytes:
            return read()

    response = keyed.post(
        "/v1/displacement", content_type="application/json", environ_overrides={"wsgi.input": Body(), "CONTENT_LENGTH": "100"}
    )
    assert response.status_code == 401


def test_no_app_without_a_usable_file(tmp_path: Path) -> None:
    with pytest.raises(SettingError):
        create_app(Settings(keys_file=str(tmp_path / "absent")))


@pytest.fixture(scope="module")
def shared() -> FlaskClient:
    return create_app(Settings(cors_origins=(ORIGIN, "http://localhost:3000", "https://[::1]:3000"))).test_client()


def test_no_page_of_another_origin_unless_allowed(client: FlaskClient, shared: FlaskClient) -> None:
    like = ("https://shopxexample", ORIGIN + ":8443", "http://shop.example", "https://1:3000", "https://1:3000.evil.example")
    others = ("https://other.example", "null", ORIGIN + ".evil.example", *like)
    for service, origin in ((client, ORIGIN), *((shared, other) for other in others)):
        for answer in (
            service.post("/v1/displacement", json=BODY, headers={"Origin": origin}),
            service.options("/v1/displacement", headers={"Origin": origin, "Access-Control-Request-Method": "POST"}),
        ):
            assert not [name for name, _ in answer.headers if name.lower().startswith("access-control-allow")]


@pytest.mark.parametrize("origin", [ORIGIN, "http://localhost:3000", "https://[::1]:3000"])
def test_a_page_of_an_allowed_origin(shared: FlaskClient, origin: str) -> None:
    asked = {"Origin": origin, "Access-Control-Request-Method": "POST", "Access-Control-Request-Headers": "authorization, content-type"}
    preflight = shared.options("/v1/displacement", headers=asked)
    assert preflight.status_code == 200
    assert preflight.headers["Access-Control-Allow-Origin"] == origin
    assert "POST" in preflight.headers["Access-Control-Allow-Methods"]
    assert {"authorization", "content-type"} <= {
        name.strip().lower() for name in preflight.headers["Access-Control-Allow-Headers"].split(",")
    }
    answer = shared.post("/v1/displacement", json=BODY, headers={"Origin": origin})
    assert (answer.status_code, answer.headers["Access-Control-Allow-Origin"]) == (200, origin)
    assert "X-Request-Id" in answer.headers["Access-Control-Expose-Headers"]
    assert "Origin" in answer.headers["Vary"]
    assert "Access-Control-Allow-Credentials" not in answer.headers
    refused = shared.post("/v1/displacement", json={}, headers={"Origin": origin})
    assert (refused.status_code, refused.headers["Access-Control-Allow-Origin"]) == (422, origin)


def test_what_caches_may_hold_is_kept_apart_by_origin(shared: FlaskClient, client: FlaskClient) -> None:
    for headers in ({}, {"Origin": ORIGIN}, {"Origin": "https://other.example"}):
        answer = shared.get("/v1/reference/units", headers=headers)
        assert "max-age" in answer.headers["Cache-Control"]
        assert "Origin" in answer.vary
    assert "Origin" not in client.get("/v1/reference/units").vary


def test_a_preflight_needs_no_key(tmp_path: Path) -> None:
    path = tmp_path / "keys"
    path.write_text(key_line("shop-1", GOOD))
    service = create_app(Settings(keys_file=str(path), cors_origins=(ORIGIN,))).test_client()
    asked = {"Origin": ORIGIN, "Access-Control-Request-Method": "POST"}
    assert service.options("/v1/displacement", headers=asked).headers["Access-Control-Allow-Origin"] == ORIGIN
    refused = service.post("/v1/displacement", json=BODY, headers={"Origin": ORIGIN})
    assert (refused.status_code, refused.headers["Access-Control-Allow-Origin"]) == (401, ORIGIN)
