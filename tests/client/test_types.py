"""What a type checker tells the author of a program that uses the clients: strict, without casts."""

import re
from pathlib import Path

import pytest
from mypy import api

import borewright_client

PROGRAM = """
from typing import assert_type

import borewright_client as bw
from borewright_client.answers import CompressionAnswer

GASKET: bw.parts.GasketPart = {"bore": "95 mm", "thickness": "1 mm ± 0.05 mm"}


def plain(client: bw.Client) -> None:
    answer = client.compression(
        bore="94 mm", stroke=88, cylinders=4, chamber_volume="52 cm3", gasket=GASKET, deck_clearance="0.3 mm", units="metric"
    )
    assert_type(answer, CompressionAnswer)
    assert_type(answer.compression_ratio, bw.Measured)
    assert_type(answer.compression_ratio.low, float | None)
    assert_type(answer.swept_volume.to("in3").value, float)
    assert_type(answer.dynamic_compression_ratio, bw.Measured | None)
    assert_type(answer.checks[0].verdict, bw.Verdict)
    assert_type(client.with_options(timeout=2.0).build_sheet(order={"id": "1"}, build={}).verdict, bw.Verdict)
    assert_type(client.table("displacement", [{"bore": 94}]), bw.Table)
    client.displacement(bore="94 mm", stroke="88 mm", cylinders=4, unit="metric")  # wrong
    client.displacement(bore="94 mm", stroke="88 mm")  # wrong
    client.displacement(bore="94 mm", stroke="88 mm", cylinders=4, units="imperial")  # wrong
    client.displacement("94 mm", "88 mm", 4)  # wrong
    answer.compresion_ratio  # wrong
    client.build_sheet(order={"id": "1"}, build={}, detail="everything")  # wrong
    client.table("displacement", [{"bore": 94}], chunks=2)  # wrong
    client.csv("displacement", "rows.csv", "out.csv", decimal=";")  # wrong
    answer.compression_ratio < None  # wrong
    answer.deck_clearance + 1.0  # wrong
    answer.swept_volume.to(25.4)  # wrong
    assert_type(f"{answer.squish:.3f in}", str)
    assert_type(answer.compression_ratio <= "10.5:1", bool)
    try:
        client.ask("displacement", {})
    except bw.ImpossibleBuild as refused:
        assert_type(refused.errors[0].pointer, str)
        assert_type(refused.retry_after, float | None)


async def awaited() -> None:
    async with bw.AsyncClient("http://127.0.0.1:8080", timeout=2.0) as client:
        assert_type(client, bw.AsyncClient)
        answer = await client.compression(
            bore="94 mm", stroke=88, cylinders=4, chamber_volume="52 cm3", gasket=GASKET, deck_clearance="0.3 mm", units="metric"
        )
        assert_type(answer, CompressionAnswer)
        assert_type(await client.displacement_batch(columns={"bore": [94.0]}), bw.BatchAnswer)
        assert_type(await client.build_sheet_document(order={"id": "1"}, build={}, form="pdf"), bw.SheetDocument)
        assert_type(await client.with_options(retries=0).ready(options={"timeout": 1.0}), bool)
        assert_type(await client.csv("displacement", "rows.csv", "out.csv"), bw.Written)
        client.displacement(bore="94 mm", stroke="88 mm", cylinders=4).displacement  # wrong
        await client.displacement(bore="94 mm", stroke="88 mm", cylinders=4, option={})  # wrong
        await client.health(options={"retry": 1})  # wrong
"""


@pytest.fixture
def found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[int, str]:
    """The first error of each line."""
    (tmp_path / "program.py").write_text(PROGRAM, encoding="utf-8")
    monkeypatch.setenv("MYPYPATH", str(Path(borewright_client.__file__).parents[1]))
    monkeypatch.chdir(tmp_path)
    shown, trouble, _ = api.run(["--strict", "--config-file", "", "--python-version", "3.11", "program.py"])
    assert trouble == ""
    errors = re.findall(r"^program\.py:(\d+): error: (.*)$", shown, re.MULTILINE)
    return {int(line): message for line, message in reversed(errors)}


def test_what_is_right_passes_and_what_is_wrong_does_not(found: dict[int, str]) -> None:
    wrong = {number for number, line in enumerate(PROGRAM.splitlines(), 1) if line.endswith("# wrong")}
    assert {number: message for number, message in found.items() if number not in wrong} == {}
    assert wrong - found.keys() == set()
