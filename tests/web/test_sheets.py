"""The build sheet over HTTP: its forms, its headers, and that drawing never takes a process for itself."""

import copy
import re
import threading
from typing import Any

import pytest
from flask.testing import FlaskClient

from borewright.demo.run import read_order
from borewright.sheet.page import POLICY
from borewright.sheet.sections import digest
from borewright.web import sheets
from borewright.web.app import create_app

SMALL = {"order": {"id": "A-1"}, "build": {"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4}}
PATH = "/v1/build-sheet"


@pytest.fixture(scope="module")
def service() -> FlaskClient:
    return create_app().test_client()


@pytest.mark.parametrize(
    ("accept", "content_type", "begin"),
    [
        ("application/json", "application/json", b"{"),
        ("text/html", "text/html; charset=utf-8", b"<!doctype html>"),
        ("application/pdf", "application/pdf", b"%PDF-"),
    ],
)
def test_each_form(service: FlaskClient, accept: str, content_type: str, begin: bytes) -> None:
    response = service.post(PATH, json=SMALL, headers={"Accept": accept})
    assert (response.status_code, response.headers["Content-Type"]) == (200, content_type)
    assert response.data.startswith(begin)
    assert response.headers["Vary"] == "Accept"
    assert response.headers["X-Content-Type-Options"] == "nosniff"


def test_the_page_comes_under_its_own_policy_and_the_rest_under_none(service: FlaskClient) -> None:
    assert service.post(PATH, json=SMALL, headers={"Accept": "text/html"}).headers["Content-Security-Policy"] == POLICY
    for form in ("application/json", "application/pdf"):
        assert service.post(PATH, json=SMALL, headers={"Accept": form}).headers["Content-Security-Policy"].startswith("default-src 'none'")


@pytest.mark.parametrize("name", ["../../etc/passwd", 'a"; filename="b', "résumé", "CON", "%0d%0aX-Evil: 1", ".", "shipping/label"])
def test_the_file_name_comes_from_the_digest_alone(service: FlaskClient, name: str) -> None:
    sent = {**SMALL, "order": {"id": name}}
    response = service.post(PATH, json=sent, headers={"Accept": "text/html"})
    assert response.headers["Content-Disposition"] == f'inline; filename="build-sheet-{digest(sent)[:16]}.html"'
    assert re.fullmatch(r'inline; filename="[a-z0-9.-]+"', response.headers["Content-Disposition"])


def test_no_form_is_a_problem_that_names_them(service: FlaskClient) -> None:
    response = service.post(PATH, json=SMALL, headers={"Accept": "image/png"})
    assert (response.status_code, response.headers["Content-Type"]) == (406, "application/problem+json")
    problem = response.get_json()
    assert problem["type"] == "/problems/not-acceptable"
    assert all(form in problem["detail"] for form in sheets.FORMS)
    assert response.headers["Vary"] == "Accept"


@pytest.mark.parametrize("accept", sheets.FORMS)
def test_a_refusal_is_a_problem_whatever_the_form(service: FlaskClient, accept: str) -> None:
    sent = {"order": {"id": "a\0b", "notes": "x" * 10_000, "date": "2031-13-01"}, "build": {}}
    response = service.post(PATH, json=sent, headers={"Accept": accept})
    assert (response.status_code, response.headers["Content-Type"]) == (422, "application/problem+json")
    assert {error["pointer"] for error in response.get_json()["errors"]} == {"#/order/id", "#/order/notes", "#/order/date"}
    assert response.headers["Vary"] == "Accept"


def test_a_day_that_is_none_is_impossible(service: FlaskClient) -> None:
    sent = {"order": {"id": "A-1", "date": "2031-02-30"}, "build": {}}
    for form in sheets.FORMS:
        response = service.post(PATH, json=sent, headers={"Accept": form})
        assert response.get_json()["type"] == "/problems/impossible-build"
        assert [error["pointer"] for error in response.get_json()["errors"]] == ["#/order/date"]


def hostile() -> dict[str, Any]:
    order = copy.deepcopy(read_order(None))
    order["order"] = {"id": "<script>alert(1)</script>", "customer": "\u202eשלום", "engine": "🏎️\ufeff\ufffe", "notes": "#panic() " * 200}
    return order


@pytest.mark.parametrize("accept", sheets.FORMS)
def test_hostile_words_come_through(service: FlaskClient, accept: str) -> None:
    response = service.post(PATH, json=hostile(), headers={"Accept": accept})
    assert response.status_code == 200
    if accept == "text/html":
        assert "<script" not in response.text


def test_sheets_that_are_drawn_leave_room_for_other_requests() -> None:
    """While four PDFs are asked for at once, a small calculation is still answered, and again."""
    app = create_app()
    done = threading.Event()
    codes: list[int] = []

    def draw() -> None:
        codes.append(app.test_client().post(PATH, json=SMALL, headers={"Accept": "application/pdf"}).status_code)

    threads = [threading.Thread(target=draw) for _ in range(4)]
    for thread in threads:
        thread.start()
    answered = 0
    small = {"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4}
    while any(thread.is_alive() for thread in threads) and not done.wait(0.02):
        assert app.test_client().post("/v1/displacement", json=small).status_code == 200
        answered += 1
    for thread in threads:
        thread.join()
    assert codes == [200] * 4
    assert answered > 5
