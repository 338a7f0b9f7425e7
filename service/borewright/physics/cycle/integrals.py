"""Running integrals along the closed cycle, and the linear step that removes a residual of the first law from them."""

import numpy as np

from borewright.physics.arrays import FloatArray


def running_integral(integrand: FloatArray, variable: FloatArray) -> FloatArray:
    """Running trapezoidal integral along the last axis, beginning with 0.

    Parameters
    ----------
    integrand, variable : array [N, S]

    Returns
    -------
    array [N, S]

    Examples
    --------
    >>> running_integral(np.array([[1.0, 3.0]]), np.array([[0.0, 2.0]])).tolist()
    [[0.0, 4.0]]
    """
    return stepped_integral(integrand, np.diff(variable, axis=-1))


def stepped_integral(integrand: FloatArray, steps: FloatArray) -> FloatArray:
    """Running trapezoidal integral over steps that are known, beginning with 0.

    Parameters
    ----------
    integrand : array [N, S]
    steps : array [N, S − 1]

    Returns
    -------
    array [N, S]

    Examples
    --------
    >>> stepped_integral(np.array([[1.0, 3.0]]), np.array([[2.0]])).tolist()
    [[0.0, 4.0]]
    """
    means = integrand[..., 1:] + integrand[..., :-1]
    means *= 0.5
    means *= steps
    result = np.empty(integrand.shape)
    result[..., 0] = 0.0
    np.add.accumulate(means, axis=-1, out=result[..., 1:])
    return result


def expansion_work(pressure: FloatArray, volume: FloatArray, log_volume: FloatArray) -> FloatArray:
    """Running work ∫p dV as ∫p·V d(ln V) by the trapezoidal rule: p·V changes little where p and V change much.

    Parameters
    ----------
    pressure, volume : array [N, S] [Pa], [m³]
    log_volume : array [N, S]
        ln of the volume, found once.

    Returns
    -------
    array [N, S] [J]

    Examples
    --------
    >>> V = np.geomspace(1.0, 8.0, 4)[None]
    >>> round(float(expansion_work(1.0 / V, V, np.log(V))[0, -1]), 9) == round(float(np.log(8.0)), 9)
    True
    """
    return running_integral(pressure * volume, log_volume)


def pressure_correction(
    residual: FloatArray, stiffness: FloatArray, volume: FloatArray, work_steps: FloatArray, loss_steps: FloatArray | None = None
) -> FloatArray:
    """Pressure change that removes a residual of the first law: κ·V·δp + ∫δp dV + ∫(∂q/∂p)·δp dt = −r at every step.

    Parameters
    ----------
    residual : array [N, S] [J]
        Zero in the first column.
    stiffness : array [N, S] [1]
        κ = (∂U/∂p)/V at given volume, about 1/(γ − 1).
    volume : array [N, S] [m³]
    work_steps : array [N, S − 1] [1]
        Steps of ln V.
    loss_steps : array [2, N, S − 1] [1] or None
        Steps of time times the heat loss' slope with pressure over V, at the end and at the beginning of each step.

    Returns
    -------
    array [N, S] [Pa]

    References
    ----------
    With the trapezoidal rule the integrals' sum y obeys yₖ = aₖ·yₖ₋₁ + bₖ, solved by yₖ = Pₖ·Σ bⱼ/Pⱼ, P the running product of a.

    Examples
    --------
    >>> V = np.array([[1.0, 1.1, 1.2]])
    >>> dp = pressure_correction(np.array([[0.0, 1.0, 2.0]]), np.full((1, 3), 3.0), V, np.diff(np.log(V)))
    >>> np.round(3.0 * V * dp + expansion_work(dp, V, np.log(V)), 12).tolist()
    [[0.0, -1.0, -2.0]]
    """
    ends, begins = (work_steps, work_steps) if loss_steps is None else (work_steps + loss_steps[0], work_steps + loss_steps[1])
    after, before = 0.5 * ends / stiffness[..., 1:], 0.5 * begins / stiffness[..., :-1]
    forward = 1.0 / (1.0 + after)
    product = np.cumprod(forward * (1.0 - before), axis=-1)
    source = -forward * (residual[..., 1:] * after + residual[..., :-1] * before)
    y = np.zeros(residual.shape)
    y[..., 1:] = product * np.cumsum(source / product, axis=-1)
    return -(residual + y) / (stiffness * volume)
