"""The generated files are the same bytes, whatever the processor."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np

from borewright.web.document.published_files import generated

PLAIN_LIBRARY = "glibc.cpu.hwcaps=-FMA,-FMA4,-AVX2,-AVX2_Usable,-AVX512F"


def test_another_processor_writes_the_same_bytes(tmp_path: Path) -> None:
    """The instructions that NumPy and OpenBLAS pick by the processor are held to the oldest, and nothing kept is at hand.

    A child process, as both pick them when they are loaded.
    """
    found = np.show_config(mode="dicts")["SIMD Extensions"].get("found", [])
    oldest = {"NPY_DISABLE_CPU_FEATURES": " ".join(found), "OPENBLAS_CORETYPE": "Prescott", "GLIBC_TUNABLES": PLAIN_LIBRARY}
    command = [sys.executable, "-W", "ignore", "-m", "borewright.cli", "openapi", "--root", str(tmp_path)]
    subprocess.run(command, env={**os.environ, **oldest}, check=True, stdout=subprocess.DEVNULL)
    here = generated(tmp_path / "nothing kept")
    assert {name: (tmp_path / name).read_text(encoding="utf-8") for name in here} == dict(here)
