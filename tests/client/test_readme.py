"""The programs of the client's README run as they are, against the service behind a socket."""

import re
from pathlib import Path

import pytest

import borewright_client as bw

README = Path(__file__).parents[2] / "client" / "README.md"
ADDRESS = "http://127.0.0.1:8080"
PRINTED = [
    r"pass 149\.07 in3 2442\.28\d*\n",  # π/4 · 94² · 88 · 4 mm³ is 2442.80 cm³, 149.07 in³; 0.01 mm less of bore takes 0.52 cm³
    r"pass 11\.098\d? \[.*\]\nA-1\.pdf\n",
    r"\[2391\.1\d*, 2442\.8\d*, None\] cm3 \['pass', 'pass', None\]\n.*allowed range.*\n",
    r"2391\.1\d* cm3, 2442\.8\d* cm3, 2495\.0\d* cm3\n",
]


def test_programs(address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    programs = re.findall(r"^```python\n(.*?)^```", README.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    assert len(programs) == len(PRINTED)
    one_after_another: dict[str, object] = {"__name__": "readme"}
    for program, printed in zip(programs, PRINTED, strict=True):
        exec(compile(program.replace(ADDRESS, address), "README.md", "exec"), one_after_another)
        shown = capsys.readouterr().out
        assert re.fullmatch(printed, shown), shown
    assert (tmp_path / "A-1.pdf").read_bytes().startswith(b"%PDF")


def test_names_that_it_uses_are_there() -> None:
    text = README.read_text(encoding="utf-8")
    names = set(re.findall(r"`([A-Z][A-Za-z]+)`", text)) - {"None", "Deprecation", "Sunset"}
    assert names
    assert {name for name in names if not hasattr(bw, name)} == set()
