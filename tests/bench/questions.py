"""The questions that the benchmark asks; the sizes are invented."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np

PLAIN: dict[str, Any] = {
    "units": "inch",
    "bore": 3.892,
    "stroke": 3.360,
    "cylinders": 8,
    "chamber_volume": "57 cm**3",
    "gasket": {"bore": 3.962, "thickness": 0.040},
    "deck_clearance": 0.005,
    "crown": {"recess": "5 cm**3"},
}


def compression(tolerances: bool, *, naive: bool = False) -> dict[str, Any]:
    """The compression question of the README, with or without tolerances; pint spells a cubic centimeter in its own way."""
    asked = copy.deepcopy(PLAIN)
    if tolerances:
        asked["chamber_volume"] = "57 cm**3 ± 0.5 cm**3"
        asked["gasket"]["thickness"] = "0.040 in ± 0.001 in"
        asked["bore"] = "3.892 in ± 0.0005 in"
    if not naive:
        asked["chamber_volume"] = asked["chamber_volume"].replace("**3", "3")
        asked["crown"]["recess"] = asked["crown"]["recess"].replace("**3", "3")
    return asked


def toleranced(count: int) -> dict[str, Any]:
    """The compression question with so many toleranced inputs."""
    asked: dict[str, Any] = {
        "units": "inch",
        "bore": "3.892 in ± 0.0005 in",
        "stroke": "3.360 in ± 0.001 in",
        "cylinders": 8,
        "chamber_volume": "57 cm3 ± 0.5 cm3",
        "gasket": {"bore": "3.962 in ± 0.002 in", "thickness": "0.040 in ± 0.001 in"},
        "stack": {"deck_height": "9.140 in ± 0.001 in", "rod_length": "6.160 in ± 0.001 in", "compression_height": "1.295 in ± 0.001 in"},
        "crown": {"dome": "1 cm3 ± 0.1 cm3", "recess": "5 cm3 ± 0.2 cm3"},
        "top_land": {"height": "0.25 in ± 0.002 in", "diameter": "3.872 in ± 0.001 in"},
        "pin_offset": "0.02 in ± 0.005 in",
        "intake_closing": "60 deg ± 1 deg",
    }
    left = count
    for holder in (asked, asked["gasket"], asked["stack"], asked["crown"], asked["top_land"]):
        for name, given in holder.items():
            if isinstance(given, str) and "±" in given:
                if left <= 0:
                    holder[name] = given.partition(" ±")[0]
                left -= 1
    return asked


def rows(count: int, kind: str = "numbers") -> dict[str, Any]:
    """A batch of compression, or of ring gaps where a word is wanted in a column.

    kind : "numbers", "null" (one column has nulls), "word", "strings" (of one unit), "mixed" (of two), "objects", "failing"
    """
    draw = np.random.default_rng(3)

    def spread(middle: float, width: float) -> list[float]:
        return [float(f"{value:.4f}") for value in draw.uniform(middle - width, middle + width, count)]

    if kind == "word":
        columns: dict[str, list[Any]] = {
            "bore": spread(3.892, 0.1),
            "duty.service": [("street", "sport", "race")[k % 3] for k in range(count)],
        }
        return {"units": "inch", "common": {"duty": {"aspiration": "natural", "fuel": "gasoline"}}, "columns": columns}
    columns = {
        "bore": spread(3.892, 0.1),
        "stroke": spread(3.36, 0.1),
        "chamber_volume": spread(57.0, 4.0),
        "gasket.thickness": spread(0.04, 0.01),
        "deck_clearance": spread(0.01, 0.005),
    }
    if kind == "null":
        columns["rod_length"] = [value if k % 2 else None for k, value in enumerate(spread(5.86, 0.1))]
    if kind == "strings":
        columns["bore"] = [f"{value:.4f} in" for value in columns["bore"]]
    if kind == "mixed":
        columns["bore"] = [f"{value:.4f} in" if k % 2 else f"{value * 25.4:.3f} mm" for k, value in enumerate(columns["bore"])]
    if kind == "objects":
        columns["bore"] = [{"value": value, "unit": "in"} for value in columns["bore"]]
    if kind == "failing":
        columns["bore"] = [value if k % 2 else 40.0 for k, value in enumerate(columns["bore"])]
    return {"units": "inch", "common": {"cylinders": 8, "gasket": {"bore": 4.062}, "crown": {"recess": "5 cm3"}}, "columns": columns}


def exact(asked: Any) -> Any:
    """A request without its tolerances, which a batch does not take."""
    if isinstance(asked, dict):
        return {name: exact(inner) for name, inner in asked.items() if name != "tolerance"}
    if isinstance(asked, list):
        return [exact(inner) for inner in asked]
    return asked.partition(" ±")[0] if isinstance(asked, str) else asked
