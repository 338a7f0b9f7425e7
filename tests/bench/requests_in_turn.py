"""One request: the service beside the naive peer and a bare echo, over HTTP, one worker each."""

from __future__ import annotations

import json
from collections.abc import Iterator

from loopback import in_turn, served
from questions import compression

from borewright.calculations.base.registry import calculations

PATH = "/v1/compression"


def measure(quick: bool) -> Iterator[tuple[str, str, float]]:
    """What is compared, the times, and the ratio."""
    rounds = 40 if quick else 150
    others = {
        name: json.dumps(next(iter(calculations()[name].examples.values()))).encode()
        for name in ("detonation-margin", "strength", "power-gain")
    }
    with served("ours") as (ours, _), served("echo") as (echo, _), served("naive") as (naive, _):
        for tolerances in (True, False):
            mine, plain = (json.dumps(compression(tolerances, naive=way)).encode() for way in (False, True))
            taken = in_turn({"ours": (ours, PATH, mine), "echo": (echo, PATH, mine), "naive": (naive, PATH, plain)}, rounds, 20)
            said = "with tolerances" if tolerances else "without tolerances"
            shown = ", ".join(f"{name} {taken[name] * 1e3:.3f} ms" for name in ("naive", "ours"))
            yield f"compression {said}: naive peer / ours", shown, taken["naive"] / taken["ours"]
            shown = ", ".join(f"{name} {taken[name] * 1e3:.3f} ms" for name in ("echo", "ours"))
            yield f"compression {said}: echo / ours", shown, taken["echo"] / taken["ours"]
        for name, body in others.items():
            asked = {"ours": (ours, f"/v1/{name}", body), "echo": (echo, PATH, body)}
            taken = in_turn(asked, 5 if quick else 20, {"ours": 1, "echo": 20}, warming={"echo": 10})
            shown = f"ours {taken['ours'] * 1e3:.1f} ms, echo {taken['echo'] * 1e3:.3f} ms"
            yield f"{name}: ours in echoes", shown, taken["ours"] / taken["echo"]
