"""The folder where the workers of an instance keep their figures; it must be there before the metrics are imported."""

from __future__ import annotations

import os
import re
import shutil
import tempfile
from pathlib import Path

FOLDER = "PROMETHEUS_MULTIPROC_DIR"
_PREFIX = "borewright-metrics-"
_NAME = re.compile(rf"{_PREFIX}(\d+)-.+")


def make() -> Path:
    """Make this instance's folder, and take away those of instances that were killed."""
    place = Path(tempfile.gettempdir())
    for found in place.glob(f"{_PREFIX}*"):
        name = _NAME.fullmatch(found.name)
        if name and found.is_dir() and not found.is_symlink() and found.stat().st_uid == os.getuid() and not _runs(int(name[1])):
            shutil.rmtree(found, ignore_errors=True)
    made = Path(tempfile.mkdtemp(prefix=f"{_PREFIX}{os.getpid()}-"))
    os.environ[FOLDER] = str(made)
    return made


def _runs(process: int) -> bool:
    return Path(f"/proc/{process}").exists() if Path("/proc/self").exists() else True


def worker_ended(process: int) -> None:
    """Take what an ended worker still claimed to be doing out of the sums; what it counted stays."""
    from prometheus_client.multiprocess import mark_process_dead

    mark_process_dead(process)


def remove() -> None:
    """Take the folder away."""
    shutil.rmtree(os.environ[FOLDER], ignore_errors=True)
