"""What a crank layout leaves of its inertia forces and moments, from the angles of its throws and bores."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.answers import AnswerPart, Count, Figure, Section
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism import balance
from borewright.physics.mechanism.balance_layouts import Layout

CLEAR_OF_ROUNDING = 1e-11  # in units of one cylinder: what sums of sines leave where nothing is left


class SecondaryVectorsAnswer(AnswerPart):
    """Two vectors turning at twice the crank's speed, in units of one cylinder's secondary force, times the spacing for a moment."""

    forward = Figure("ratio", "length of the one that turns with the crank")
    backward = Figure("ratio", "length of the one that turns against it")


class PrimaryVectorsAnswer(AnswerPart):
    """Two vectors turning at the crank's speed, in units of one cylinder's primary force, times the spacing for a moment."""

    forward = Figure("ratio", "length of the one that turns with the crank, with nothing on the counterweights for it")
    backward = Figure("ratio", "length of the one that turns against it, which no counterweight on the crank can reach")
    forward_left = Figure("ratio", "what the counterweights leave of the forward one")


class VectorsAnswer(AnswerPart):
    """The turning vectors behind the forces and moments."""

    primary_force = Section(PrimaryVectorsAnswer, "first-order force")
    primary_moment = Section(PrimaryVectorsAnswer, "first-order moment about the middle of the crank")
    secondary_force = Section(SecondaryVectorsAnswer, "second-order force")
    secondary_moment = Section(SecondaryVectorsAnswer, "second-order moment about the middle of the crank")


class ThrowAnswer(AnswerPart):
    """One cylinder of the layout."""

    cylinder = Count("number, counted along the crank; of cylinders side by side the one whose bank leans back first")
    throw_angle = Figure("angle", "where its throw points, in the direction of rotation from the first")
    bore_angle = Figure("angle", "where its bore points, in the direction of rotation from the engine's middle plane")
    position = Figure("ratio", "where it stands along the crank, in spacings from the middle")


@dataclass(frozen=True)
class Shaking:
    """Forces and moments of a layout, in units of one cylinder's.

    banks : array (states, cylinders) [rad]
    factor : array (states,) [1], share of the reciprocating mass on the counterweights of every throw
    """

    layout: Layout
    banks: FloatArray
    factor: FloatArray

    def vectors(self) -> dict[str, dict[str, FloatArray]]:
        """Lengths of the turning vectors, as the answer shows them."""
        found = {}
        for name, arms in (("force", np.ones_like(self.layout.throws)), ("moment", np.asarray(self.layout.positions))):
            forward, backward = balance.primary_resultants(self.layout.throws, self.banks, arms)
            left, _ = balance.primary_resultants(self.layout.throws, self.banks, arms, self.factor[:, None])
            first = {"forward": _length(forward), "backward": _length(backward), "forward_left": _length(left)}
            forward, backward = balance.secondary_resultants(self.layout.throws, self.banks, arms)
            found[f"primary_{name}"] = first
            found[f"secondary_{name}"] = {"forward": _length(forward), "backward": _length(backward)}
        return found

    def throws(self) -> list[dict[str, Any]]:
        """The layout cylinder by cylinder."""
        return [
            {"cylinder": index + 1, "throw_angle": np.array([throw]), "bore_angle": self.banks[:, index], "position": np.array([place])}
            for index, (throw, place) in enumerate(zip(self.layout.throws, self.layout.positions, strict=True))
        ]


def bob_weights_needed(layout: Layout) -> bool:
    """Whether equal masses on all throws leave a rotating force or couple: else the bare crank balances without bob-weights.

    >>> from borewright.physics.mechanism.balance_layouts import LAYOUTS
    >>> bob_weights_needed(LAYOUTS["v8-90-cross-plane"]), bob_weights_needed(LAYOUTS["inline-4"])
    (True, False)
    """
    resultants = [balance.rotating_resultant(layout.throws, arms) for arms in (1.0, layout.positions)]
    return any(abs(resultant) > CLEAR_OF_ROUNDING for resultant in resultants)


def rods_on_a_journal(layout: Layout) -> int:
    """How many rods of a layout share a place along the crank and a throw angle.

    >>> from borewright.physics.mechanism.balance_layouts import LAYOUTS
    >>> rods_on_a_journal(LAYOUTS["v8-90-cross-plane"]), rods_on_a_journal(LAYOUTS["inline-4"])
    (2, 1)
    """
    pins = list(zip(layout.throw_degrees, layout.positions, strict=True))
    return max(pins.count(pin) for pin in pins)


def largest(vectors: dict[str, FloatArray], forward: str = "forward") -> FloatArray:
    """Largest length in a turn of two vectors turning against each other: the sum of their lengths.

    >>> float(largest({"forward": np.array([0.5]), "backward": np.array([0.25])})[0])
    0.75
    """
    return vectors[forward] + vectors["backward"]


def _length(vector: npt.ArrayLike) -> FloatArray:
    length = np.atleast_1d(np.abs(np.asarray(vector)))
    return np.where(length < CLEAR_OF_ROUNDING, 0.0, length)
