"""Worn cylinders: what the gauge says and the smallest size on offer that cleans them up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.answers import Answer, AnswerPart, Count, Figure, Rows, Section, Truth, Word
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Assumed, Choice, Label, Many, Part, Quantity, Request, RequestPart, Text
from borewright.calculations.base.outcome import VERDICTS, Measured, Outcome
from borewright.calculations.cylinders.bore_cleanup.checks import CleanupLimitsPart, cleanup_checks
from borewright.calculations.cylinders.bore_cleanup.last_bored import BoredPart, last_bored, stated_bores
from borewright.calculations.cylinders.bore_cleanup.readings import LevelReadingPart, expanded, wear
from borewright.calculations.cylinders.bore_cleanup.sizes import SizeTable, Walls, cleanup, cleanup_variances, sizes_on_offer
from borewright.physics.arrays import FloatArray


class WallPart(RequestPart):
    """One reading of a sonic check of a cylinder's wall."""

    cylinder = Label(1, 24, "number of the cylinder", required=True)
    thickness = Quantity("length", "0.2 mm", "100 mm", "wall as it stands", required=True)
    side = Text(40, "where it was measured, as thrust, front or water side", required=True)


class BoreCleanupRequest(Request):
    """What bore-cleanup needs."""

    alternatives = ((("sizes",), ("oversizes",)),)

    nominal_bore = Quantity("length", "5 mm", "500 mm", "size the cylinders were last bored to", required=True)
    bored = Many(Part(BoredPart, "one cylinder"), "cylinders that were last bored, or sleeved, to another size", longest=24)
    readings = Many(
        Part(LevelReadingPart, "one level of one cylinder"),
        "what the gauge says, two or more levels a cylinder",
        longest=400,
        required=True,
    )
    sizes = Many(Quantity("length", "5 mm", "500 mm", "a bore size"), "bore sizes that pistons are on offer for", longest=60)
    oversizes = Many(
        Quantity("length", "0 mm", "20 mm", "an oversize"), "oversizes on offer, over the nominal bore; 0 is the standard size", longest=60
    )
    minimum_stock = Quantity(
        "length",
        "0 mm",
        "1 mm",
        "left on the wall for the hone, a side",
        assumed=Assumed("0.0015 in", "common practice", "three thousandths of an inch on the diameter are left for the hone"),
    )
    centring = Choice(
        ("original", "follow_wear"),
        "whether the new bore stands where the old one was made, or follows the wear",
        assumed=Assumed("original", "common practice", "a bar set from the block bores on the original center"),
    )
    walls = Many(Part(WallPart, "one wall"), "sonic-check readings of walls", longest=200)
    minimum_wall = Quantity("length", "0.1 mm", "50 mm", "wall that must be left")
    limits = Part(CleanupLimitsPart, "the caller's own limits of wear, say from the instructions that came with the rings")


class WornCylinderAnswer(AnswerPart):
    """One cylinder."""

    cylinder = Count("number of the cylinder")
    out_of_round = Figure("length", "largest difference between directions at one level")
    taper = Figure("length", "largest difference between levels in one direction")
    largest = Figure("length", "largest diameter read")
    cleanup_diameter = Figure("length", "smallest finished diameter that cleans it up")
    smallest_size = Figure("length", "smallest size on offer that cleans it up; null where none does", nullable=True)
    bored = Figure("length", "size that its wear is counted from: what it was last bored to")
    bored_before = Truth("whether it was bored or sleeved after the size named for it, so that its least worn level is taken")


class WallPlaceAnswer(AnswerPart):
    """Where a wall is."""

    cylinder = Count("number of the cylinder")
    side = Word("side of the cylinder")


class CleanupSizeAnswer(AnswerPart):
    """One size on offer."""

    size = Figure("length", "the finished bore")
    oversize = Figure("length", "over the nominal bore")
    cleans_up = Truth("whether it cleans every cylinder up, by the readings as they stand")
    verdict = Word("watch where it cleans up only inside the gauge's tolerance", options=VERDICTS)
    holdouts = Rows(Count("number of a cylinder"), "cylinders it does not clean up")
    uncertain = Rows(Count("number of a cylinder"), "cylinders whose clean-up hangs on the gauge's tolerance, either way: read them again")
    thinnest_wall = Figure("length", "thinnest wall left; null without wall readings", nullable=True)
    thinnest_at = Section(WallPlaceAnswer, "where that wall is; null without wall readings", nullable=True)


class HoldoutAnswer(AnswerPart):
    """A smaller size that a few cylinders alone stand against."""

    size = Figure("length", "the size that the others clean up at")
    cylinders = Rows(Count("number of a cylinder"), "the cylinders to sleeve for it")
    saves = Figure("length", "diameter saved against the smallest size without sleeves; null where no size on offer does", nullable=True)


class BoreCleanupAnswer(Answer):
    """What bore-cleanup answers."""

    cylinders = Rows(Section(WornCylinderAnswer, "one cylinder"), "each cylinder read")
    sizes = Rows(Section(CleanupSizeAnswer, "one size"), "each size on offer, rising")
    smallest_clean_size = Figure("length", "smallest size that cleans every cylinder up; null if none", nullable=True)
    smallest_certain_size = Figure("length", "smallest size that does so whatever the gauge's tolerance hides; null if none", nullable=True)
    holdout = Rows(
        Count("number of a cylinder"),
        "cylinders whose sleeving would save a size: those, at most half, that stand against the next smaller",
    )
    holdouts = Rows(Section(HoldoutAnswer, "one smaller size"), "what sleeving a few cylinders would save, the next smaller size first")


def compute(request: dict[str, Any]) -> Outcome:
    """Size against clean-up diameter: D₀ + 2·(d − D₀) + 2·t on the original center, d + 2·t following the wear."""
    outcome = Outcome({})
    stated = stated_bores(request, outcome)
    found = wear(request, outcome, stated)
    if found is None:
        return outcome
    toleranced = any(bool(np.ptp(leaf)) for leaf in _leaves(request))
    bored = last_bored(request, found, stated)
    needed = cleanup(found, bored.sizes, request["minimum_stock"], request["centring"])
    sizes = sizes_on_offer(request)
    offered = SizeTable(sizes, needed, found.cylinders)
    walls = Walls(request, found, bored, sizes) if "walls" in request else None
    clean, certain = offered.first(offered.cleans), offered.first(offered.surely)
    nominal = request["nominal_bore"]

    def size_of(index: int | None) -> Measured | None:
        return None if index is None else _measured(sizes[index], toleranced)

    below = len(sizes) if clean is None else clean
    few = [index for index in range(below - 1, -1, -1) if offered.few(index)]
    outcome.values = {
        "cylinders": [
            {
                "cylinder": number,
                "out_of_round": found.out_of_round.measured(index, toleranced=toleranced),
                "taper": found.taper.measured(index, toleranced=toleranced),
                "largest": found.largest.measured(index, toleranced=toleranced),
                "cleanup_diameter": needed.measured(index, toleranced=toleranced),
                "smallest_size": size_of(offered.first_of(index)),
                "bored": _measured(bored.sizes[:, index], toleranced),
                "bored_before": bored.before[index],
            }
            for index, number in enumerate(found.cylinders)
        ],
        "sizes": [
            {
                "size": size_of(index),
                "oversize": _measured(size - nominal[0], toleranced),
                "cleans_up": bool(offered.cleans[index].all()),
                "verdict": offered.verdict(index),
                "holdouts": offered.holdouts(index),
                "uncertain": offered.uncertain(index),
                "thinnest_wall": None if walls is None else walls.measured(index, sizes[index], toleranced=toleranced),
                "thinnest_at": None if walls is None else walls.place(index),
            }
            for index, size in enumerate(sizes)
        ],
        "smallest_clean_size": size_of(clean),
        "smallest_certain_size": size_of(certain),
        "holdout": offered.holdouts(below - 1) if below - 1 in few else [],
        "holdouts": [
            {
                "size": size_of(index),
                "cylinders": offered.holdouts(index),
                "saves": None if clean is None else _saved(sizes[clean], sizes[index], toleranced),
            }
            for index in few
        ],
    }
    chosen = len(sizes) - 1 if clean is None else clean
    outcome.cautions = ["pressure-testing", "sleeve"] if few else []
    outcome.checks = cleanup_checks(request, found, bored, offered, walls, chosen, toleranced=toleranced)
    outcome.variances = cleanup_variances(request, found, bored, needed)
    return outcome


def _saved(clean: FloatArray, smaller: FloatArray, toleranced: bool) -> Measured:
    """Difference of two sizes, each [nominal, low, high]; their tolerances are independent."""
    value = float(clean[0] - smaller[0])
    if not toleranced:
        return Measured(value)
    uncertainty = float(expanded((clean[2] - clean[1]) / 2.0, (smaller[2] - smaller[1]) / 2.0))
    return Measured(value, float(clean[1] - smaller[2]), float(clean[2] - smaller[1]), uncertainty)


def _leaves(tree: Any) -> Iterator[FloatArray]:
    if isinstance(tree, np.ndarray):
        yield tree
    elif isinstance(tree, Mapping | list):
        for inner in tree.values() if isinstance(tree, Mapping) else tree:
            yield from _leaves(inner)


def _measured(states: FloatArray, toleranced: bool) -> Measured:
    if not toleranced:
        return Measured(float(states[0]))
    return Measured(float(states[0]), float(states[1]), float(states[2]), float(expanded((states[2] - states[1]) / 2.0)))


def _level(cylinder: int, depth: float, thrust: float, axial: float) -> dict[str, Any]:
    return {"cylinder": cylinder, "depth": f"{depth} in", "thrust": f"{thrust} in ± 0.0002 in", "axial": f"{axial} in ± 0.0002 in"}


CALCULATION = Calculation(
    name="bore-cleanup",
    title="Bore clean-up",
    question="At which size do the worn bores clean up?",
    text="Out-of-round, taper and wear of each cylinder, the smallest size that cleans them all up, and the cylinders that alone force it.",
    request=BoreCleanupRequest,
    answer=BoreCleanupAnswer,
    compute=compute,
    headline=("smallest_clean_size", "cylinders.cleanup_diameter"),
    examples={
        "one cylinder of four forces the size": {
            "units": "inch",
            "nominal_bore": 3.862,
            "readings": [
                _level(1, 0.5, 3.8662, 3.8641),
                _level(1, 4.0, 3.8632, 3.8629),
                _level(2, 0.5, 3.8668, 3.8645),
                _level(2, 4.0, 3.8634, 3.8630),
                _level(3, 0.5, 3.8771, 3.8652),
                _level(3, 4.0, 3.8636, 3.8631),
                _level(4, 0.5, 3.8664, 3.8642),
                _level(4, 4.0, 3.8633, 3.8630),
            ],
            "oversizes": [0.02, 0.03, 0.04, 0.06],
            "walls": [
                {"cylinder": 3, "thickness": "0.190 in ± 0.003 in", "side": "thrust"},
                {"cylinder": 2, "thickness": "0.182 in ± 0.003 in", "side": "rear"},
            ],
            "minimum_wall": 0.14,
        },
        "metric, following the wear": {
            "nominal_bore": "84.3 mm",
            "readings": [
                {
                    "cylinder": 1,
                    "depth": "15 mm",
                    "thrust": "84.341 mm",
                    "axial": "84.322 mm",
                    "others": [{"angle": "45 deg", "diameter": "84.347 mm"}],
                },
                {"cylinder": 1, "depth": "90 mm", "thrust": "84.312 mm", "axial": "84.310 mm"},
            ],
            "sizes": ["84.55 mm", "84.8 mm"],
            "centring": "follow_wear",
        },
    },
    sources=(
        "geometry of a bored circle over a worn one",
        "JCGM 100:2008, 4.3.7, 5.1.2 and 6.2.1, for the expanded uncertainty; bounds by interval arithmetic",
        "ISO 286-1, standard tolerance grades",
    ),
    published=("test_common_practice_cleanup", "test_tolerance_widths"),
    cautions=("lifting", "thin-walls"),
    propagation="interval",
    light=True,
)
