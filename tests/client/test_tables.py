"""Tables and CSV files through batches: chunks, failures by row, frames, and going on where a run was broken off."""

import csv
import json
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pandas
import polars
import pytest
import requests

import borewright_client as bw
from borewright.web.app import create_app
from borewright.web.settings import Settings
from borewright_client._tables import chunks

COMMON = {"stroke": "88 mm", "cylinders": 4}
BORES = [90.0, 91.0, None, 93.0, 94.0]


@pytest.fixture(params=["requests", "httpx"])
def client(request: pytest.FixtureRequest, wsgi_session: Callable[..., requests.Session], wsgi_async: Callable[..., Any]) -> Iterator[Any]:
    """Each client in turn."""
    if request.param == "httpx":
        yield wsgi_async(create_app())
        return
    with wsgi_session(create_app()) as session:
        yield bw.Client("http://service", session=session)


def singly(client: bw.Client, bore: float | None) -> float | None:
    if bore is None:
        return None
    return client.displacement(bore=f"{bore} mm", stroke="88 mm", cylinders=4).displacement.value


@pytest.mark.parametrize(
    "data",
    [
        lambda: {"bore": BORES},
        lambda: {"bore": np.array([np.nan if bore is None else bore for bore in BORES])},
        lambda: pandas.DataFrame({"bore": BORES}),
        lambda: polars.DataFrame({"bore": BORES}),
        lambda: ({"bore": bore} for bore in BORES),
    ],
    ids=["lists", "arrays", "pandas", "polars", "rows"],
)
def test_each_kind_of_table_in_chunks_is_what_single_calls_say(client: bw.Client, data: Callable[[], Any]) -> None:
    table = client.table("displacement", data(), common=COMMON, units="metric", chunk=2)
    assert table.rows == 5
    assert table.columns["displacement"] == [singly(client, bore) for bore in BORES]
    assert table.units["displacement"] == "cm3"
    assert list(table.failures) == [2]
    assert table.failures[2][0].pointer == "#/bore"
    assert table.verdicts == ["pass", "pass", None, "pass", "pass"]


def test_frames_come_out(client: bw.Client) -> None:
    table = client.table("displacement", {"bore": BORES}, common=COMMON, units="metric")
    one, other = table.to_pandas(), table.to_polars()
    assert list(one["displacement"].fillna(0)) == list(other["displacement"].fill_null(0))
    assert one["errors"][2].startswith("#/bore: ")
    assert other["errors"].null_count() == 4
    names = list(client.displacement_batch(columns={"bore": [90]}, common=COMMON, units="metric").columns)
    assert list(one.columns) == other.columns == [*names, "verdict", "errors"]
    assert client.table("displacement", {"bore": [90]}, common=COMMON, units="metric").to_polars()["errors"].dtype == polars.String


def test_a_chunk_larger_than_the_service_takes_is_halved(wsgi_session: Callable[..., requests.Session]) -> None:
    with wsgi_session(create_app(Settings(batch_body_bytes=300))) as session:
        client = bw.Client("http://service", session=session)
        bores = [80 + row / 10 for row in range(100)]
        table = client.table("displacement", {"bore": bores}, common=COMMON, units="metric", chunk=64)
        assert table.rows == 100
        assert table.columns["displacement"][-1] == singly(client, bores[-1])


@pytest.mark.parametrize(
    ("ask", "match"),
    [
        (lambda client: client.table("crank-balance", {"stroke": [1]}), "takes no batches"),
        (lambda client: client.table("displacement", {"bore": [1], "stroke": [1, 2]}), "not equally long"),
        (lambda client: client.table("displacement", 7), "not int"),
        (lambda client: client.table("displacement", ["bore"]), "a row is a mapping of fields, not str"),
        (lambda client: client.table("displacement", {"bore": [1]}, chunk=0), "one row at least"),
        (lambda client: client.table("displacement", {"bore": [1]}, in_flight=0), "one request at least"),
    ],
)
def test_what_is_no_table_is_said(client: bw.Client, ask: Any, match: str) -> None:
    with pytest.raises(bw.WrongSetting, match=match):
        ask(client)


@pytest.mark.parametrize(
    ("package", "extra", "ask"),
    [
        ("pandas", "pandas", lambda client, table: table.to_pandas()),
        ("polars", "polars", lambda client, table: table.to_polars()),
        ("rich.progress", "progress", lambda client, table: client.table("displacement", {"bore": BORES}, progress=True)),
    ],
)
def test_without_an_extra_it_is_said_what_to_install(
    package: str, extra: str, ask: Any, client: bw.Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = client.table("displacement", {"bore": BORES}, common=COMMON, units="metric")
    monkeypatch.setitem(sys.modules, package, None)
    with pytest.raises(bw.MissingExtra, match=rf"{package} is not installed: pip install 'borewright-client\[{extra}\]'"):
        ask(client, table)


def test_nothing_in_a_frame_is_none() -> None:
    frame = pandas.DataFrame({"bore": [1.0, np.nan], "alloy": ["4032", None], "day": [pandas.NaT, pandas.NaT]})
    assert list(chunks(frame, 9)) == [{"bore": [1.0, None], "alloy": ["4032", None], "day": [None, None]}]


def write(path: Path, rows: int) -> None:
    path.write_text("bore [mm],cylinders\n" + "".join(f"{80 + row % 200 / 10},4\n" for row in range(rows)), encoding="utf-8")


def test_a_csv_is_written_row_by_row(client: bw.Client, tmp_path: Path) -> None:
    source, target = tmp_path / "rows.csv", tmp_path / "out.csv"
    source.write_text("bore [mm],cylinders\n90,4\n,4\n3.5 in,4\n9 kg,4\n", encoding="utf-8")
    done = client.csv("displacement", source, target, common={"stroke": "88 mm"})
    assert done == bw.Written(rows=4, failed=2)
    rows = list(csv.DictReader(target.read_text(encoding="utf-8").splitlines()))
    assert [row["row"] for row in rows] == ["1", "2", "3", "4"]
    assert float(rows[0]["displacement [cm3]"]) == singly(client, 90.0)
    assert float(rows[2]["displacement [cm3]"]) == pytest.approx(singly(client, 88.9))
    assert [row["verdict"] for row in rows] == ["pass", "", "pass", ""]
    assert "#/bore" in rows[1]["errors"]
    assert "kg" in rows[3]["errors"]
    assert not (tmp_path / "out.csv.progress").exists()


def test_a_run_that_was_broken_off_goes_on(client: bw.Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was noted is kept, half a row after it is cut off, and nothing is asked twice."""
    source, whole, broken = tmp_path / "rows.csv", tmp_path / "whole.csv", tmp_path / "broken.csv"
    write(source, 50)
    client.csv("displacement", source, whole, common={"stroke": "88 mm"}, chunk=10)
    asked: list[int] = []
    for kind in (bw.Client, bw.AsyncClient):
        batch: Any = kind._batch

        def failing(self: Any, name: str, body: Any, options: Any = None, batch: Any = batch) -> Any:
            asked.append(len(body["columns"]["cylinders"]))
            if len(asked) == 4:
                raise bw.ConnectionFailed("the line is cut")
            return batch(self, name, body, options)

        monkeypatch.setattr(kind, "_batch", failing)
    with pytest.raises(bw.ConnectionFailed):
        client.csv("displacement", source, broken, common={"stroke": "88 mm"}, chunk=10, in_flight=1)
    note = json.loads((tmp_path / "broken.csv.progress").read_text(encoding="utf-8"))
    assert note["rows"] == 30
    with broken.open("a", encoding="utf-8") as file:
        file.write("31,half a r")
    with pytest.raises(bw.WrongSetting, match="another job"):
        client.csv("displacement", source, broken, common={"stroke": "89 mm"})
    done = client.csv("displacement", source, broken, common={"stroke": "88 mm"}, chunk=10, in_flight=1)
    assert done.rows == 50
    assert broken.read_text(encoding="utf-8") == whole.read_text(encoding="utf-8")
    assert sum(asked) == 60, "30 rows, 10 that failed, and the 20 that were left"


@pytest.mark.parametrize(
    ("content", "match"),
    [(b"bore\n\xff\n", "not in UTF-8"), (b"bore\n" + b"9" * 200_000 + b"\n", "is no CSV"), (b"bore\n90,4\n", "line 2 has 2 cells")],
    ids=["other text", "huge cell", "cell too many"],
)
def test_a_file_that_is_no_csv_is_said(client: bw.Client, tmp_path: Path, content: bytes, match: str) -> None:
    source = tmp_path / "rows.csv"
    source.write_bytes(content)
    with pytest.raises(bw.WrongSetting, match=match):
        client.csv("displacement", source, tmp_path / "out.csv", common=COMMON)


def test_what_can_not_be_done_leaves_the_files_as_they_are(client: bw.Client, tmp_path: Path) -> None:
    source, target = tmp_path / "rows.csv", tmp_path / "out.csv"
    source.write_text("bore\n90\n", encoding="utf-8")
    target.write_text("kept", encoding="utf-8")
    with pytest.raises(bw.WrongSetting, match="takes no batches"):
        client.csv("no-such-thing", source, target)
    with pytest.raises(bw.WrongSetting, match="read and written at once"):
        client.csv("displacement", source, tmp_path / "." / "rows.csv")
    assert (source.read_text(encoding="utf-8"), target.read_text(encoding="utf-8")) == ("bore\n90\n", "kept")
