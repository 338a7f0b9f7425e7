"""Water vapor from what a shop reads: a wet bulb beside the dry one, or the dew point of a weather report."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats
from borewright.physics.gas.air import saturation_vapor_pressure

PSYCHROMETER_COEFFICIENT, PSYCHROMETER_SLOPE = 6.53e-4, 9.44e-4
"""Of a ventilated psychrometer [1/K] and its growth with the wet bulb's temperature [1/K]: WMO-No. 8, annex 4.B (from memory)."""

ICE_POINT = 273.15


def wet_bulb_vapor_pressure(temperature: ArrayLike, wet_bulb: ArrayLike, pressure: ArrayLike) -> FloatArray:
    """Partial pressure of water vapor from a wet bulb, e = e_s(T_w) − 6.53e-4·(1 + 9.44e-4·t_w)·p·(T − T_w), t_w in °C.

    Parameters
    ----------
    temperature, wet_bulb : array [K]
        Of the dry and the ventilated wet thermometer.
    pressure : array [Pa]

    Returns
    -------
    array [Pa]

    Notes
    -----
    NaN for a wet bulb above the dry one, for one so cold that no vapor would be left, and for temperatures outside −40 to 100 degC.

    References
    ----------
    WMO-No. 8, Guide to instruments and methods of observation, annex 4.B (from memory).

    Examples
    --------
    >>> round(float(wet_bulb_vapor_pressure(303.15, 293.15, 100e3)))
    1674
    """
    T, wet, p = floats(temperature), floats(wet_bulb), floats(pressure)
    wet = defined(wet, wet <= T, "a wet bulb can't be warmer than the air")
    coefficient = PSYCHROMETER_COEFFICIENT * (1.0 + PSYCHROMETER_SLOPE * (wet - ICE_POINT))
    e = saturation_vapor_pressure(wet) - coefficient * p * (T - wet)
    return defined(e, e >= 0.0, "so cold a wet bulb would leave no water vapor: it was not wet, or the air was hotter")


def relative_humidity(vapor_pressure: ArrayLike, temperature: ArrayLike) -> FloatArray:
    """Relative humidity over liquid water, e/e_s(T).

    Parameters
    ----------
    vapor_pressure : array [Pa]
    temperature : array [K]

    Returns
    -------
    array [1]

    Notes
    -----
    NaN for a negative pressure, one above that of saturated air, or a temperature outside −40 to 100 degC.

    References
    ----------
    Definition.

    Examples
    --------
    >>> round(float(relative_humidity(1584.9, 298.15)), 3)
    0.5
    """
    e = floats(vapor_pressure)
    share = e / saturation_vapor_pressure(temperature)
    share = defined(share, share >= 0.0, "the pressure of water vapor must not be negative")
    return np.minimum(defined(share, share <= 1.0 + 1e-9, "air can't hold more water than saturated air does"), 1.0)
