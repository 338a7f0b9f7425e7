"""The materials of the reference table, as choices of a request and as expansion in a computation."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.fields import Assumed, Choice
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import table


def materials_for(use: str) -> tuple[str, ...]:
    """The materials that serve as a piston, ring, bore, pin or rod.

    use : "piston", "ring", "bore", "pin" or "rod"

    >>> materials_for("piston")
    ('2618', '4032', 'hypereutectic', 'cast_eutectic')
    """
    return tuple(key for key, row in table("materials").rows.items() if use in row.values["uses"])


SPELLINGS = {"grey_iron": "gray_iron", "aluminium_356": "aluminum_356", "plated_aluminium": "plated_aluminum"}
"""The British spellings, which are read as well."""


def material_for(use: str, text: str, *, required: bool = False, assumed: Assumed | None = None) -> Choice:
    """A field for what a part is made of.

    use : as `materials_for`

    >>> material_for("ring", "of the ring").spellings["grey_iron"]
    'gray_iron'
    """
    return Choice(materials_for(use), text, required=required, assumed=assumed, spellings=SPELLINGS)


def bore_material() -> Choice:
    """What the rings and the skirt run on.

    >>> bore_material().assumed.value
    'gray_iron'
    """
    return material_for(
        "bore",
        "what the cylinder wall is made of, out of the materials table",
        assumed=Assumed("gray_iron", "common practice", "the usual wall where nothing is said"),
    )


def mean_expansion(material: str, temperature: npt.ArrayLike) -> FloatArray:
    """Mean coefficient of linear expansion from 20 °C to a temperature [1/K], linear between the table's temperatures, level beyond them.

    material : a key of the materials table
    temperature : array [K]

    Source: the material's row in the materials table.

    >>> [round(float(mean) * 1e6, 2) for mean in mean_expansion("4032", [293.15, 373.15, 423.15, 573.15])]
    [19.4, 19.4, 19.8, 21.0]
    """
    row = table("materials").row(material)
    at = np.asarray(temperature, dtype=np.float64)
    if not row.has("expansions"):
        return np.full_like(at, row.si("expansion"))
    return np.asarray(np.interp(at, row.series("expansion_temperatures"), row.series("expansions")))
