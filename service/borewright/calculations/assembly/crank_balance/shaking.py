"""What a crank layout leaves of its inertia forces and moments, from the angles of its throws and bores."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.assembly.crank_balance.arrangement import Arrangement
from borewright.calculations.base.answers import AnswerPart, Count, Figure, Section, Word
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism import balance
from borewright.physics.mechanism.balance import CLEAR_OF_ROUNDING

SHAKES = ("force", "moment")


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


class LeastShakeAnswer(AnswerPart):
    """Balance factors that leave the least of the first order, with this angle between the banks."""

    of = Word("what shakes with the crank: its force, or its moment where the forces of the throws balance each other", options=SHAKES)
    balance_factor = Figure("ratio", "leaves the least of the largest in a turn, whichever way it points")
    left = Figure("ratio", "what that leaves, in units of one cylinder's primary force, times the spacing for a moment")
    along = Figure("ratio", "leaves the least along the engine's middle plane, and more across it")
    across = Figure("ratio", "leaves the least across the engine's middle plane, and more along it")


@dataclass(frozen=True)
class Shaking:
    """Forces and moments of an arrangement, in units of one cylinder's.

    factor : array (states,) [1], share of the reciprocating mass on the counterweights of every throw
    """

    arranged: Arrangement
    factor: FloatArray

    def _arms(self) -> dict[str, FloatArray]:
        return {"force": np.ones_like(self.arranged.positions), "moment": self.arranged.positions}

    def vectors(self) -> dict[str, dict[str, FloatArray]]:
        """Lengths of the turning vectors, as the answer shows them."""
        found, throws, banks = {}, self.arranged.throws, self.arranged.banks
        for name, arms in self._arms().items():
            forward, backward = balance.primary_resultants(throws, banks, arms)
            left, _ = balance.primary_resultants(throws, banks, arms, self.factor[:, None])
            first = {"forward": _length(forward), "backward": _length(backward), "forward_left": _length(left)}
            forward, backward = balance.secondary_resultants(throws, banks, arms)
            found[f"primary_{name}"] = first
            found[f"secondary_{name}"] = {"forward": _length(forward), "backward": _length(backward)}
        return found

    def least(self) -> dict[str, Any] | None:
        """The factors that leave the least of the force, or of the moment where no factor changes the force; None where neither."""
        for name, arms in self._arms().items():
            throws, banks = self.arranged.throws, self.arranged.banks
            best, along, across = balance.least_shake_factors(throws, banks, arms)
            if np.isfinite(best).all():
                left = balance.largest_resultant(*balance.primary_resultants(throws, banks, arms, best[:, None]))
                return {"of": name, "balance_factor": best, "left": _length(left), "along": along, "across": across}
        return None

    def throws(self) -> list[dict[str, Any]]:
        """The arrangement cylinder by cylinder."""
        found = self.arranged
        return [
            {
                "cylinder": index + 1,
                "throw_angle": found.throws[:, index],
                "bore_angle": found.banks[:, index],
                "position": found.positions[:, index],
            }
            for index in range(found.count)
        ]

    def bob_weights_needed(self) -> bool:
        """Whether equal masses on all throws leave a rotating force or couple: else the bare crank balances without bobweights.

        >>> from borewright.calculations.assembly.crank_balance.arrangement import named
        >>> [Shaking(named(name, None), np.array([0.5])).bob_weights_needed() for name in ("v8-90-cross-plane", "inline-4", "opposed-2")]
        [True, False, True]
        """
        resultants = [balance.rotating_resultant(self.arranged.throws, arms) for arms in self._arms().values()]
        return any(float(np.abs(resultant)[0]) > CLEAR_OF_ROUNDING for resultant in resultants)


def largest(vectors: dict[str, FloatArray], forward: str = "forward") -> FloatArray:
    """Largest length in a turn of two vectors turning against each other: the sum of their lengths.

    >>> float(largest({"forward": np.array([0.5]), "backward": np.array([0.25])})[0])
    0.75
    """
    return vectors[forward] + vectors["backward"]


def _length(vector: npt.ArrayLike) -> FloatArray:
    length = np.atleast_1d(np.abs(np.asarray(vector)))
    return np.where(length < CLEAR_OF_ROUNDING, 0.0, length)
