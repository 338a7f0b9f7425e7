"""What milling a head takes: out of its chamber, and off the intake face of a V engine."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats, require


def piecewise_linear(position: ArrayLike, knots: ArrayLike, heights: ArrayLike) -> FloatArray:
    """Straight lines between measured points, y(x) = y₀ + Σ (y_{k+1} − y_k)·clip((x − x_k)/(x_{k+1} − x_k), 0, 1).

    Written as a sum so that the measured points may differ from state to state.

    Parameters
    ----------
    position : array (...) [any]
        x; outside the knots the nearest height holds.
    knots : array (..., points) [as position]
        x_k, rising.
    heights : array (..., points) [any]
        y_k.

    Returns
    -------
    array (...) [as heights]

    Raises
    ------
    ValueError
        For fewer than two points.

    Notes
    -----
    NaN where the knots do not rise.

    Examples
    --------
    >>> float(piecewise_linear(1.5, [0.0, 1.0, 2.0], [0.0, 10.0, 14.0]))
    12.0
    """
    x, x_k, y_k = floats(position), floats(knots), floats(heights)
    require(x_k.shape[-1] >= 2, "at least two points are needed")
    width = np.diff(x_k, axis=-1)
    width = defined(width, width > 0.0, "the points must rise")
    share = np.clip((x[..., np.newaxis] - x_k[..., :-1]) / width, 0.0, 1.0)
    found: FloatArray = y_k[..., 0] + np.sum(np.diff(y_k, axis=-1) * share, axis=-1)
    return found


def intake_face_cut(head_drop: ArrayLike, bank_angle: ArrayLike, intake_face_angle: ArrayLike) -> FloatArray:
    """What must come off each intake face of a V engine when the heads drop, c = d·sin(β/2)/sin(φ − β/2).

    Look along the crankshaft. The bank leans out by β/2, so a head that drops by d along its cylinders moves inward by
    d·sin(β/2) and down by d·cos(β/2). Its intake face makes the angle φ with its deck face, so the face stands at φ − β/2 to the
    horizontal. The manifold can only go straight down, by h. For its ports to stay in line with the head's, both must move
    equally far along the face:

        d·sin φ = h·sin(φ − β/2)

    (the face makes φ − 90° with the cylinder axis, 90° − φ + β/2 with the vertical). Square to the face the manifold has then
    come nearer by h·cos(φ − β/2) and the head has drawn back by d·cos φ; what overlaps has to come off:

        c = h·cos(φ − β/2) − d·cos φ = d·sin(β/2)/sin(φ − β/2)

    which is the law of sines in the triangle of the two movements.

    Parameters
    ----------
    head_drop : array [m]
        d, along the cylinders: milled off the head, cut off the deck, lost in the gasket; below zero where the head rises.
    bank_angle : array [rad]
        β, between the two banks.
    intake_face_angle : array [rad]
        φ, between deck face and intake face, through the head's metal; a right angle where the faces are square.

    Returns
    -------
    array [m]
        Below zero where the joint opens.

    Notes
    -----
    NaN where the face lies flat or overhangs, φ − β/2 outside 0 to 90°: then no drop of the manifold brings the ports in line.

    Examples
    --------
    >>> round(float(intake_face_cut(0.00025, np.radians(90.0), np.radians(80.0))) * 1e3, 4)
    0.3082
    """
    d, half, phi = floats(head_drop), floats(bank_angle) / 2.0, floats(intake_face_angle)
    phi = _seated(half, phi)
    return d * np.sin(half) / np.sin(phi - half)


def intake_rail_cut(head_drop: ArrayLike, bank_angle: ArrayLike, intake_face_angle: ArrayLike) -> FloatArray:
    """How far the manifold of a V engine goes down with its ports in line, h = d·sin φ/sin(φ − β/2): as much comes off its end rails.

    The derivation stands with `intake_face_cut`.

    Parameters
    ----------
    head_drop : array [m]
        d.
    bank_angle : array [rad]
        β.
    intake_face_angle : array [rad]
        φ.

    Returns
    -------
    array [m]

    Notes
    -----
    NaN where the face lies flat or overhangs, φ − β/2 outside 0 to 90°.

    Examples
    --------
    >>> round(float(intake_rail_cut(0.00025, np.radians(90.0), np.radians(90.0))) * 1e3, 4)
    0.3536
    """
    d, half, phi = floats(head_drop), floats(bank_angle) / 2.0, floats(intake_face_angle)
    phi = _seated(half, phi)
    return d * np.sin(phi) / np.sin(phi - half)


def _seated(half: FloatArray, phi: FloatArray) -> FloatArray:
    lean = phi - half
    upright = (half >= 0.0) & (phi < np.pi) & (lean > 0.0) & (lean <= np.pi / 2.0 + 1e-9)
    return defined(phi, upright, "the intake face must stand up, not overhang")
