"""What the moving masses of an engine weigh at its crank while it gains speed."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.mechanism.piston_motion import piston_speed

_ANGLES = np.linspace(0.0, 2.0 * np.pi, 256, endpoint=False)


def effective_inertia(stroke: ArrayLike, rod_length: ArrayLike, reciprocating_mass: ArrayLike, rotating_mass: ArrayLike) -> FloatArray:
    """Moment of inertia at the crank of masses that go with its throws, mean over a turn: m_rot·r² + m_rec·mean((dx/dθ)²).

    For a long rod the mean is r²/2; for one of the usual length some 2 % more.

    Parameters
    ----------
    stroke, rod_length : array [m]
        The rod longer than the throw.
    reciprocating_mass, rotating_mass : array [kg]
        Of all cylinders together, not negative.

    Returns
    -------
    array [kg·m²]

    Notes
    -----
    NaN for a stroke at or below zero, a rod no longer than the throw, or a negative mass.

    References
    ----------
    First principles: kinetic energy ½·I·ω² of the masses at a steady speed; motion as `piston_speed`.

    Examples
    --------
    >>> round(float(effective_inertia(0.1, 100.0, 1.0, 0.0)) / 0.05**2, 6)
    0.5
    """
    s, L, back, turning = floats(stroke), floats(rod_length), floats(reciprocating_mass), floats(rotating_mass)
    s = defined(s, (s > 0.0) & (s / 2.0 < L), "the stroke must be above zero and the rod longer than the throw")
    back = defined(back, (back >= 0.0) & (turning >= 0.0), "masses must not be negative")
    s, L, back, turning = np.broadcast_arrays(s, L, back, turning)
    per_turn = piston_speed(_ANGLES, s[..., None], L[..., None], 1.0)
    return np.asarray(turning * (s / 2.0) ** 2 + back * np.mean(per_turn**2, axis=-1))


def spin_up_power(inertia: ArrayLike, speed: ArrayLike, rate: ArrayLike) -> FloatArray:
    """Power that goes into speed alone, I·ω·dω/dt.

    Parameters
    ----------
    inertia : array [kg·m²]
    speed : array [rad/s]
    rate : array [rad/s²]
        Speed gained in a second.

    Returns
    -------
    array [W]

    Notes
    -----
    NaN for a negative inertia.

    References
    ----------
    First principles: the rate of ½·I·ω².

    Examples
    --------
    >>> float(spin_up_power(0.2, 500.0, 100.0))
    10000.0
    """
    inertia_ = floats(inertia)
    inertia_ = defined(inertia_, inertia_ >= 0.0, "the moment of inertia must not be negative")
    return inertia_ * floats(speed) * floats(rate)
