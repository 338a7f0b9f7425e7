"""Tables and CSV files through batches: chunks, failures by row, frames, and going on where a run was broken off."""

import contextlib
import csv
import json
import os
import signal
import sqlite3
import subprocess
import sys
import threading
import types
from collections.abc import Callable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pandas
import polars
import pytest
import requests

import borewright_client as bw
from borewright.web.app import create_app
from borewright.web.document.published_files import asked
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
    assert len(set(table.request_ids)) == 3, "two rows of each request"


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
        (lambda client: client.table("displacement", {"bore": [1]}, chunk="5"), "one row at least"),
        (lambda client: client.table("displacement", {"bore": [1]}, in_flight=0), "one request at least"),
        (lambda client: client.table("displacement", {"bore": [1]}, in_flight=1.5), "one request at least"),
        (lambda client: client.table("displacment", {"bore": [1]}), "is 'displacement' meant"),
        (lambda client: client.table("displacement", {"bore": [1], "stroke": 88}), "stroke is no list but int: .* into `common`"),
        (lambda client: client.table("displacement", {"bore": "94 mm"}), "bore is no list but str"),
        (lambda client: client.table("displacement", {"bore": {94}}), "bore is no list but set"),
        (lambda client: client.table("displacement", {"bore": np.zeros((2, 2))}), "bore is no list but ndarray"),
        (lambda client: client.table("displacement", pandas.DataFrame([[1, 2]], columns=["bore", "bore"])), "there twice: bore, bore"),
        (lambda client: client.table("displacement", polars.LazyFrame({"bore": [1]})), "collect"),
        (
            lambda client: client.table("displacement", {"a": pandas.Series([1, 2]), "b": pandas.Series([1, 2], index=[1, 0])}),
            "indexes of the Series differ",
        ),
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


@pytest.mark.parametrize(
    "column",
    [
        pandas.array([90, None, 92], dtype="Int64"),
        pandas.array([90, None, 92], dtype="Float64"),
        pandas.Series([90, None, 92], dtype="float32"),
        pandas.Series([90, None, 92], dtype="category"),
        [Decimal(90), Decimal("NaN"), Decimal(92)],
        [Decimal(90), Decimal("sNaN"), Decimal(92)],
        [np.float32(90), np.float32("nan"), np.int64(92)],
        [90, pandas.NA, 92],
    ],
    ids=["Int64", "Float64", "float32", "category", "Decimal", "signaling", "scalars", "NA"],
)
def test_nothing_is_none_whatever_the_column_is_made_of(column: Any) -> None:
    found = [{"bore": [90, None]}, {"bore": [92]}]
    assert list(chunks({"bore": column}, 2)) == found
    assert list(chunks(pandas.DataFrame({"bore": column}), 2)) == found
    assert list(chunks([{"bore": entry} for entry in column], 2)) == found


@pytest.mark.parametrize(
    "index",
    [
        ["a", "b", "c", "d", "e"],
        [10, 11, 12, 13, 14],
        [4, 3, 2, 1, 0],
        [0.5, 1.5, 2.5, 3.5, 4.5],
        [1, 1, 1, 2, 2],
        pandas.date_range("2020-01-01", periods=5),
        pandas.MultiIndex.from_tuples([(1, 1), (1, 2), (2, 1), (2, 2), (3, 1)]),
    ],
    ids=["words", "from ten", "backward", "fractions", "twice", "days", "of two"],
)
def test_rows_count_by_their_place_and_a_frame_keeps_its_index(index: Any, client: bw.Client) -> None:
    frame = pandas.DataFrame({"bore": BORES}, index=index)
    for data in (frame, {"bore": frame["bore"]}):
        table = client.table("displacement", data, common=COMMON, units="metric", chunk=2)
        assert table.columns["displacement"] == [singly(client, bore) for bore in BORES]
        assert list(table.failures) == [2]
        assert table.to_pandas().index.equals(frame.index)


@pytest.mark.parametrize(
    "data",
    [[], {}, {"bore": []}, pandas.DataFrame({"bore": []}), polars.DataFrame({"bore": []}), iter(())],
    ids=["rows", "columns", "column", "pandas", "polars", "iterator"],
)
def test_a_table_without_rows_has_every_column(data: Any, client: bw.Client) -> None:
    table = client.table("displacement", data, common=COMMON, units="metric")
    whole = client.table("displacement", {"bore": [90]}, common=COMMON, units="metric")
    assert table.rows == 0
    assert table.columns == {name: [] for name in whole.columns}
    assert list(table.to_pandas().columns) == table.to_polars().columns == [*whole.columns, "verdict", "errors"]


def test_the_columns_of_every_batch_are_known_beforehand(client: bw.Client) -> None:
    for name, (request, answer) in asked().batches.items():
        table = client.table(name, request["columns"], common=request.get("common"), units=request.get("units"))
        assert list(table.columns) == list(answer["columns"]) == list(client.table(name.replace("-", "_"), []).columns)


@pytest.mark.parametrize(
    "data",
    [
        lambda: np.array([(90.0, 88.0), (91.0, 88.0)], dtype=[("bore", float), ("stroke", float)]),
        lambda: types.SimpleNamespace(to_pydict=lambda: {"bore": [90.0, 91.0], "stroke": [88.0, 88.0]}),
        lambda: {"bore": (bore for bore in (90.0, 91.0)), "stroke": range(88, 90)},
        lambda: {"bore": {1: 90.0, 2: 91.0}.values(), "stroke": (88, 88)},
    ],
    ids=["records", "Arrow", "generator", "view"],
)
def test_what_else_has_columns(data: Callable[[], Any], client: bw.Client) -> None:
    table = client.table("displacement", data(), common={"cylinders": 4}, units="metric", chunk=1)
    assert table.columns["displacement"][0] == singly(client, 90.0)
    assert table.rows == 2


def test_rows_of_a_database_and_named_tuples(client: bw.Client) -> None:
    with contextlib.closing(sqlite3.connect(":memory:")) as base:
        base.row_factory = sqlite3.Row
        base.execute("create table engines (bore real, stroke real)")
        base.executemany("insert into engines values (?, ?)", [(90.0, 88.0), (None, 88.0)])
        for rows in (
            base.execute("select * from engines"),
            pandas.DataFrame({"bore": [90.0, None], "stroke": [88.0, 88.0]}).itertuples(index=False),
        ):
            table = client.table("displacement", rows, common={"cylinders": 4}, units="metric")
            assert table.columns["displacement"] == [singly(client, 90.0), None]


def test_what_can_not_be_sent_is_found_in_the_table(client: bw.Client) -> None:
    bores = [90.0, 91.0, 92.0, float("inf")]
    with pytest.raises(bw.Unsendable, match=r"#/columns/bore/1: inf .* \(counted from row 2 of the table\)"):
        client.table("displacement", {"bore": bores}, common=COMMON, units="metric", chunk=2)


BATCH: dict[str, Any] = {
    "rows": 2,
    "columns": {"displacement": [1.0, 2.0]},
    "units": {},
    "failures": [],
    "checks": {},
    "cautions": [],
    "assumptions": [],
}


@pytest.mark.parametrize(
    "wrong",
    [
        {"rows": 1, "columns": {"displacement": [1.0]}},
        {"rows": 3, "columns": {"displacement": [1.0, 2.0, 3.0]}},
        {"columns": {"displacement": [1.0]}},
        {"columns": [1.0]},
        {"failures": [{"row": 7, "errors": []}]},
        {"failures": None},
        {"checks": {"squish": ["pass"]}},
        {"checks": {"squish": ["pass", "other"]}},
    ],
    ids=str,
)
def test_an_answer_to_another_batch_is_not_taken(wrong: dict[str, Any], serve: Any, connect: Any, say: Any) -> None:
    client = connect(serve(say(200, BATCH | wrong)))
    with pytest.raises(bw.UnexpectedAnswer, match="no answer to a batch of 2 rows"):
        client.table("displacement", {"bore": ["90 mm", "91 mm"]})
    assert connect(serve(say(200, BATCH))).table("displacement", {"bore": ["90 mm", "91 mm"]}).columns["displacement"] == [1.0, 2.0]
    with pytest.raises(bw.UnexpectedAnswer):
        connect(serve(say(200, {"status": "live"}))).table("displacement", {"bore": ["90 mm"]})


def test_a_large_table_is_shown_in_a_line(client: bw.Client) -> None:
    table = client.table("displacement", {"bore": BORES}, common=COMMON, units="metric")
    assert repr(table).startswith("Table(rows=5, failures=1, columns=['displacement', ")


def test_the_bar_leaves_the_output_to_the_results(client: bw.Client, capsys: pytest.CaptureFixture[str]) -> None:
    client.table("displacement", {"bore": BORES}, common=COMMON, units="metric", progress=True)
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize("stuck", ["refused", "broken off"])
def test_what_is_in_flight_is_given_up_with_the_table(stuck: str, serve: Any, say: Any, direct: None) -> None:
    """By a chunk that is refused, or by Ctrl-C: nobody waits for the answers to the others."""
    begun, released = threading.Event(), threading.Event()

    def step(handler: Any) -> None:
        if b"[0]" in handler.server.seen[-1].body and stuck == "refused":
            begun.wait(5)  # until another is under way
            say(422, {"title": "No"})(handler)
        else:
            begun.set()
            if not released.wait(10):
                handler.server.finished.set()

    def rows() -> Iterator[dict[str, Any]]:
        for number in range(4):
            if number == 3 and stuck == "broken off":
                begun.wait(5)
                raise KeyboardInterrupt
            yield {"bore": number}

    server = serve(step)
    with bw.Client(server.url, retries=0) as client, pytest.raises((bw.InvalidRequest, KeyboardInterrupt)):
        client.table("displacement", rows(), chunk=1, in_flight=3)
    assert not server.finished.is_set(), "their answers were waited for"
    released.set()


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
    [
        (b"bore\n\xff\n", "not in UTF-8: name its encoding"),
        (b"bore\n" + b"9" * 200_000 + b"\n", "is no CSV"),
        (b"bore\n90,4\n", "line 2 has 2 cells"),
        (b'bore\n\n"90\n"\n90,4\n', "line 5 has 2 cells"),
        (b"bore,\n90,4\n", "'4' is under no head"),
        (b"bore,stroke,bore [mm]\n90,88,90\n", "'bore' is there twice"),
    ],
    ids=["other text", "huge cell", "cell too many", "after a cell of two lines", "no head", "head twice"],
)
def test_a_file_that_is_no_csv_is_said(client: bw.Client, tmp_path: Path, content: bytes, match: str) -> None:
    source = tmp_path / "rows.csv"
    source.write_bytes(content)
    with pytest.raises(bw.WrongSetting, match=match):
        client.csv("displacement", source, tmp_path / "out.csv", common=COMMON)


@pytest.mark.parametrize(
    ("content", "how"),
    [
        (b"bore [mm],stroke [mm]\n94.5,88\n95,88\n", {}),
        (b"\xef\xbb\xbfbore [mm],stroke [mm]\r\n94.5,88\r\n95,88\r\n", {}),
        (b'"bore [mm]","stroke [mm]"\n"94.5","88"\n"95","88"', {}),
        (b"bore [mm];stroke [mm]\n94.5;88\n95;88\n", {}),
        (b"bore [mm]\tstroke [mm]\n94.5\t88\n95\t88\n", {}),
        (b"bore [mm];stroke [mm]\n94,5;88\n95;88,0\n", {"decimal": ","}),
        (b'bore [mm],stroke [mm]\n"94,5",88\n95,88\n', {"decimal": ","}),
        ("stroke [mm];bore [mm];\n88;94,5 \u2009;\n\n88;95;\n\n\n".encode("utf-16"), {"decimal": ",", "encoding": "utf-16"}),
        (b" bore  [mm] , stroke[mm] ,,\n 94.5 ,88,,\n95,88,,\n", {"encoding": "latin-1"}),
        (b"stroke [mm],bore\n88,94.5\xa0mm\n88,95 mm\n", {"encoding": "cp1252"}),
    ],
    ids=["plain", "Windows", "quoted", "semicolons", "tabs", "decimal comma", "quoted comma", "UTF-16", "blanks", "cp1252"],
)
def test_a_csv_as_spreadsheets_save_it(content: bytes, how: dict[str, Any], client: bw.Client, tmp_path: Path) -> None:
    source, target = tmp_path / "rows.csv", tmp_path / "out.csv"
    source.write_bytes(content)
    assert client.csv("displacement", source, target, common={"cylinders": 4}, **how) == bw.Written(rows=2, failed=0)
    rows = list(csv.DictReader(target.read_text(encoding="utf-8").splitlines()))
    assert [float(row["displacement [cm3]"]) for row in rows] == [singly(client, 94.5), singly(client, 95)]


@pytest.mark.parametrize("how", [{"encoding": "klingon"}, {"encoding": None}, {"decimal": ";"}], ids=str)
def test_a_csv_can_not_be_read_in_any_way(how: Any, client: bw.Client, tmp_path: Path) -> None:
    source = tmp_path / "rows.csv"
    source.write_text("bore\n90\n")
    with pytest.raises(bw.WrongSetting):
        client.csv("displacement", source, tmp_path / "out.csv", **how)
    assert list(tmp_path.iterdir()) == [source]


@pytest.mark.parametrize("content", ["", "bore,stroke\n"])
def test_a_csv_without_rows_has_heads(content: str, client: bw.Client, tmp_path: Path) -> None:
    source, target = tmp_path / "rows.csv", tmp_path / "out.csv"
    source.write_text(content)
    assert client.csv("displacement", source, target) == bw.Written(0, 0)
    assert list(pandas.read_csv(target).columns) == ["row", *client.table("displacement", []).columns, "verdict", "errors"]


def broken_off(client: bw.Client, folder: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, Path]:
    """A job whose third request failed, with two of four rows written, of which one was refused."""
    source, target = folder / "rows.csv", folder / "out.csv"
    source.write_text("bore [mm]\n90\n-1\n91\n-2\n")
    asked: list[int] = []
    with monkeypatch.context() as patch:
        for kind in (bw.Client, bw.AsyncClient):
            batch: Any = kind._batch

            def failing(self: Any, name: str, body: Any, options: Any = None, batch: Any = batch) -> Any:
                asked.append(1)
                if len(asked) == 3:
                    raise bw.ConnectionFailed("the line is cut")
                return batch(self, name, body, options)

            patch.setattr(kind, "_batch", failing)
        with pytest.raises(bw.ConnectionFailed):
            client.csv("displacement", source, target, common=COMMON, chunk=1, in_flight=1)
    return source, target


def test_what_an_earlier_run_saw_refused_is_counted(client: bw.Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source, target = broken_off(client, tmp_path, monkeypatch)
    assert client.csv("displacement", source, target, common=COMMON) == bw.Written(rows=4, failed=2)
    assert {path.name for path in tmp_path.iterdir()} == {"rows.csv", "out.csv"}


def test_a_source_that_has_changed_is_not_gone_on_with(client: bw.Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source, target = broken_off(client, tmp_path, monkeypatch)
    source.write_text(source.read_text().replace("90", "80"))  # as long as it was
    os.utime(source, ns=(1, 1))
    with pytest.raises(bw.WrongSetting, match="has changed"):
        client.csv("displacement", source, target, common=COMMON)
    assert client.csv("displacement", source, target, common=COMMON, resume=False).rows == 4


@pytest.mark.parametrize("cut", ["gone", "shorter"])
def test_what_is_no_longer_there_is_written_anew(cut: str, client: bw.Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    source, target = broken_off(client, tmp_path, monkeypatch)
    if cut == "gone":
        target.unlink()
    else:
        target.write_text("row")
    assert client.csv("displacement", source, target, common=COMMON) == bw.Written(rows=4, failed=2)
    assert [row["row"] for row in csv.DictReader(target.read_text(encoding="utf-8").splitlines())] == ["1", "2", "3", "4"]


@pytest.mark.parametrize("note", ["", "{}", "[1]", '{"digest": 1}', "\x00"])
def test_a_note_that_tells_nothing_is_said(note: str, client: bw.Client, tmp_path: Path) -> None:
    source, target = tmp_path / "rows.csv", tmp_path / "out.csv"
    write(source, 2)
    (tmp_path / "out.csv.progress").write_text(note)
    with pytest.raises(bw.WrongSetting, match="remove it"):
        client.csv("displacement", source, target, common=COMMON)


@pytest.mark.parametrize("link", [Path.symlink_to, Path.hardlink_to])
def test_a_file_is_not_written_over_itself_by_another_name(link: Any, client: bw.Client, tmp_path: Path) -> None:
    source, target = tmp_path / "rows.csv", tmp_path / "out.csv"
    write(source, 2)
    kept = source.read_text()
    link(target, source)
    with pytest.raises(bw.WrongSetting, match="read and written at once"):
        client.csv("displacement", source, target, common=COMMON)
    assert source.read_text() == kept


def test_nothing_of_the_program_that_imports_it_is_set_otherwise() -> None:
    """A program that reads long cells has said so to the csv module, which is all modules' own."""
    said = "import csv; csv.field_size_limit(10**9); import borewright_client; print(csv.field_size_limit())"
    assert subprocess.run([sys.executable, "-c", said], check=True, capture_output=True, text=True).stdout.strip() == str(10**9)


KILLED = """
import os, signal, sys
from borewright_client import Client
from borewright_client._csv import Output

add, written = Output.add, 0

def killed(self, part):
    global written
    add(self, part)
    written += 1
    if written == int(sys.argv[4]):
        os.kill(os.getpid(), signal.SIGKILL)

Output.add = killed
with Client(sys.argv[1]) as client:
    client.csv("displacement", sys.argv[2], sys.argv[3], common={"stroke": "88 mm"}, chunk=10)
"""


def test_a_run_that_was_killed_goes_on_to_the_same_bytes(tmp_path: Path, address: str) -> None:
    source, whole, killed = tmp_path / "rows.csv", tmp_path / "whole.csv", tmp_path / "killed.csv"
    source.write_text("bore [mm],cylinders\n" + "".join(f"{'' if row % 7 == 0 else 80 + row},4\n" for row in range(95)))
    with bw.Client(address) as client:
        done = client.csv("displacement", source, whole, common={"stroke": "88 mm"})
        for parts in ("2", "3"):  # twice, as the second run goes on where the first ended
            ended = subprocess.run([sys.executable, "-c", KILLED, address, str(source), str(killed), parts], check=False)
            assert ended.returncode == -signal.SIGKILL
        note = json.loads((tmp_path / "killed.csv.progress").read_text(encoding="utf-8"))
        assert note["rows"] == 50
        assert client.csv("displacement", source, killed, common={"stroke": "88 mm"}) == done == bw.Written(rows=95, failed=14)
    assert killed.read_bytes() == whole.read_bytes()


def test_what_can_not_be_done_leaves_the_files_as_they_are(client: bw.Client, tmp_path: Path) -> None:
    source, target = tmp_path / "rows.csv", tmp_path / "out.csv"
    source.write_text("bore\n90\n", encoding="utf-8")
    target.write_text("kept", encoding="utf-8")
    with pytest.raises(bw.WrongSetting, match="takes no batches"):
        client.csv("no-such-thing", source, target)
    with pytest.raises(bw.WrongSetting, match="read and written at once"):
        client.csv("displacement", source, tmp_path / "." / "rows.csv")
    assert (source.read_text(encoding="utf-8"), target.read_text(encoding="utf-8")) == ("bore\n90\n", "kept")
