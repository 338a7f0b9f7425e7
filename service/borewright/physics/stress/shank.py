"""The shank of a connecting rod as an I-section: area, and radii of gyration about the two axes it can buckle on."""

import numpy as np
from numpy.typing import ArrayLike

from borewright.physics.arrays import FloatArray, defined, floats


def _section(height: ArrayLike, width: ArrayLike, web: ArrayLike, flange: ArrayLike) -> tuple[FloatArray, ...]:
    H, B, w, t = floats(height), floats(width), floats(web), floats(flange)
    H = defined(H, (w > 0.0) & (w <= B) & (t > 0.0) & (2.0 * t <= H), "an I-section must have 0 < web <= width and 0 < 2·flange <= height")
    return H, B, w, t


def i_section_area(height: ArrayLike, width: ArrayLike, web: ArrayLike, flange: ArrayLike) -> FloatArray:
    """Area of an I-section, B·H − (B − w)·(H − 2t).

    Parameters
    ----------
    height, width, web, flange : array [m]
        Height over both flanges, width of the flanges, thickness of web and flanges.

    Returns
    -------
    array [m²]

    Notes
    -----
    NaN unless 0 < web <= width and 0 < 2·flange <= height.

    References
    ----------
    Geometry; R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32: 11·t² for 5t by 4t.

    Examples
    --------
    >>> round(float(i_section_area(0.035, 0.028, 0.007, 0.007)) * 1e6, 6)
    539.0
    """
    H, B, w, t = _section(height, width, web, flange)
    return B * H - (B - w) * (H - 2.0 * t)


def i_section_gyration(height: ArrayLike, width: ArrayLike, web: ArrayLike, flange: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Radii of gyration of an I-section, √(I/A), about the axis along the flanges and about the one along the web.

    I_xx = (B·H³ − (B − w)·(H − 2t)³)/12 and I_yy = (2t·B³ + (H − 2t)·w³)/12.

    Parameters
    ----------
    height, width, web, flange : array [m]
        Height over both flanges, width of the flanges, thickness of web and flanges.

    Returns
    -------
    (array [m], array [m])
        About x, along the flanges, and about y, along the web.

    Notes
    -----
    NaN unless 0 < web <= width and 0 < 2·flange <= height.

    References
    ----------
    Geometry; R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ch. 32: 1.78·t for 5t by 4t, and I_xx/I_yy 3.2.

    Examples
    --------
    >>> [round(float(radius) * 1e3, 2) for radius in i_section_gyration(0.035, 0.028, 0.007, 0.007)]
    [12.47, 6.97]
    """
    H, B, w, t = _section(height, width, web, flange)
    A = i_section_area(H, B, w, t)
    I_xx = (B * H**3 - (B - w) * (H - 2.0 * t) ** 3) / 12.0
    I_yy = (2.0 * t * B**3 + (H - 2.0 * t) * w**3) / 12.0
    return np.sqrt(I_xx / A), np.sqrt(I_yy / A)
