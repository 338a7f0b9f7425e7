"""Piston, pin and rod on the bench: every part under any peak pressure, at any of the speeds, however hot."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from copy import copy
from dataclasses import dataclass, fields, replace
from itertools import groupby
from typing import Any

import numpy as np
from numpy.typing import NDArray

from borewright.calculations.strength.heat import PLACES
from borewright.calculations.strength.hot_strength import HotStrength, hot_strength
from borewright.calculations.strength.pin import stressed_bosses, stressed_pin, worst_of
from borewright.calculations.strength.piston import stressed_crown, stressed_lands
from borewright.calculations.strength.rod import stressed_rod
from borewright.calculations.strength.stressed import Loading, Stressed
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.piston_motion import peak_acceleration, piston_acceleration
from borewright.physics.stress import gas_force, rod_angle, rod_force

Hot = Mapping[str, HotStrength | None]
ARRAYS = ("piston", "pin", "rod", "bore", "length", "crankcase", "own", "wanted", "on_pin", "on_rod")


@dataclass(frozen=True)
class Motion:
    """How the piston moves at each speed (states, speeds); at the first, low, inertia counts as nothing.

    pulling, at_peak, pressing : its acceleration [m/s²] at exhaust top dead center, against the gas where that peaks, and at bottom dead
        center, where inertia presses as the gas does
    lean : cosine of the rod's lean at the peak [1]
    """

    pulling: FloatArray
    at_peak: FloatArray
    pressing: FloatArray
    lean: FloatArray


def motion(stroke: FloatArray, rod: FloatArray, offset: FloatArray, speeds: FloatArray, angle: FloatArray) -> Motion:
    """The motion of a piston.

    speeds, angle : of the peak pressure (states, speeds) [rad/s], [rad]

    >>> found = motion(*(np.array([size]) for size in (0.0853, 0.14235, 0.0)), np.array([[300.0, 600.0]]), np.array([[0.2, 0.2]]))
    >>> found.pulling.round(-2).tolist(), (found.at_peak[0, 1] / found.pulling[0, 1]).round(2)
    ([[0.0, 20000.0]], np.float64(0.97))
    """
    r, length, e = stroke[:, None], rod[:, None], offset[:, None]
    pulling = peak_acceleration(r, length, speeds, e)
    at_peak = np.maximum(piston_acceleration(angle, r, length, speeds, e), 0.0)
    at_peak[:, 0] = pulling[:, 0] = 0.0  # pulling at low speed, so low that the gas acts alone
    pressing = np.abs(piston_acceleration(np.pi, r, length, speeds, e))
    return Motion(pulling, at_peak, pressing, np.cos(rod_angle(angle, r, length, e)))


def columns(tree: Any) -> Any:
    """A part of a request with every number as a column (states, 1).

    >>> columns({"a": np.array([1.0, 2.0]), "b": "steel"})["a"].shape
    (2, 1)
    """
    if isinstance(tree, Mapping):
        return {name: columns(inner) for name, inner in tree.items()}
    return tree[:, None] if isinstance(tree, np.ndarray) else tree


def _deeper(tree: Any) -> Any:
    """Every number with one more axis."""
    if isinstance(tree, Mapping):
        return {name: _deeper(inner) for name, inner in tree.items()}
    return tree[..., None] if isinstance(tree, np.ndarray) else tree


def _taken(tree: Any, rows: NDArray[np.intp]) -> Any:
    """Every number at some of its states, where it has more than one."""
    if isinstance(tree, Mapping):
        return {name: _taken(inner, rows) for name, inner in tree.items()}
    return tree[rows] if isinstance(tree, np.ndarray) and tree.shape[0] > 1 else tree


def sizes(tree: Any) -> list[FloatArray]:
    """Every number of a part of a request.

    >>> len(sizes({"a": np.ones(2), "b": {"c": np.ones(2), "d": "steel"}}))
    2
    """
    if isinstance(tree, Mapping):
        return [each for inner in tree.values() for each in sizes(inner)]
    return [tree] if isinstance(tree, np.ndarray) else []


class Bench:
    """The running gear of a request, its parts checked before.

    piston, pin, rod : the request's parts (states,) [SI]
    bore, length, crankcase : of cylinder and rod [m], around the crank [Pa]
    hanging : what of the rod goes up and down [kg], None where not known
    moves : how the piston moves
    own : the caller's own strengths by place [Pa]
    exposure : "long" or "short"
    wanted : the caller's own factor of safety, None where practice's holds
    """

    def __init__(
        self,
        piston: Mapping[str, Any],
        pin: Mapping[str, Any],
        rod: Mapping[str, Any],
        *,
        bore: FloatArray,
        length: FloatArray,
        crankcase: FloatArray,
        hanging: FloatArray | None,
        moves: Motion,
        own: Mapping[str, Any],
        exposure: str,
        wanted: FloatArray | None,
    ) -> None:
        self.piston, self.pin, self.rod = columns(piston), columns(pin), columns(rod)
        self.bore, self.length, self.crankcase = columns(bore), columns(length), columns(crankcase)
        self.moves, self.own, self.exposure = moves, columns(own), exposure
        self.wanted = None if wanted is None else columns(wanted)
        single = (bore, length, moves.lean[:, 0], 1.0 if wanted is None else wanted)
        self.states = max(np.size(each) for each in (*sizes(piston), *sizes(pin), *sizes(rod), *sizes(own), *single))
        self.on_pin = columns(piston["mass"])
        self.on_rod = None if hanging is None else columns(piston["mass"] + pin["mass"] + hanging)

    def hot(self, temperatures: Mapping[str, FloatArray]) -> dict[str, HotStrength | None]:
        """Strengths at each place for its temperatures (states, conditions); None where the material is not given."""
        of = {"pin": self.pin.get("material"), "rod": self.rod.get("material")}
        materials = {place: of.get(place, self.piston["alloy"]) for place in PLACES}
        found = {
            place: None
            if material is None
            else hot_strength(material, temperatures[place], f"temperatures.{place}", self.exposure, self.own.get(place))
            for place, material in materials.items()
        }
        if self.wanted is None:
            return found
        return {
            place: None if each is None else replace(each, wanted=dict.fromkeys(each.wanted, self.wanted)) for place, each in found.items()
        }

    def take(self, rows: NDArray[np.intp]) -> Bench:
        """Some of the states."""
        few = copy(self)
        for name in ARRAYS:
            setattr(few, name, _taken(getattr(self, name), rows))
        few.moves = Motion(*(_taken(getattr(self.moves, one.name), rows) for one in fields(Motion)))
        few.states = rows.size if self.states > 1 else 1
        return few

    def crossed(self) -> Bench:
        """The same for conditions that are every strength with every load: (states, strengths, loads) instead of (states, conditions)."""
        wide = copy(self)
        for name in ARRAYS:
            setattr(wide, name, _deeper(getattr(self, name)))
        wide.moves = Motion(*(getattr(self.moves, one.name)[:, None, :] for one in fields(Motion)))
        return wide

    def parts(self, peak: FloatArray, speed: Any, hot: Hot) -> list[Stressed]:
        """Every part under conditions, each by the worst of its places; as `places`."""
        return [worst_of(list(group)) for _, group in groupby(self.places(peak, speed, hot), key=lambda row: row.name)]

    def places(self, peak: FloatArray, speed: Any, hot: Hot) -> Iterator[Stressed]:
        """Every place of every part under conditions, one by one.

        peak : (states, conditions) or (1, conditions) [Pa]
        speed : which of the speeds each condition has (conditions,)
        """
        piston = {place: found for place, found in hot.items() if found is not None}
        moves = self.moves
        pulling, at_peak, pressing, lean = (each[..., speed] for each in (moves.pulling, moves.at_peak, moves.pressing, moves.lean))
        gas = gas_force(peak, self.bore, self.crankcase)

        def press(mass: FloatArray, leaning: FloatArray | float = 0.0) -> FloatArray:
            """At the peak along the rod, or at bottom dead center, where inertia alone presses."""
            return np.asarray(np.maximum(rod_force(gas - mass * at_peak, leaning), mass * pressing))

        leaning = np.arccos(lean)
        loading = Loading(
            pressure=np.maximum(peak - self.crankcase, 1.0) + 0.0 * pulling,
            press_pin=press(self.on_pin),
            # a rod that was not weighed gets no credit for inertia
            press_rod=rod_force(gas, leaning) if self.on_rod is None else press(self.on_rod, leaning),
            pull_pin=self.on_pin * pulling,
            pull_rod=None if self.on_rod is None else self.on_rod * pulling,
        )
        yield stressed_crown(self.piston, loading, piston["crown"])
        yield from stressed_lands(self.piston, self.bore, loading, piston)
        yield stressed_bosses(self.pin, loading, piston["pin_boss"])
        yield from stressed_pin(self.pin, self.rod, loading, hot["pin"])
        yield from stressed_rod(self.rod, self.length, loading, hot["rod"])


def least(margins: Iterable[FloatArray]) -> tuple[FloatArray, Any]:
    """Smallest of the margins that are known (states, conditions), infinite where none is, and the place of that which is.

    Each is dropped before the next is asked for.

    >>> least([])[0].tolist()
    [[inf]]
    >>> [found.tolist() for found in least(iter([np.array([[3.0, np.nan]]), np.array([[2.0], [4.0]])]))]
    [[[2.0, 2.0], [3.0, 4.0]], [[1, 1], [0, 1]]]
    """
    smallest, place = np.full((1, 1), np.inf), np.zeros((1, 1), dtype=np.intp)
    for k, margin in enumerate(margins):
        shape = np.broadcast_shapes(smallest.shape, margin.shape)
        if shape != smallest.shape:
            smallest, place = np.broadcast_to(smallest, shape).copy(), np.broadcast_to(place, shape).copy()
        less = np.less(margin, smallest)  # what is no number is not
        np.copyto(smallest, margin, where=less)
        np.copyto(place, k, where=less)
    return smallest, place
