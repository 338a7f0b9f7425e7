"""The service over a socket against its own document, by a generator that is not ours: all phases, all checks."""

import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

# What tests/contract takes for right, and which requests are small enough for a case at every boundary.
CONFIG = (Path(__file__).parents[1] / "contract" / "generated" / "schemathesis.toml").read_text(encoding="utf-8")
SECONDS = 90  # at the usual number of rounds
EXAMPLES = 20  # to each operation when fuzzing, as far as the time allows


def test_all_phases_and_checks(live: Any, tmp_path: Path, rounds: int, seed: int, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "schemathesis.toml").write_text(CONFIG, encoding="utf-8")
    budget = max(SECONDS, SECONDS * rounds // 10_000)
    command = [Path(sys.executable).with_name("schemathesis"), "--config-file", "schemathesis.toml", "run"]
    command += [f"http://127.0.0.1:{live.port}/v1/openapi.json", "--checks=all"]
    command += [f"--max-examples={EXAMPLES}", f"--max-time={budget}", f"--seed={seed}", "--continue-on-failure", "--no-shrink"]
    command += ["--warnings=off"]
    worker = live.worker()
    quiet = {**os.environ, "NO_COLOR": "1"}
    done = subprocess.run(command, cwd=tmp_path, env=quiet, capture_output=True, timeout=3 * budget, check=False)
    told = done.stdout.decode()
    assert done.returncode == 0, told[-20_000:]
    tested = re.search(r"Selected: (\d+)/(\d+)\s+Tested: (\d+)", told)
    assert tested, told[-20_000:]
    assert tested[1] == tested[2] == tested[3], "an operation was left out"
    cases = re.search(r"(\d+) generated, (\d+) passed", told)
    assert cases, told[-20_000:]
    assert cases[1] == cases[2]
    assert live.worker() == worker, "the worker has been replaced"
    with capsys.disabled():
        print(f"\n{tested[3]} operations of the document, {cases[2]} cases over the socket: all checks passed")
