"""What the tolerance of a gauge makes of the spread of several readings."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats

_CROSSED = "each low must not lie above its high"


def spread_bounds(low: ArrayLike, high: ArrayLike, measured: ArrayLike = True) -> tuple[FloatArray, FloatArray]:
    """Smallest and largest that max(x) − min(x) can be when each reading x_i may lie anywhere from l_i to h_i.

    The smallest is max(0, max l − min h): all readings drawn together as far as they go. The largest is max(h_i − l_j) over two
    different readings.

    Parameters
    ----------
    low, high : array (..., readings) [m]
        l and h.
    measured : array of bool (..., readings) [1]
        Which were taken; the spread of fewer than two is zero.

    Returns
    -------
    pair of array (...) [m]

    Notes
    -----
    NaN where a low lies above its high.

    Examples
    --------
    >>> [round(float(bound), 3) for bound in spread_bounds([0.99, 1.03, 1.00], [1.01, 1.05, 1.02])]
    [0.02, 0.06]
    """
    bottom, top = floats(low), floats(high)
    taken = np.broadcast_to(np.asarray(measured, dtype=bool), bottom.shape)
    upright = np.all(~taken | (bottom <= top), axis=-1)
    l_i, h_i = np.where(taken, bottom, np.inf), np.where(taken, top, -np.inf)
    several = np.sum(taken, axis=-1) > 1
    highest_low = np.max(np.where(taken, bottom, -np.inf), axis=-1, initial=-np.inf)
    lowest_high = np.min(np.where(taken, top, np.inf), axis=-1, initial=np.inf)
    least = np.where(several, np.maximum(np.where(several, highest_low, 0.0) - np.where(several, lowest_high, 0.0), 0.0), 0.0)
    if bottom.shape[-1] < 2:
        return defined(least, upright, _CROSSED), defined(np.zeros_like(least), upright, _CROSSED)
    lows, highs = np.sort(l_i, axis=-1), np.sort(h_i, axis=-1)
    apart = np.argmin(l_i, axis=-1) != np.argmax(h_i, axis=-1)
    first, second_low = np.where(several, lows[..., 0], 0.0), np.where(several, lows[..., 1], 0.0)
    last, second_high = np.where(several, highs[..., -1], 0.0), np.where(several, highs[..., -2], 0.0)
    most: FloatArray = np.where(apart, last - first, np.maximum(last - second_low, second_high - first))
    return defined(least, upright, _CROSSED), defined(most, upright, _CROSSED)
