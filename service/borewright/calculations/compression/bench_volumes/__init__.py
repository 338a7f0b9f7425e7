"""Crown volumes from the bench: by a pour with the piston down a known depth, by the sizes of dishes and pockets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Rows, Section
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Check, Outcome
from borewright.calculations.compression.bench_volumes.request import BenchVolumesRequest
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.crown_volumes import crown_volume_poured, dish_volume, pocket_volume, spherical_dish_volume
from borewright.physics.mechanism.volumes import annulus_volume
from borewright.practice.tables import table

AGREES = "pour and sizes are to tell the same of a crown without a dome: measure again, or say that it is domed"
ONE_OF = "there is nothing to tell the crown by: add a pour, or the sizes of dishes and pockets"


class CrownFound(AnswerPart):
    """A crown as the other calculations take it."""

    recess = Figure("volume", "dish and valve reliefs, as far as they outweigh the dome")
    dome = Figure("volume", "what stands above the flat, as far as it outweighs the recess")


class RecessRow(AnswerPart):
    """One dish, or one kind of pocket."""

    volume = Figure("volume", "of all that are like it, below the flat")
    depth = Figure("length", "flat to its deepest place")


class BenchVolumesAnswer(Answer):
    """What bench volumes answer."""

    crown_volume = Figure("volume", "recess less dome: by the pour where there is one, else by the sizes")
    crown = Section(CrownFound, "the same, as the other calculations take it")
    poured = Figure("volume", "recess less dome by the pour; null without one", nullable=True)
    by_sizes = Figure("volume", "recess by the sizes; null without any", nullable=True)
    dome_standing = Figure("volume", "all that stands above the flat, by pour and sizes; null without both", nullable=True)
    dishes = Rows(Section(RecessRow, "one dish"), "each dish, in the order given")
    pockets = Rows(Section(RecessRow, "one kind of pocket"), "each kind of pocket, in the order given")


def compute(request: dict[str, Any]) -> Outcome:
    """V = V_poured − A·h by the pour; cylinders, caps and hoofs by the sizes."""
    outcome = Outcome({})
    bench = request["bench"]
    dishes = [_dish(entry, index, request["bore"], outcome) for index, entry in enumerate(bench.get("dishes", []))]
    pockets = [pocket_volume(entry["diameter"], entry["depth"], entry["angle"]) * entry["count"] for entry in bench.get("pockets", [])]
    sized = [*dishes, *pockets]
    by_sizes = np.asarray(sum(sized)) if sized else None
    poured = _poured(request, outcome)
    outcome.refuse_where(poured is None and by_sizes is None, "#/bench", ONE_OF, Code.MISSING)
    if poured is None and by_sizes is None:
        return outcome
    net = np.asarray(by_sizes if poured is None else poured)
    outcome.refuse_where(
        poured is None and bench["domed"],
        "#/bench/pour",
        "a dome can't be told by sizes: pour the crown with the piston down a known depth",
        Code.MISSING,
    )
    outcome.values = {
        "crown_volume": net,
        "crown": {"recess": np.maximum(net, 0.0), "dome": np.maximum(-net, 0.0)},
        "poured": poured,
        "by_sizes": by_sizes,
        "dome_standing": None if poured is None or by_sizes is None else np.asarray(by_sizes - poured),
        "dishes": [{"volume": found, "depth": entry["depth"]} for found, entry in zip(dishes, bench.get("dishes", []), strict=True)],
        "pockets": [{"volume": found, "depth": entry["depth"]} for found, entry in zip(pockets, bench.get("pockets", []), strict=True)],
    }
    if not bench["domed"]:
        outcome.checks.append(_agreement(poured, by_sizes))
    return outcome


def _dish(entry: Mapping[str, Any], index: int, bore: FloatArray, outcome: Outcome) -> FloatArray:
    diameter, depth, corner = entry["diameter"], entry["depth"], entry["corner_radius"]
    outcome.refuse_where(
        diameter > bore,
        f"#/bench/dishes/{index}/diameter",
        "the dish is wider than the bore: check the sizes and their units",
        Code.IMPOSSIBLE,
    )
    if entry["shape"] == "spherical":
        return spherical_dish_volume(diameter, depth)
    large = (corner > depth) | (corner > diameter / 2.0)
    where = f"#/bench/dishes/{index}/corner_radius"
    outcome.refuse_where(
        large, where, "the radius is larger than the dish is deep or half as wide: a bowl is of the shape spherical", Code.IMPOSSIBLE
    )
    return dish_volume(diameter, depth, np.where(large, 0.0, corner))


def _poured(request: Mapping[str, Any], outcome: Outcome) -> FloatArray | None:
    pour = request["bench"].get("pour")
    if pour is None:
        return None
    depth, volume, bore = pour["depth"], pour["volume"], request["bore"]
    if "dome_height" in pour:
        outcome.refuse_where(
            pour["dome_height"] > depth,
            "#/bench/pour/depth",
            "the dome would stand against the plate: turn the piston further down and pour again",
            Code.IMPOSSIBLE,
        )
    if not pour["sealed"]:
        land = request.get("top_land")
        outcome.refuse_where(
            land is None,
            "#/top_land",
            "unsealed the fluid runs down to the top ring: state the top land, or seal it with grease",
            Code.MISSING,
        )
        if land is not None:
            wide = land["diameter"] > bore
            outcome.refuse_where(
                wide, "#/top_land/diameter", "the top land can't be wider than the bore: check both sizes", Code.IMPOSSIBLE
            )
            volume = volume - annulus_volume(bore, np.where(wide, bore, land["diameter"]), land["height"])
            outcome.refuse_where(
                volume < 0.0, "#/bench/pour/volume", "this is less than the crevice above the top ring holds: pour again", Code.IMPOSSIBLE
            )
            volume = np.maximum(volume, 0.0)
    return crown_volume_poured(volume, bore, depth)


def _agreement(poured: FloatArray | None, by_sizes: FloatArray | None) -> Check:
    row = table("bench_volumes").row("agreement")
    if poured is None or by_sizes is None:
        missing = ("#/bench/pour",) if poured is None else ("#/bench/dishes", "#/bench/pockets")
        nothing = Check("crown-volumes-agree", "volume", None, row.si("low"), row.si("high"), "", "common practice", row.source, soft=True)
        what = "pour" if poured is None else "dishes and pockets"
        return replace(nothing, reason=f"not known: add {what}, so that one measurement confirms the other", missing=missing)
    return Check(
        "crown-volumes-agree", "volume", poured - by_sizes, row.si("low"), row.si("high"), AGREES, "common practice", row.source, soft=True
    )


CALCULATION = Calculation(
    name="bench-volumes",
    title="Bench volumes",
    question="How much volume does this crown take or add?",
    text=(
        "The volume of a piston's crown from the bench: by a pour with the piston down a known depth, by the diameters and depths of "
        "dishes and valve pockets, or by both, with the dome that they leave; as the recess and dome that the other calculations take."
    ),
    request=BenchVolumesRequest,
    answer=BenchVolumesAnswer,
    compute=compute,
    headline=("crown_volume",),
    examples={
        "a dished crown, poured and measured": {
            "units": "inch",
            "bore": "3.892 in ± 0.0005 in",
            "bench": {
                "pour": {"depth": "0.500 in ± 0.001 in", "volume": "109.3 cm3 ± 0.2 cm3"},
                "dishes": [{"diameter": 3.0, "depth": 0.100, "corner_radius": 0.05}],
                "pockets": [{"diameter": 2.2, "depth": 0.080, "angle": "18 deg", "count": 2}],
            },
        },
        "a dome with pockets cut into it": {
            "bore": "84.3 mm",
            "bench": {
                "pour": {"depth": "12 mm", "volume": "60.7 cm3", "dome_height": "6 mm"},
                "pockets": [
                    {"diameter": "36 mm", "depth": "2 mm", "angle": "16 deg", "count": 2},
                    {"diameter": "31 mm", "depth": "-0.5 mm"},
                ],
                "domed": True,
            },
        },
    },
    sources=(
        "plane geometry: cylinders, the cap of a sphere, Pappus's theorem, the hoof of a leaning cylinder; derived beside the formulas",
        "common practice for the agreement of the two, as the table bench_volumes says",
    ),
    published=("test_bench_volumes",),
    cautions=("depth-over-the-pin",),
    batch=True,
    light=True,
)
