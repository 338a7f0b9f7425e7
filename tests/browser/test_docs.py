"""The API reference in a real browser: it renders, its examples run from the page, and it is usable by keyboard and on a phone."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from borewright.web.document.openapi import openapi

DOCUMENT = openapi(whole=True)
ONE = "#operations-calculations-displacement"
BATCH = "#operations-batches-displacement_batch"
SHEET = "#operations-calculations-build_sheet"
ANSWER = ".live-responses-table"
STATUS = f"{ANSWER} tbody .response-col_status"
BODY = f"{ANSWER} .highlight-code code"

once = pytest.mark.parametrize("tab", ["desktop"], indirect=True)  # where the width plays no part


def _examples(path: str) -> dict[str, Any]:
    given = DOCUMENT["paths"][path]["post"]["requestBody"]["content"]["application/json"]["examples"]
    return {title: example["value"] for title, example in given.items()}


def _tab_to(page: Any, selector: str, most: int = 120) -> None:
    """Press Tab until the focus is there."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("wanted => document.activeElement.matches(wanted)", selector):
            return
    raise AssertionError(f"{most} stops do not reach {selector}")


def test_every_request_is_listed(tab: Any) -> None:
    page = tab.open_docs()
    assert page.locator(".opblock").count() == sum(len(methods) for methods in DOCUMENT["paths"].values())
    assert tab.findings() == []


def test_an_example_runs_from_the_page(tab: Any) -> None:
    page = tab.open_docs()
    block = page.locator(ONE)
    block.locator(".opblock-summary-control").click()
    examples = _examples("/v1/displacement")
    assert json.loads(block.locator("textarea").input_value()) == next(iter(examples.values()))
    assert block.get_by_label("Example", exact=True).first.locator("option").all_inner_texts() == list(examples)
    with page.expect_response("**/v1/displacement") as sent:
        block.get_by_role("button", name="Execute").click()
    assert block.locator(STATUS).inner_text().split() == ["200"]
    shown = json.loads(block.locator(BODY).inner_text())
    assert shown == sent.value.json()
    assert 300.0 < shown["displacement"]["value"] < 400.0
    assert tab.findings() == []
    page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
    page.locator("h1").click()
    stops, unseen = tab.unseen_stops(200)
    assert unseen == []
    assert stops > page.locator(".opblock").count()


@once
def test_an_example_runs_behind_a_proxy_that_serves_all_under_a_path(tab: Any) -> None:
    tab.behind("/shop/engines")
    page = tab.open("/")
    page.get_by_role("link", name="Displacement", exact=True).click()
    block = page.locator(f"{ONE}.is-open")
    with page.expect_response("**/v1/displacement") as sent:
        block.get_by_role("button", name="Execute").click()
    assert sent.value.url == f"{tab.address}/v1/displacement"
    assert block.locator(STATUS).inner_text().split() == ["200"]


def test_each_refusal_is_named_and_its_shape_shown_once(tab: Any) -> None:
    page = tab.open_docs("#/calculations/displacement")
    refusals = page.locator(f"{ONE} tr.response").filter(has=page.locator("td.response-col_status", has_text=re.compile("^[45d]")))
    refusals.first.wait_for()
    documented = [status for status in DOCUMENT["paths"]["/v1/displacement"]["post"]["responses"] if status[0] in "45d"]
    assert sorted(refusals.locator("td.response-col_status").all_inner_texts()) == sorted(documented)
    shown = [row for row in refusals.all() if row.locator("pre").is_visible()]
    assert [row.get_attribute("data-code") for row in shown] == ["422"]
    assert page.get_by_text("No links").filter(visible=True).count() == 0


@once
def test_a_batch_takes_another_example_and_a_refusal_is_shown(tab: Any) -> None:
    page = tab.open_docs("#/batches/displacement_batch")
    block = page.locator(BATCH)
    batch = next(iter(_examples("/v1/displacement/batch").values()))
    assert json.loads(block.locator("textarea").input_value()) == batch
    block.locator("textarea").fill(json.dumps(batch | {"columns": {"bores": [1, 2]}}))
    block.get_by_role("button", name="Execute").click()
    assert block.locator(STATUS).inner_text().split()[0] == "422"
    assert "#/columns/bores" in block.locator(BODY).inner_text()
    # the browser writes a line of its own for any answer of 4xx: the one complaint that is wanted here
    assert [complaint for complaint in tab.complaints if "422" not in complaint] == []
    tab.complaints.clear()


@once
def test_the_first_page_leads_to_a_sheet_saved_as_pdf(tab: Any, tmp_path: Path) -> None:
    page = tab.open("/")
    page.get_by_role("link", name="Build sheet", exact=True).click()
    block = page.locator(f"{SHEET}.is-open")
    assert json.loads(block.locator("textarea").input_value()) == next(iter(_examples("/v1/build-sheet").values()))
    block.locator(".responses-table:not(.live-responses-table) select").first.select_option("application/pdf")
    block.get_by_role("button", name="Execute").click()
    with page.expect_download() as saved:
        block.get_by_role("link", name="Save build-sheet-").click()
    saved.value.save_as(tmp_path / "sheet.pdf")
    assert (tmp_path / "sheet.pdf").read_bytes().startswith(b"%PDF-")
    assert saved.value.suggested_filename.endswith(".pdf")


@once
def test_by_keyboard_alone(tab: Any) -> None:
    page = tab.open_docs()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    page.keyboard.press("Enter")
    page.wait_for_function("document.activeElement.id === 'content'")
    _tab_to(page, f"{ONE} .opblock-summary-control")
    page.keyboard.press("Enter")
    page.locator(f"{ONE} .execute").wait_for()
    _tab_to(page, f"{ONE} textarea")
    page.keyboard.press("Control+A")
    page.keyboard.insert_text('{"bore": "100 mm", "stroke": "100 mm", "cylinders": 4}')
    _tab_to(page, f"{ONE} .execute")
    page.keyboard.press("Space")
    assert '"value": 3141.59265359' in page.locator(f"{ONE} {BODY}").inner_text()  # pi/4 * 10 cm * 10 cm * 10 cm * 4


@once
def test_the_window_for_a_key(tab: Any) -> None:
    page = tab.open_docs()
    page.get_by_role("button", name="Authorize").first.click()
    dialog = page.get_by_role("dialog", name="Key of the service")
    dialog.wait_for()
    assert page.evaluate("document.activeElement.tagName") == "INPUT"
    assert tab.findings() == []
    page.keyboard.press("Escape")
    dialog.wait_for(state="detached")
    page.wait_for_function("document.activeElement.matches('.authorize')")


def test_the_answer_is_shown_beside_the_request_and_leads_to_its_programs(tab: Any) -> None:
    page = tab.open_docs("#/calculations/displacement")
    block = page.locator(ONE)
    shown = json.loads(block.locator('tr.response[data-code="200"] pre').first.inner_text())
    assert 300.0 < shown["displacement"]["value"] < 400.0
    block.get_by_role("link", name="The examples in Python, TypeScript and with curl").click()
    page.wait_for_url("**/docs/code#displacement")
    assert page.locator("#displacement").inner_text() == "How much does the engine sweep?"


def test_examples_as_code(tab: Any) -> None:
    page = tab.open("/docs/code")
    assert page.locator("h2").all_inner_texts() == page.locator(".contents a").all_inner_texts()
    page.locator(".contents a").first.focus()
    _tab_to(page, "details summary", most=60)
    page.keyboard.press("Enter")
    assert "curl --silent" in page.locator("details[open] pre").inner_text()
    assert tab.findings() == []


TYPE = ".json-schema-2020-12__attribute--primary"
# each schema opens to its members alone: closed first, all of it is opened
TURN = """block => block.querySelectorAll(".model-container > .model-box > article > .json-schema-2020-12-head > button:nth-of-type(2)")
    .forEach(button => button.click())"""


@once
@pytest.mark.parametrize("place", ["calculations/displacement", "calculations/air_correction", "batches/ring_gap_batch"])
def test_no_type_of_an_operation_reads_any(tab: Any, place: str) -> None:
    page = tab.open_docs(f"#/{place}")
    block = page.locator(f"#operations-{place.replace('/', '-')}")
    block.locator(".responses-table").first.wait_for()
    for shown in block.get_by_role("tab", name="Schema").filter(visible=True).all():
        shown.click()
    for button in ("Collapse all", "Expand all"):
        block.locator(".model-box > article > .json-schema-2020-12-head").get_by_text(button).first.wait_for()
        block.evaluate(TURN)
    for _ in range(100):
        if block.locator(TYPE).count() > 100:
            break
        page.wait_for_timeout(100)
    types = block.locator(TYPE).all_inner_texts()
    assert len(types) > 100
    assert [told for told in types if re.search(r"\b(any|unknown)\b", told)] == []


@once
def test_no_schema_of_the_list_reads_any(tab: Any) -> None:
    """The list draws what is in the window: it is read as it scrolls by."""
    page = tab.open_docs()
    page.locator(".models .models-control").click()
    page.locator("section.models article").first.wait_for()
    page.mouse.move(640, 400)
    read: dict[str, str] = {}
    for _ in range(1000):
        for name, told in page.locator("section.models article").evaluate_all(
            "(all, type) => all.map(one => [one.querySelector('.json-schema-2020-12__title').textContent, "
            "[...one.querySelectorAll(type)].map(each => each.textContent).join('; ')])",
            TYPE,
        ):
            read[name] = told
        if len(read) >= len(DOCUMENT["components"]["schemas"]):
            break
        page.mouse.wheel(0, 300)
        page.wait_for_timeout(50)
    assert read.keys() == DOCUMENT["components"]["schemas"].keys()
    assert {name: told for name, told in read.items() if re.search(r"\b(any|unknown)\b", told)} == {}
