"""What the tests of compression-target share: a build, its levers, asking, and the build as a plan leaves it."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from borewright.calculations.base.single import answer
from borewright.calculations.compression.compression_target import CALCULATION

INCH = 25.4
GASKETS = [
    {"name": "thin", "bore": "104 mm", "thickness": "0.7 mm"},
    {"name": "thick", "bore": "104 mm", "thickness": "1.3 mm"},
    {"name": "poured", "volume": "9.5 cm3"},
]
PRACTICE = 0.889  # mm, the lower limit of squish
RANKS = ("pass", "unknown", "watch", "fail")
CROWNS = [{"name": "dome", "dome": "1 cm3"}, {"name": "dish", "recess": "11 cm3"}]


def build(**changes: Any) -> dict[str, Any]:
    return {
        "bore": "102 mm",
        "stroke": "88 mm",
        "cylinders": 8,
        "chamber_volume": "62 cm3",
        "gasket": {"bore": "104 mm", "thickness": "1.0 mm"},
        "deck_clearance": "0.4 mm",
        "crown": {"recess": "7 cm3"},
        **changes,
    }


def levers(**changes: Any) -> dict[str, Any]:
    return {
        "head_mill": {"max": "0.8 mm", "chamber_area": "68 cm2"},
        "deck_cut": {"max": "0.3 mm"},
        "gaskets": GASKETS,
        "crowns": CROWNS,
        **changes,
    }


def ask(**changes: Any) -> dict[str, Any]:
    return answer(CALCULATION, {"target": "11 ± 0.05", "levers": levers(), **build(), **changes})


def between(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers of at most four decimals, as people write them."""
    return st.integers(round(low * 10000), round(high * 10000)).map(lambda whole: whole / 10000)


def value(figure: dict[str, Any]) -> float:
    return float(figure["value"])


def option(name: str | None, offered: list[dict[str, Any]]) -> dict[str, Any] | None:
    found = [{key: entry[key] for key in entry if key != "name"} for entry in offered if entry["name"] == name]
    return found[0] if found else None


def after(plan: dict[str, Any], before: dict[str, Any]) -> dict[str, Any]:
    """The request that compression would get once a plan is carried out (decks by clearance, chambers as poured)."""
    changed = {**before, "chamber_volume": {name: plan["chamber_volume"][name] for name in ("value", "unit")}}
    if "stack" in before:
        height = value(plan["deck_cut"])
        stack = before["stack"]
        changed["stack"] = {**stack, "deck_height": f"{float(stack['deck_height'].split()[0]) - height:.12f} mm"}
    else:
        changed["deck_clearance"] = f"{0.4 - value(plan['deck_cut']):.15f} mm"
    changed["gasket"] = option(plan["gasket"], GASKETS) or before["gasket"]
    changed["crown"] = option(plan["crown"], CROWNS) or before["crown"]
    return changed


def squish_of(state: dict[str, Any]) -> str:
    (verdict,) = [check["verdict"] for check in state["checks"] if check["name"] == "squish"]
    return str(verdict)


def poured(*pours: tuple[float, float]) -> dict[str, Any]:
    profile = [{"depth": f"{depth} mm", "volume": f"{volume} cm3"} for depth, volume in pours]
    return {"levers": {"head_mill": {"max": "1 mm", "profile": profile}}}
