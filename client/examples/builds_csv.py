"""A CSV of builds becomes a CSV of results: python builds_csv.py builds.csv results.csv. Broken off, it goes on where it stood."""

import sys
from pathlib import Path

from borewright_client import Client, Written


def results(client: Client, source: Path, target: Path) -> Written:
    """Every row's compression; the heads of the source name the fields: "bore [mm]", "chamber_volume [cm3]"."""
    common = {"cylinders": 4, "deck_clearance": "0.2 mm", "gasket": {"bore": "95.5 mm", "thickness": "1 mm"}}
    return client.csv("compression", source, target, common=common)


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    with Client() as service:
        done = results(service, Path(sys.argv[1]), Path(sys.argv[2]))
        print(f"{done.rows} rows, {done.failed} refused")
