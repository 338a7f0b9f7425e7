"""Shaking forces and moments of the reciprocating masses, first and second order, and bobweights.

Everything is a vector in the plane square to the crank, written as a complex number: the reference direction is real, a quarter
turn on in the direction of rotation is imaginary. Cylinder i has its throw at φᵢ and its bore at βᵢ, both angles in the direction
of rotation, and stands at zᵢ along the crank; at crank angle θ it is θ + φᵢ − βᵢ past its top dead center. Each order is then a
vector that turns with the crank and one that turns against it, and their lengths add to the largest resultant of a turn.
Amplitudes are in units of m·ω²·r for the first order and m·ω²·r·(r/l) for the second, per cylinder.

J. P. Den Hartog, Mechanical Vibrations, ch. 5; R. S. Khurmi and J. K. Gupta, Theory of Machines, ch. 22.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from borewright.physics.arrays import FloatArray, defined, floats

ComplexArray = NDArray[np.complex128]
CLEAR_OF_ROUNDING = 1e-11  # in units of one cylinder: what sums of sines leave where nothing is left


def bob_weight(
    rotating_per_rod: ArrayLike,
    reciprocating_per_cylinder: ArrayLike,
    rods_per_journal: ArrayLike,
    balance_factor: ArrayLike,
    oil: ArrayLike = 0.0,
) -> FloatArray:
    """Mass to hang on a journal for balancing the crank, n·m_rot + n·k·m_rec + m_oil.

    Parameters
    ----------
    rotating_per_rod : array [kg]
        Rod big end and bearing shells.
    reciprocating_per_cylinder : array [kg]
        Piston, pin, retainers, rings, rod small end.
    rods_per_journal : array [1]
    balance_factor : array [1]
        Share of the reciprocating mass the counterweights carry, 0 to 1.
    oil : array [kg]
        Carried by one journal.

    Returns
    -------
    array [kg]

    Notes
    -----
    NaN for a mass below zero, less than one rod, or a factor outside 0 to 1.

    Examples
    --------
    >>> round(float(bob_weight(0.475, 0.940, 2, 0.5, 0.005)), 6)
    1.895
    """
    rotating, reciprocating, n = floats(rotating_per_rod), floats(reciprocating_per_cylinder), floats(rods_per_journal)
    k, film = floats(balance_factor), floats(oil)
    rotating = defined(rotating, (rotating >= 0.0) & (reciprocating >= 0.0) & (film >= 0.0), "masses must not be below zero")
    n = defined(n, n >= 1.0, "a journal must carry at least one rod")
    k = defined(k, (k >= 0.0) & (k <= 1.0), "the balance factor must be between 0 and 1")
    return n * rotating + n * k * reciprocating + film


def rotating_resultant(throw_angles: ArrayLike, arms: ArrayLike = 1.0) -> ComplexArray:
    """Resultant of equal masses turning on every throw, Σ aᵢ·e^(jφᵢ), at crank angle zero.

    Parameters
    ----------
    throw_angles : array (..., cylinders) [rad]
    arms : array (..., cylinders) [1 or m]
        One for the force; each cylinder's position along the crank for the moment.

    Returns
    -------
    array (...) of complex [1 or m]

    Examples
    --------
    >>> round(float(abs(rotating_resultant([0.0, np.pi]))), 12)
    0.0
    """
    resultant: ComplexArray = np.sum(floats(arms) * np.exp(1j * floats(throw_angles)), axis=-1)
    return resultant


def primary_resultants(
    throw_angles: ArrayLike, bank_angles: ArrayLike, arms: ArrayLike = 1.0, balance_factor: ArrayLike = 0.0
) -> tuple[ComplexArray, ComplexArray]:
    """First-order vectors with and against the crank, Σ aᵢ·(½ − k)·e^(jφᵢ) and Σ ½·aᵢ·e^(−j(φᵢ − 2βᵢ)).

    Parameters
    ----------
    throw_angles, bank_angles : array (..., cylinders) [rad]
    arms : array (..., cylinders) [1 or m]
        One for the force; each cylinder's position along the crank for the moment.
    balance_factor : array [1]
        Share of each cylinder's reciprocating mass that its throw's counterweight carries beyond the rotating mass, k.

    Returns
    -------
    (array (...) of complex, array (...) of complex) [1 or m]
        At crank angle zero, in units of m·ω²·r.

    Examples
    --------
    A right-angled pair on one pin leaves a constant vector turning with the crank:

    >>> forward, backward = primary_resultants([0.0, 0.0], [-np.pi / 4, np.pi / 4])
    >>> round(float(abs(forward)), 12), round(float(abs(backward)), 12)
    (1.0, 0.0)
    """
    phi, beta, a = floats(throw_angles), floats(bank_angles), floats(arms)
    forward = np.sum(a * (0.5 - floats(balance_factor)) * np.exp(1j * phi) * np.ones_like(beta), axis=-1)
    backward = np.sum(0.5 * a * np.exp(-1j * (phi - 2.0 * beta)), axis=-1)
    return forward, backward


def least_shake_factors(
    throw_angles: ArrayLike, bank_angles: ArrayLike, arms: ArrayLike = 1.0
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Balance factors that leave the least of the first order: of its largest resultant, along the middle plane, and across it.

    With S = Σ aᵢ·e^(jφᵢ) and the backward vector B, (½ − k)·S turns with the crank and B against it. The largest resultant is
    |½ − k|·|S| + |B|, along the middle plane it is |(½ − k)·S + B*| and across it |(½ − k)·S − B*|: least at k = ½ and at
    k = ½ ± Re(S*·B*)/|S|².

    Parameters
    ----------
    throw_angles, bank_angles : array (..., cylinders) [rad]
    arms : array (..., cylinders) [1 or m]
        One for the force; each cylinder's position along the crank for the moment.

    Returns
    -------
    (array (...), array (...), array (...)) [1]
        NaN where the throws balance each other, so that no factor changes anything.

    Notes
    -----
    Derived from `primary_resultants`. A pair on one pin, 2α apart, has cos²α along its middle plane and sin²α across it.

    Examples
    --------
    A single cylinder is left alone along its bore by the whole mass, across it by none:

    >>> [float(factor) for factor in least_shake_factors([0.0], [0.0])]
    [0.5, 1.0, 0.0]
    """
    turning = np.asarray(rotating_resultant(floats(throw_angles) * np.ones_like(floats(bank_angles)), arms))
    _, backward = primary_resultants(throw_angles, bank_angles, arms)
    length = np.abs(turning)
    length = defined(length, length > CLEAR_OF_ROUNDING, "the throws must not balance each other")
    lean = np.real(np.conj(turning) * np.conj(backward)) / length**2
    half = np.full_like(lean, 0.5) + 0.0 * length
    return half, np.clip(0.5 + lean, 0.0, 1.0), np.clip(0.5 - lean, 0.0, 1.0)


def secondary_resultants(throw_angles: ArrayLike, bank_angles: ArrayLike, arms: ArrayLike = 1.0) -> tuple[ComplexArray, ComplexArray]:
    """Second-order vectors with and against the crank, ½·Σ aᵢ·e^(j(2φᵢ − βᵢ)) and ½·Σ aᵢ·e^(−j(2φᵢ − 3βᵢ)); both turn at twice its speed.

    Parameters
    ----------
    throw_angles, bank_angles : array (..., cylinders) [rad]
    arms : array (..., cylinders) [1 or m]
        One for the force; each cylinder's position along the crank for the moment.

    Returns
    -------
    (array (...) of complex, array (...) of complex) [1 or m]
        At crank angle zero, in units of m·ω²·r·(r/l).

    Examples
    --------
    Four in line with two throws up and two down:

    >>> forward, backward = secondary_resultants([0.0, np.pi, np.pi, 0.0], [0.0, 0.0, 0.0, 0.0])
    >>> round(float(largest_resultant(forward, backward)), 12)
    4.0
    """
    phi, beta, a = floats(throw_angles), floats(bank_angles), floats(arms)
    forward = np.sum(0.5 * a * np.exp(1j * (2.0 * phi - beta)), axis=-1)
    backward = np.sum(0.5 * a * np.exp(-1j * (2.0 * phi - 3.0 * beta)), axis=-1)
    return forward, backward


def largest_resultant(forward: ArrayLike, backward: ArrayLike) -> FloatArray:
    """Largest length in a turn of two vectors turning against each other, |A| + |B|.

    Parameters
    ----------
    forward, backward : array of complex [any]

    Returns
    -------
    array [as given]

    Examples
    --------
    >>> float(largest_resultant(3.0 + 4.0j, -1.0))
    6.0
    """
    longest: FloatArray = np.abs(np.asarray(forward)) + np.abs(np.asarray(backward))
    return longest


def resultant_at(angle: ArrayLike, forward: ArrayLike, backward: ArrayLike, order: int) -> ComplexArray:
    """Resultant at a crank angle, A·e^(jnθ) + B·e^(−jnθ).

    Parameters
    ----------
    angle : array [rad]
    forward, backward : array of complex [any]
    order : int [1]
        n, one for the first order, two for the second.

    Returns
    -------
    array of complex [as given]

    Examples
    --------
    >>> complex(np.round(resultant_at(np.pi, 0.5, 0.5, 1), 12))
    (-1+0j)
    """
    turn = np.exp(1j * order * floats(angle))
    at: ComplexArray = np.asarray(forward) * turn + np.asarray(backward) / turn
    return at


def primary_unit(mass: ArrayLike, stroke: ArrayLike, speed: ArrayLike) -> FloatArray:
    """First-order inertia force of one cylinder, m·ω²·r.

    Parameters
    ----------
    mass : array [kg]
        Reciprocating, per cylinder.
    stroke : array [m]
        Twice r.
    speed : array [rad/s]

    Returns
    -------
    array [N]

    Notes
    -----
    NaN for a mass below zero or a stroke at or below zero.

    Examples
    --------
    >>> round(float(primary_unit(11.5, 0.150, 500 * np.pi / 30)), 1)
    2364.6
    """
    m, S = floats(mass), floats(stroke)
    m = defined(m, (m >= 0.0) & (S > 0.0), "mass must not be below zero and stroke must be above zero")
    return m * floats(speed) ** 2 * S / 2.0


def secondary_unit(mass: ArrayLike, stroke: ArrayLike, rod_length: ArrayLike, speed: ArrayLike) -> FloatArray:
    """Second-order inertia force of one cylinder, m·ω²·r·(r/l).

    Parameters
    ----------
    mass : array [kg]
        Reciprocating, per cylinder.
    stroke, rod_length : array [m]
    speed : array [rad/s]

    Returns
    -------
    array [N]

    Notes
    -----
    NaN for a mass below zero, a stroke at or below zero or a rod no longer than the throw.

    Examples
    --------
    >>> round(float(secondary_unit(11.5, 0.150, 0.300, 500 * np.pi / 30)), 2)
    591.15
    """
    r, L = floats(stroke) / 2.0, floats(rod_length)
    r = defined(r, r < L, "the rod must be longer than the crank throw")
    return primary_unit(mass, stroke, speed) * (r / L)
