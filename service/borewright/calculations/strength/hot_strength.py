"""What a material stands at a temperature: from its own hot strengths, or for steel by the ratio to room temperature; never beyond them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.stress import strength_at_temperature
from borewright.practice.tables import Row, table


@dataclass(frozen=True)
class HotStrength:
    """Strengths of a material at a temperature [Pa]; not a number where they are not known, and then `lacking` says what would help.

    fatigue : for a load that reverses fully, on a smooth bar
    """

    material: str
    temperature: FloatArray
    ultimate: FloatArray
    tensile_yield: FloatArray
    fatigue: FloatArray
    elastic_modulus: float
    life: str
    exposure: str
    source: str
    lacking: str

    @property
    def known(self) -> BoolArray:
        """Where all three strengths are known."""
        return np.isfinite(self.ultimate) & np.isfinite(self.tensile_yield) & np.isfinite(self.fatigue)


def hot_strength(material: str, temperature: FloatArray, field: str) -> HotStrength:
    """Strengths of a material of the reference table at a temperature.

    Fatigue strength falls as the ultimate strength does, k_d = S_u(T)/S_u (J. E. Shigley and C. R. Mischke, Mechanical Engineering
    Design, temperature factor of the endurance limit).

    material : a key of the materials table
    temperature : array [K]
    field : the request's field of the temperature, for the advice

    >>> found = hot_strength("2618", np.array([477.15, 900.0]), "temperatures.crown")
    >>> round(float(found.ultimate[0]) / 1e6), round(float(found.fatigue[0]) / 1e6, 1), found.known.tolist()
    (220, 62.5, [True, False])
    >>> hot_strength("hypereutectic", np.array([477.15]), "temperatures.crown").lacking
    'hot strength of hypereutectic is not in the materials table: choose a material with one'
    """
    row = table("materials").row(material)
    steel = table("strength").row("steel_hot")
    life = table("strength").row("fatigue_life")
    at = np.asarray(temperature, dtype=np.float64)
    nothing = np.full_like(at, np.nan)
    modulus = row.si("elastic_modulus")
    if material in steel.values["materials"]:
        ratio, known = strength_at_temperature(at, steel.series("temperatures"), steel.series("ratios"))
        exposure, source = steel.word("exposure"), f"{row.source}; at temperature: {steel.source}"
        ultimate, tensile_yield = ratio * row.si("ultimate"), ratio * row.si("yield")
        life_word = life.word("steel")
        last = steel.series("temperatures")
    elif row.has("hot_temperatures"):
        last = row.series("hot_temperatures")
        ultimate, known = strength_at_temperature(at, last, row.series("hot_ultimate"))
        tensile_yield, _ = strength_at_temperature(at, last, row.series("hot_yield"))
        ratio, exposure, source = ultimate / row.si("ultimate"), row.word("hot_exposure"), row.source
        life_word = life.word(material)
    else:
        lacking = f"hot strength of {material} is not in the materials table: choose a material with one"
        return HotStrength(material, at, nothing, nothing, nothing, modulus, life.word(material), "not known", row.source, lacking)
    lacking = "" if known.flat[0] else _beyond(material, last, field)
    return HotStrength(material, at, ultimate, tensile_yield, _fatigue(row, ratio), modulus, life_word, exposure, source, lacking)


def _fatigue(row: Row, ratio: FloatArray) -> FloatArray:
    return ratio * row.si("fatigue") if row.has("fatigue") else np.full_like(ratio, np.nan)


def _beyond(material: str, knots: list[float], field: str) -> str:
    low, high = knots[0] - 273.15, knots[-1] - 273.15
    return f"strength of {material} is known from {low:.0f} to {high:.0f} degC and is not guessed beyond: give {field} within"
