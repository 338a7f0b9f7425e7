"""A product page shows which pistons of a catalog reach a compression ratio in the buyer's engine: one batch, no loop of requests."""

from collections.abc import Mapping, Sequence
from typing import Any

from borewright_client import Client

ENGINE = {"stroke": "88 mm", "cylinders": 4, "chamber_volume": "52 cm3", "gasket": {"bore": "95.5 mm", "thickness": "1 mm"}}
DECK_HEIGHT, ROD_LENGTH = "232 mm", "150 mm"


def fitting(client: Client, pistons: Sequence[Mapping[str, Any]], low: float, high: float) -> list[tuple[str, float]]:
    """The ids of the pistons inside the window, with their ratio, nearest to its middle first."""
    table = client.table(
        "compression",
        {
            "bore": [piston["bore"] for piston in pistons],
            "stack.deck_height": [DECK_HEIGHT] * len(pistons),
            "stack.rod_length": [ROD_LENGTH] * len(pistons),
            "stack.compression_height": [piston["compression_height"] for piston in pistons],
            "crown.recess": [piston["recess"] for piston in pistons],
        },
        common=ENGINE,
    )
    ratios = zip(pistons, table.columns["compression_ratio"], table.verdicts, strict=True)
    found = [(piston["id"], ratio) for piston, ratio, verdict in ratios if ratio is not None and verdict != "fail" and low <= ratio <= high]
    return sorted(found, key=lambda one: abs(one[1] - (low + high) / 2))


PISTONS = [
    {"id": f"P{number:03d}", "bore": "94 mm", "compression_height": f"{36 + number % 5 / 2} mm", "recess": f"{number % 12} cm3"}
    for number in range(60)
]

if __name__ == "__main__":
    with Client() as service:
        for name, ratio in fitting(service, PISTONS, 10.0, 10.6):
            print(f"{name} {ratio:.2f}")
