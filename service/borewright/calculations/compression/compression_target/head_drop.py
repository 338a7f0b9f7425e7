"""Heads that come to sit lower: what it does to the valves and to the intake face of a V engine."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.fields import Quantity
from borewright.calculations.base.outcome import Outcome
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.milling import intake_face_cut, intake_rail_cut

RIGHT_ANGLE = np.pi / 2


@dataclass(frozen=True)
class Intake:
    """How the banks and the intake faces of a V engine stand [rad]."""

    bank_angle: FloatArray
    face_angle: FloatArray

    def values(self, drop: FloatArray | None) -> dict[str, Any]:
        """What must come off each face and each end rail [m]; None where the drop is not known."""
        if drop is None:
            return {"intake_face_cut": None, "intake_rail_cut": None}
        return {
            "intake_face_cut": intake_face_cut(drop, self.bank_angle, self.face_angle),
            "intake_rail_cut": intake_rail_cut(drop, self.bank_angle, self.face_angle),
        }


def bank_angle() -> Quantity:
    """The angle between the banks of a V engine.

    >>> bank_angle().kind
    'angle'
    """
    return Quantity("angle", "10 deg", "170 deg", "angle between the banks of a V engine; with intake_face_angle it gives the intake cuts")


def intake_face_angle() -> Quantity:
    """The angle of a head's intake face.

    >>> intake_face_angle().required
    False
    """
    return Quantity(
        "angle",
        "10 deg",
        "170 deg",
        "angle between a head's deck face and its intake face, through the metal; 90 deg where they are square",
    )


def intake(request: Mapping[str, Any], outcome: Outcome) -> Intake | None:
    """The intake side of a request, None where it does not give both angles; a face that can't seat a manifold is refused.

    >>> outcome = Outcome({})
    >>> intake({}, outcome) is None
    True
    >>> _ = intake({"bank_angle": np.radians([90.0]), "intake_face_angle": np.radians([45.0])}, outcome)
    >>> outcome.impossible[0].pointer
    '#/intake_face_angle'
    """
    if "bank_angle" not in request or "intake_face_angle" not in request:
        return None
    bank, face = request["bank_angle"], request["intake_face_angle"]
    lean = face - bank / 2
    wrong = (lean < np.radians(1.0)) | (lean > RIGHT_ANGLE + 1e-9)
    told = (
        "the intake face would lie flat or overhang the valley: it stands at intake_face_angle less half the bank_angle to the horizontal, "
        "which must be between 1 and 90 deg"
    )
    return Intake(bank, outcome.possible(face, wrong, "#/intake_face_angle", told))


def head_drop(before: Mapping[str, Any], after: Mapping[str, Any], cut: float) -> FloatArray | None:
    """How much nearer the crank the heads come [m]: what is cut, and what the gasket got thinner; None where that is not known.

    before, after : the gasket fitted now and the one fitted then

    >>> head_drop({"thickness": np.array([1.0e-3])}, {"thickness": np.array([0.75e-3])}, 0.25e-3)
    array([0.0005])
    """
    if after is before:
        return np.full(1, cut)
    if "thickness" not in before or "thickness" not in after:
        return None
    return np.asarray(cut + before["thickness"] - after["thickness"])


def drop_effects(drop: FloatArray | None, found: Intake | None) -> list[dict[str, Any]]:
    """What a drop of the heads does elsewhere, as figures with a short text.

    >>> [(effect["name"], float(effect["value"][0])) for effect in drop_effects(np.array([0.001]), None)]
    [('valve-clearance', -0.001), ('valve-gear', 0.001)]
    """
    effects = [
        {"name": "valve-clearance", "value": None if drop is None else -drop, "text": "change of the room between valves and pistons"},
        {"name": "valve-gear", "value": drop, "text": "how much shorter the way from cam to valve gets: check pushrods or cam timing"},
    ]
    if found is not None:
        cuts = found.values(drop)
        effects += [
            {"name": "intake-face", "value": cuts["intake_face_cut"], "text": "what must come off each intake face, head or manifold"},
            {"name": "intake-rail", "value": cuts["intake_rail_cut"], "text": "what must come off the manifold's end rails"},
        ]
    return effects
