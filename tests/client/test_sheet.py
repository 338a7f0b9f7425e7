"""The client's build sheet in its three forms, against the service itself."""

import json
import pickle
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, get_args, get_type_hints

import pytest
import requests

import borewright_client as bw
from borewright.demo.run import read_order
from borewright.web.app import create_app

BEGIN = {"json": b"{", "html": b"<!doctype html>", "pdf": b"%PDF-"}


@pytest.fixture(scope="module")
def app() -> Any:
    return create_app()


@pytest.fixture
def client(app: Any, wsgi_session: Callable[..., requests.Session]) -> Iterator[bw.Client]:
    with wsgi_session(app) as session:
        yield bw.Client("http://service", session=session)


@pytest.fixture
def order() -> dict[str, Any]:
    return read_order(None)


def test_as_data(client: bw.Client, order: dict[str, Any]) -> None:
    sheet = client.build_sheet(**order)
    assert sheet["order"]["id"] == order["order"]["id"]
    assert sheet["sections"]["compression"]["compression_ratio"]["unit"] == "1"


OWN = {"raw", "request_id", "headers"}
ENTRIES: dict[str, Any] = {
    "missing": bw.MissingSection,
    "refused": bw.RefusedSection,
    "disagreements": bw.Disagreement,
    "checks": bw.SheetCheck,
    "assumptions": bw.SheetAssumption,
    "sensitivity": bw.SheetSensitivity,
}
CANNOT_BE = {
    "bore": "84.3 mm",
    "stroke": "85.3 mm",
    "cylinders": 4,
    "chamber_volume": "1 cm3",
    "crown": {"dome": "300 cm3"},
    "gasket": {"bore": "85.3 mm", "thickness": "1 mm"},
    "deck_clearance": "0 mm",
    "crank": {"stroke": "90 mm"},
}


def test_every_member_of_the_data_has_its_type(client: bw.Client, order: dict[str, Any]) -> None:
    sheets: list[Any] = [client.build_sheet(**order), client.build_sheet(order={"id": "A-1"}, build=CANNOT_BE)]
    for sheet in sheets:
        assert sheet.keys() == get_type_hints(bw.BuildSheet).keys() - OWN
        assert {name.replace("-", "_") for name in sheet["sections"]} <= get_type_hints(bw.sections.SheetSections).keys()
    for member, kind in ENTRIES.items():
        entries = [entry for sheet in sheets for entry in sheet[member]]
        assert entries, f"no sheet here has {member}"
        for entry in entries:
            hints = {name: hint for name, hint in get_type_hints(kind).items() if name not in OWN}
            hints = {name.removesuffix("_"): hint for name, hint in hints.items()}
            assert {name for name, hint in hints.items() if type(None) not in get_args(hint)} <= entry.keys() <= hints.keys()
            assert {name: getattr(entry, f"{name}_" if name == "values" else name) for name in entry} == dict(entry)


def test_a_form_that_is_not_offered_is_not_asked_for(client: bw.Client) -> None:
    form: Any = "docx"
    with pytest.raises(ValueError, match="form must be one of json, html, pdf"):
        client.build_sheet_document(order={"id": "A-1"}, build={}, form=form)


def test_a_folder_that_is_not_there_is_said_before_anything_is_asked(tmp_path: Path) -> None:
    with pytest.raises(bw.WrongSetting, match="there is no folder"):
        bw.Client("http://127.0.0.1:9").save_build_sheet(tmp_path / "none" / "sheet.pdf", order={"id": "A-1"}, build={})


@pytest.mark.parametrize("form", ["json", "html", "pdf"])
def test_as_a_document(client: bw.Client, order: dict[str, Any], form: Any) -> None:
    document, sheet = client.build_sheet_document(**order, form=form), client.build_sheet(**order)
    assert document.startswith(BEGIN[form])
    assert (document.verdict, document.input_digest) == (sheet.verdict, sheet.input_digest)
    assert document.request_id == document.headers["x-request-id"]
    again = pickle.loads(pickle.dumps(document))
    assert (again, again.verdict, again.request_id) == (document, document.verdict, document.request_id)


def test_a_document_of_a_service_without_these_headers(serve: Any, connect: Any) -> None:
    server = serve(lambda handler: handler.send(b"HTTP/1.1 200 OK\r\nContent-Type: application/pdf\r\nContent-Length: 4\r\n\r\n%PDF"))
    document = connect(server).build_sheet_document(order={"id": "A-1"}, build={})
    assert (document, document.verdict, document.input_digest) == (b"%PDF", None, None)


@pytest.mark.parametrize("form", ["json", "html", "pdf"])
def test_saved(client: bw.Client, order: dict[str, Any], form: str, tmp_path: Path) -> None:
    path = client.save_build_sheet(tmp_path / f"sheet.{form}", **order)
    assert path.read_bytes().startswith(BEGIN[form])
    if form == "json":
        assert json.loads(path.read_text(encoding="utf-8"))["input_digest"] == client.build_sheet(**order)["input_digest"]


def test_a_refusal_is_an_error_in_every_form(client: bw.Client, tmp_path: Path) -> None:
    for form in BEGIN:
        with pytest.raises(bw.ProblemError) as refusal:
            client.save_build_sheet(tmp_path / f"sheet.{form}", order={"id": "a\0b"}, build={})
        assert [error.pointer for error in refusal.value.errors] == ["#/order/id"]
        assert not (tmp_path / f"sheet.{form}").exists()
