"""A CSV of a million rows through a service on this machine: how long it takes, and that memory does not grow with the rows.

python tests/bench/bench_csv.py [rows]
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from borewright_client import BorewrightError, Client

PORT = 18923
PATIENCE = 30.0
TENTH = 10


def peak() -> float:
    """Most memory this process has held [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000


def wait(client: Client) -> None:
    """Wait until the service answers.

    Raises SystemExit where it does not in time.
    """
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end:
        try:
            if client.ready(options={"retries": 0}):
                return
        except BorewrightError:
            time.sleep(0.2)
    raise SystemExit("the service did not start")


def write(path: Path, rows: int) -> None:
    """Write builds whose bores, strokes and chambers differ."""
    with path.open("w", encoding="utf-8") as file:
        file.write("bore [mm],stroke [mm],chamber_volume [cm3]\n")
        for row in range(rows):
            file.write(f"{80 + row % 2000 / 100:.2f},{70 + row % 3100 / 100:.2f},{40 + row % 1700 / 100:.2f}\n")


def main() -> None:
    """Run a tenth of the rows, then all, and print what each took."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    common = {"cylinders": 4, "gasket": {"bore": "105 mm", "thickness": "1 mm"}, "deck_clearance": "0.3 mm"}
    command = [sys.executable, "-m", "borewright.cli", "serve", "--port", str(PORT)]
    service = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=dict(os.environ))
    try:
        with Client(f"http://127.0.0.1:{PORT}", deadline=120.0) as client, tempfile.TemporaryDirectory() as folder:
            wait(client)
            for count in (rows // TENTH, rows):
                source, target = Path(folder, f"{count}.csv"), Path(folder, f"{count}-out.csv")
                write(source, count)
                begun = time.monotonic()
                done = client.csv("compression", source, target, common=common)
                seconds = time.monotonic() - begun
                size = target.stat().st_size / 1e6
                print(f"{done.rows} rows ({done.failed} refused) in {seconds:.1f} s, {size:.0f} MB written; peak memory {peak():.0f} MB")
    finally:
        service.terminate()
        service.wait()


if __name__ == "__main__":
    main()
