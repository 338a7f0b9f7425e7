"""A work order is read, or the reason why it can't be is said."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from borewright.demo.run import DemoError, demo, read_order


@pytest.mark.parametrize(("text", "said"), [("{", "can't be read"), ("[]", "JSON object"), ('{"order": {}}', "JSON object")])
def test_a_file_that_is_no_order_is_refused_with_the_remedy(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "order.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(DemoError, match=said):
        read_order(path)


def test_a_missing_file_ends_the_demo_before_any_service_starts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert demo(tmp_path / "none.json", tmp_path) == 1
    assert "can't be read" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_files_are_written_though_nobody_reads_the_output(tmp_path: Path) -> None:
    """As in `borewright demo | head -1`."""
    reading, writing = os.pipe()
    os.close(reading)
    try:
        command = [sys.executable, "-m", "borewright.cli", "demo", "--output", str(tmp_path)]
        done = subprocess.run(command, stdout=writing, stderr=subprocess.PIPE, timeout=400, check=False)
    finally:
        os.close(writing)
    assert done.stderr == b""
    assert done.returncode == 1
    assert {path.suffix for path in tmp_path.iterdir()} == {".json", ".html", ".pdf"}
