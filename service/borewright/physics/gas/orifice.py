"""Flow through a small opening: fuel through a jet, air past a throttle."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def orifice_area(mass_flow: ArrayLike, pressure_drop: ArrayLike, density: ArrayLike, discharge: ArrayLike) -> FloatArray:
    """Area of an opening that passes a flow at a small pressure drop, A = ṁ/(C_d·√(2·ρ·Δp)).

    Parameters
    ----------
    mass_flow : array [kg/s]
        Not negative.
    pressure_drop : array [Pa]
    density : array [kg/m³]
    discharge : array [1]
        Coefficient of discharge, above 0 up to 1.

    Returns
    -------
    array [m²]

    Notes
    -----
    NaN for a negative flow, a drop or a density at or below zero, or a coefficient outside its range. For air the drop must be small
    beside the pressure: at 5 % of it the error is under 3 %.

    References
    ----------
    Bernoulli's equation with a coefficient of discharge; J. B. Heywood, 1988, app. C (from memory).

    Examples
    --------
    >>> round(float(orifice_area(0.01, 10e3, 740.0, 0.75)) * 1e6, 3)
    3.466
    """
    flow, drop, rho, cd = floats(mass_flow), floats(pressure_drop), floats(density), floats(discharge)
    flow = defined(flow, flow >= 0.0, "the flow must not be negative")
    drop = defined(drop, (drop > 0.0) & (rho > 0.0), "pressure drop and density must be above zero")
    cd = defined(cd, (cd > 0.0) & (cd <= 1.0), "the coefficient of discharge must lie above 0 and up to 1")
    return flow / (cd * np.sqrt(2.0 * rho * drop))


def orifice_drop(mass_flow: ArrayLike, area: ArrayLike, density: ArrayLike, discharge: ArrayLike) -> FloatArray:
    """Pressure drop of a flow through an opening, Δp = (ṁ/(C_d·A))²/(2·ρ): `orifice_area` the other way round.

    Parameters
    ----------
    mass_flow : array [kg/s]
    area : array [m²]
    density : array [kg/m³]
    discharge : array [1]

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for an area, density or coefficient at or below zero.

    References
    ----------
    As `orifice_area`.

    Examples
    --------
    >>> area = orifice_area(0.01, 10e3, 740.0, 0.75)
    >>> round(float(orifice_drop(0.01, area, 740.0, 0.75)))
    10000
    """
    flow, A, rho, cd = floats(mass_flow), floats(area), floats(density), floats(discharge)
    A = defined(A, (A > 0.0) & (rho > 0.0) & (cd > 0.0), "area, density and coefficient must be above zero")
    return (flow / (cd * A)) ** 2 / (2.0 * rho)
