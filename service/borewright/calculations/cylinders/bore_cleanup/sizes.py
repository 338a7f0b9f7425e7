"""Which sizes clean worn cylinders up, how sure that is, and what stands against it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Measured, Verdict
from borewright.calculations.cylinders.bore_cleanup.last_bored import LastBored
from borewright.calculations.cylinders.bore_cleanup.readings import Figures, Wear, expanded, place_of
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.fits.wear import cleanup_diameter_follow, cleanup_diameter_original, wall_left

SAME = 1e-9  # m: two sizes nearer than this are the same


def cleanup(found: Wear, nominal: FloatArray, stock: FloatArray, centring: str) -> Figures:
    """The diameter each cylinder must be bored and honed to.

    nominal : what each was last bored to, [nominal, low, high] or (3, cylinders) [m]
    stock : [nominal, low, high] [m]
    centring : "original" or "follow_wear"

    >>> worn = Figures(*(np.array([size]) for size in (0.1002, 0.1002, 0.1002, 0.0)))
    >>> found = Wear([1], worn, worn, worn, np.full((3, 1), 0.1002), worn)
    >>> round(float(cleanup(found, np.full(3, 0.1), np.full(3, 50e-6), "original").value[0]) * 1e3, 6)
    100.5
    """
    d = found.largest
    if centring == "follow_wear":
        value, low, high = (cleanup_diameter_follow(size, stock[state]) for state, size in enumerate((d.value, d.low, d.high)))
        return Figures(value, low, high, np.hypot(d.uncertainty, expanded(stock[2] - stock[1])))
    value = cleanup_diameter_original(nominal[0], d.value, stock[0])
    # D + 2·max(d − D, 0) falls with D up to d and rises beyond: its least is at D = d, its most at an end
    low = cleanup_diameter_original(np.clip(d.low, nominal[1], nominal[2]), d.low, stock[1])
    high = np.maximum(*(cleanup_diameter_original(end, d.high, stock[2]) for end in nominal[1:]))
    worn = d.value > nominal[0]
    uncertainty = np.hypot(np.where(worn, 2.0 * d.uncertainty, 0.0), expanded((nominal[2] - nominal[1]) / 2.0, stock[2] - stock[1]))
    return Figures(value, low, high, uncertainty)


def cleanup_variances(request: Mapping[str, Any], found: Wear, bored: LastBored, needed: Figures) -> dict[str, dict[str, float]]:
    """What each tolerance adds to the variance of the clean-up diameter, for the cylinder that needs most of those that have any.

    request : the arrays of a bore-cleanup request, each [nominal, low, high]

    >>> from borewright.calculations.base.registry import calculations
    >>> from borewright.calculations.base.single import answer
    >>> levels = [{"cylinder": 1, "depth": depth, "thrust": "100.05 ± 0.01 mm", "axial": "100 mm"} for depth in ("10 mm", "90 mm")]
    >>> request = {"nominal_bore": "100 mm", "readings": levels, "sizes": ["100.5 mm"]}
    >>> [share["input"] for share in answer(calculations()["bore-cleanup"], request)["sensitivity"]]
    ['#/readings/0/thrust']
    """
    original = request["centring"] == "original"
    for index in np.argsort(-needed.value, kind="stable").tolist():
        worn = bool(found.largest.value[index] > bored.sizes[0, index])
        slopes = {"#/minimum_stock": (request["minimum_stock"], 2.0)}
        if original:
            slopes[bored.pointers[index]] = (bored.sizes[:, index], 1.0)  # falls with the bore where worn, rises where not
        if worn or not original:
            where, deepest = place_of(request["readings"], found.cylinders[index], max)
            slopes[where] = (deepest, 2.0 if original else 1.0)
        added = {name: float(slope * (states[2] - states[1]) / 2.0) ** 2 / 3.0 for name, (states, slope) in slopes.items()}
        if any(added.values()):
            return {"cylinders.cleanup_diameter": {name: variance for name, variance in added.items() if variance}}
    return {}


def sizes_on_offer(request: Mapping[str, Any]) -> FloatArray:
    """Every size once, rising, each [nominal, low, high]; shape (sizes, 3) [m].

    >>> offer = {"nominal_bore": np.full(3, 0.1), "oversizes": [np.full(3, 0.0005), np.full(3, 0.0), np.full(3, 0.0005)]}
    >>> sizes_on_offer(offer)[:, 0].tolist()
    [0.1, 0.1005]
    """
    given = request["sizes"] if "sizes" in request else [request["nominal_bore"][0] + oversize for oversize in request["oversizes"]]
    sizes = np.array(sorted((tuple(size) for size in given), key=lambda size: (size[0], -size[1])))
    return np.asarray(sizes[np.append(True, np.diff(sizes[:, 0]) > SAME)])


class SizeTable:
    """Every size against every cylinder: shape (sizes, cylinders)."""

    def __init__(self, sizes: FloatArray, needed: Figures, cylinders: list[int]) -> None:
        self.sizes, self.needed, self.cylinders = sizes, needed, cylinders
        self.cleans = sizes[:, None, 0] >= needed.value - SAME
        self.surely = sizes[:, None, 1] >= needed.high - SAME
        self.perhaps = sizes[:, None, 2] >= needed.low - SAME

    def first(self, table: BoolArray) -> int | None:
        """The smallest size that does it for all cylinders."""
        whole = table.all(axis=1)
        return int(whole.argmax()) if whole.any() else None

    def first_of(self, cylinder: int) -> int | None:
        """The smallest size that cleans one cylinder up."""
        return int(self.cleans[:, cylinder].argmax()) if self.cleans[:, cylinder].any() else None

    def verdict(self, size: int) -> Verdict:
        """How a size comes out over the gauge's tolerance."""
        if not self.cleans[size].all():
            return "fail"
        return "pass" if self.surely[size].all() else "watch"

    def named(self, mask: BoolArray) -> list[int]:
        """The numbers of marked cylinders."""
        return [cylinder for cylinder, marked in zip(self.cylinders, mask, strict=True) if marked]

    def holdouts(self, size: int) -> list[int]:
        """The cylinders that a size does not clean up."""
        return self.named(~self.cleans[size])

    def uncertain(self, size: int) -> list[int]:
        """The cylinders whose clean-up at a size hangs on the gauge's tolerance, either way."""
        return self.named(self.perhaps[size] & ~self.surely[size])

    def few(self, size: int) -> bool:
        """Whether some cylinders, at most half of them, keep the others from a size."""
        count = int((~self.cleans[size]).sum())
        return 0 < count <= len(self.cylinders) // 2


class Walls:
    """What is left of the measured walls at every size, the walls as thin as the wear allows them to be.

    The surface under a wall is nowhere further out than the worn bore and nowhere further in than the smaller of what it was last bored to
    and the smallest diameter read, so a new size takes at most (size − that)/2 from any side, on either centring.
    """

    def __init__(self, request: Mapping[str, Any], found: Wear, bored: LastBored, sizes: FloatArray) -> None:
        self.places = [{"cylinder": wall["cylinder"], "side": wall["side"]} for wall in request["walls"]]
        thickness = np.array([wall["thickness"] for wall in request["walls"]])
        inner = dict(zip(found.cylinders, np.minimum(bored.sizes, found.smallest[0]).T, strict=True))
        bores = np.array([inner.get(place["cylinder"], request["nominal_bore"]) for place in self.places])
        states = (thickness.T, bores.T, sizes.T[[0, 2, 1]])  # the thinnest wall goes with the largest size
        self.left = np.stack([wall_left(t, b, s[:, None]) for t, b, s in zip(*states, strict=True)])
        self.half_width = (thickness[:, 2] - thickness[:, 1]) / 2.0

    def thinnest(self, size: int) -> FloatArray:
        """Thinnest wall at a size: nominal, lowest, highest [m]."""
        return np.asarray(self.left[:, size].min(axis=-1))

    def measured(self, size: int, bored: FloatArray, *, toleranced: bool) -> Measured:
        """Thinnest wall at a size, with bounds where anything had a tolerance."""
        value, low, high = self.thinnest(size)
        if not toleranced:
            return Measured(float(value))
        uncertainty = expanded(self.half_width[self._thinnest_index(size)], (bored[2] - bored[1]) / 4.0)
        return Measured(float(value), float(low), float(high), float(uncertainty))

    def place(self, size: int) -> dict[str, Any]:
        """Cylinder and side of the thinnest wall."""
        return self.places[self._thinnest_index(size)]

    def _thinnest_index(self, size: int) -> int:
        return int(self.left[0, size].argmin())
