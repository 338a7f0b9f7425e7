"""The pages for a person, and what a program gets at the same addresses."""

import json
import re
from collections.abc import Callable
from html import unescape
from typing import Any
from urllib.parse import urljoin

import pytest
from flask.testing import FlaskClient

from borewright import __version__
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.registry import calculations
from borewright.web.document.openapi import openapi
from borewright.web.pages import OWN_FILES, UI_FILES
from borewright.web.problems import PROBLEMS
from borewright.web.reference import TABLES

BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"
BOTH = ["/", "/glossary", "/problems", *(f"/problems/{name}" for name in PROBLEMS)]
Expect = Callable[..., dict[str, Any]]


def _policy(text: str) -> dict[str, list[str]]:
    return {words[0]: words[1:] for words in (directive.split() for directive in text.split(";")) if words}


@pytest.mark.parametrize(
    ("accept", "wanted"),
    [
        (None, "application/json"),
        ("", "application/json"),
        ("*/*", "application/json"),
        ("application/json", "application/json"),
        ("application/*", "application/json"),
        (BROWSER, "text/html"),
        ("text/html", "text/html"),
        ("text/*", "text/html"),
        ("text/html;q=0.3, application/json;q=0.4", "application/json"),
        ("text/html;q=0.5, application/json;q=0.4", "text/html"),
        ("text/html, application/json", "application/json"),
        ("application/json;q=0, */*", "text/html"),
    ],
)
@pytest.mark.parametrize("path", ["/", "/glossary", "/problems", "/problems/not-json"])
def test_the_form_follows_accept(client: FlaskClient, path: str, accept: str | None, wanted: str) -> None:
    answer = client.get(path, headers={} if accept is None else {"Accept": accept})
    assert answer.status_code == 200
    assert answer.mimetype == wanted
    assert answer.vary.as_set() >= {"accept"}


@pytest.mark.parametrize("accept", ["application/pdf", "text/html;q=0", "text/html;q=0, application/json;q=0, */*"])
@pytest.mark.parametrize("path", ["/", "/glossary", "/problems", "/problems/not-json"])
def test_no_such_form(client: FlaskClient, path: str, accept: str, expect_problem: Expect) -> None:
    answer = client.get(path, headers={"Accept": accept})
    assert "application/json, text/html" in expect_problem(answer, 406, "not-acceptable")["detail"]
    assert answer.vary.as_set() >= {"accept"}


@pytest.mark.parametrize("path", [*BOTH, "/docs", "/docs/code"])
def test_pages_come_under_a_strict_policy(client: FlaskClient, path: str) -> None:
    answer = client.get(path, headers={"Accept": BROWSER})
    policy = _policy(answer.headers["Content-Security-Policy"])
    assert policy["default-src"] == policy["form-action"] == policy["frame-ancestors"] == policy["base-uri"] == ["'none'"]
    assert policy["script-src"] == policy["style-src"] == policy["connect-src"] == ["'self'"]
    assert policy["img-src"] == ["'self'", "data:"]
    assert len(policy) == 8
    text = answer.get_data(as_text=True)
    assert not re.search(r"<style|<script(?![^>]*\bsrc=\"\./docs/)|\sstyle=|\son\w+=|javascript:", text), "nothing of the page is inline"
    assert re.findall(r"(?:src|href)=\"(?!\.\.?/|#|data:,)[^\"]*", text) == [], "every address is told from this page's own"


@pytest.mark.parametrize("path", [*BOTH, "/docs", "/docs/code"])
def test_pages_lead_a_reader(client: FlaskClient, path: str) -> None:
    text = client.get(path, headers={"Accept": BROWSER}).get_data(as_text=True)
    assert '<html lang="en">' in text
    assert text.count("<h1>") == text.count("<main ") == text.count("<nav ") == 1
    assert text.index('<a class="skip" href="#content">') < text.index("<header") < text.index('<main id="content"')
    assert re.search(r"<title>[^<]*Borewright</title>", text)


@pytest.mark.parametrize("path", [*BOTH, "/docs", "/docs/code"])
def test_links_of_the_pages_are_answered(client: FlaskClient, path: str) -> None:
    text = client.get(path, headers={"Accept": BROWSER}).get_data(as_text=True)
    links = set(re.findall(r"(?:src|href)=\"(\.[^\"]*)", text))
    assert links
    for link in links:
        assert client.head(urljoin(path, link).split("#")[0], buffered=True).status_code == 200, link
        assert urljoin(f"/shop/engines{path}", link) == f"/shop/engines{urljoin(path, link)}", "it holds behind a proxy's own path as well"


def test_the_first_page_leads_a_program_to_the_document(client: FlaskClient) -> None:
    answer = client.get("/")
    entry = answer.get_json()
    assert (entry["name"], entry["version"]) == ("borewright", __version__)
    for address in (entry["openapi"], entry["docs"], entry["problems"], *entry["reference"].values()):
        assert client.get(address).status_code == 200
    assert set(entry["reference"]) == set(TABLES)
    assert client.get(entry["openapi"]).get_json()["openapi"] == "3.1.0"
    links = dict(re.findall(r'<([^>]+)>; rel="([a-z-]+)"', answer.headers["Link"]))
    assert links == {"/v1/openapi.json": "service-desc", "/docs": "service-doc"}


def test_the_first_page_leads_a_person_to_every_calculation(client: FlaskClient) -> None:
    text = unescape(client.get("/", headers={"Accept": BROWSER}).get_data(as_text=True))
    for name, calculation in calculations().items():
        place = name.replace("-", "_")
        assert f'<a href="./docs#/calculations/{place}">{calculation.title}</a>' in text
        assert calculation.text in text
    listed = {
        f"{operation['tags'][0]}/{operation['operationId']}" for methods in openapi()["paths"].values() for operation in methods.values()
    }
    assert set(re.findall(r'href="\./docs#/([^"]+)"', text)) <= listed


@pytest.mark.parametrize("name", PROBLEMS)
def test_each_problem_is_explained_in_both_forms(client: FlaskClient, name: str) -> None:
    kind = PROBLEMS[name]
    data = client.get(f"/problems/{name}").get_json()
    assert data == {
        "type": f"/problems/{name}",
        "title": kind.title,
        "status": kind.status,
        "meaning": kind.meaning,
        "remedy": kind.remedy,
    }
    text = unescape(client.get(f"/problems/{name}", headers={"Accept": BROWSER}).get_data(as_text=True))
    for said in (kind.title, str(kind.status), kind.meaning, kind.remedy, data["type"]):
        assert said in text


def test_the_list_of_problems_has_each(client: FlaskClient) -> None:
    assert client.get("/problems").get_json() == {name: f"/problems/{name}" for name in PROBLEMS}
    text = unescape(client.get("/problems", headers={"Accept": BROWSER}).get_data(as_text=True))
    assert re.findall(r'<dt><span class="status">(\d+)</span> <a href="\./problems/([^"]+)"', text) == [
        (str(kind.status), kind.name) for kind in sorted(PROBLEMS.values(), key=lambda kind: kind.status)
    ]


def test_the_list_of_problems_has_each_code(client: FlaskClient) -> None:
    text = client.get("/problems", headers={"Accept": "text/html"}).get_data(as_text=True)
    assert all(f'<code class="term">{code.value}</code>' in text for code in Code)


def test_the_problem_that_is_shown_is_the_one_that_is_sent(client: FlaskClient) -> None:
    sent = client.post("/v1/displacement", json={"bore": "3.9 kg", "stroke": "3.36 in", "cylinders": 8}).get_json()
    text = unescape(client.get("/problems", headers={"Accept": BROWSER}).get_data(as_text=True))
    (shown,) = re.findall(r"<pre>(.*?)</pre>", text, re.DOTALL)
    assert {**json.loads(shown), "request_id": sent["request_id"]} == sent


@pytest.mark.parametrize("accept", ["application/json", BROWSER])
@pytest.mark.parametrize("path", ["/problems/no-such", "/problems/%2e%2e", "/problems/<script>", "/problems/" + "x" * 500])
def test_other_names_are_problems_whatever_is_asked_for(client: FlaskClient, path: str, accept: str, expect_problem: Expect) -> None:
    assert len(expect_problem(client.get(path, headers={"Accept": accept}), 404, "not-found")["detail"]) < 600


@pytest.mark.parametrize("name", ["../pages.py", "pages.py", "..%2fpages.py", "index.css", "oauth2-redirect.html", "DOCS.JS", "x" * 500])
def test_no_other_file_is_served(client: FlaskClient, name: str, expect_problem: Expect) -> None:
    expect_problem(client.get(f"/docs/{name}"), 404, "not-found")


@pytest.mark.parametrize("name", [*UI_FILES, *OWN_FILES])
def test_files_of_the_reference(client: FlaskClient, name: str) -> None:
    answer = client.get(f"/docs/{name}", buffered=True)
    assert answer.status_code == 200
    assert answer.mimetype == {"js": "text/javascript", "css": "text/css"}[name.rsplit(".", 1)[1]]
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert len(answer.get_data()) > 500


@pytest.mark.parametrize("accept", ["application/json", BROWSER])
@pytest.mark.parametrize("path", ["/", "/docs", "/problems", "/problems/internal", *(f"/docs/{name}" for name in (*UI_FILES, *OWN_FILES))])
def test_answers_can_be_kept_and_head_tells_of_them(client: FlaskClient, path: str, accept: str) -> None:
    whole = client.get(path, headers={"Accept": accept}, buffered=True)
    assert whole.cache_control.public
    assert whole.cache_control.max_age == 3600
    head = client.head(path, headers={"Accept": accept}, buffered=True)
    assert head.status_code == 200
    assert head.get_data() == b""
    for name in ("ETag", "Content-Type", "Content-Length", "Vary", "Content-Security-Policy"):
        assert head.headers.get(name) == whole.headers.get(name), name
    again = client.get(path, headers={"Accept": accept, "If-None-Match": whole.headers["ETag"]}, buffered=True)
    assert again.status_code == 304
    assert again.get_data() == b""
    assert again.headers.get("Vary") == whole.headers.get("Vary")


@pytest.mark.parametrize("path", ["/", "/problems", "/problems/internal"])
def test_the_forms_have_tags_of_their_own(client: FlaskClient, path: str) -> None:
    tags = {client.get(path, headers={"Accept": accept}).headers["ETag"] for accept in ("application/json", "text/html")}
    assert len(tags) == 2


@pytest.mark.parametrize("path", ["/", "/docs", "/problems", "/problems/internal"])
def test_pages_are_only_read(client: FlaskClient, path: str, expect_problem: Expect) -> None:
    answer = client.post(path)
    expect_problem(answer, 405, "method-not-allowed")
    assert set(answer.headers["Allow"].split(", ")) == {"GET", "HEAD", "OPTIONS"}
