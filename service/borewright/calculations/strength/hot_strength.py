"""What a material stands at a temperature: from its own hot strengths, or for steel by the ratio to room temperature; never beyond them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from borewright.calculations.base.fields import Quantity, RequestPart
from borewright.physics.arrays import BoolArray, FloatArray
from borewright.physics.stress import strength_at_temperature
from borewright.practice.tables import Row, table

EXPOSURES = ("long", "short")


class OwnStrengthPart(RequestPart):
    """The caller's own strengths of a material at the temperature it runs at; they replace those of the tables."""

    ultimate_strength = Quantity("stress", "5 MPa", "4000 MPa", "ultimate strength in tension", required=True)
    yield_strength = Quantity("stress", "5 MPa", "4000 MPa", "yield strength in tension", required=True)
    fatigue_strength = Quantity("stress", "2 MPa", "2000 MPa", "fatigue strength for a load that reverses fully, smooth", required=True)


@dataclass(frozen=True)
class HotStrength:
    """Strengths of a material at a temperature [Pa]; not a number where they are not known, and then `lacking` says what would help.

    fatigue : for a load that reverses fully, on a smooth bar
    local_yield : at the surface, where a hardened layer is stronger than the core
    spread : how far strengths may be off, either way [1]
    wanted : factors of safety by method, "fatigue", "yield" and "bearing" [1]; wanted_row : where they come from
    """

    material: str
    ultimate: FloatArray
    tensile_yield: FloatArray
    fatigue: FloatArray
    local_yield: FloatArray
    elastic_modulus: float
    spread: float
    wanted: Mapping[str, Any]
    wanted_row: Row
    life: str
    exposure: str
    source: str
    lacking: str

    @property
    def known(self) -> BoolArray:
        """Where all three strengths are known."""
        return np.isfinite(self.ultimate) & np.isfinite(self.tensile_yield) & np.isfinite(self.fatigue)

    def arrays(self, change: Callable[[FloatArray], FloatArray]) -> HotStrength:
        """With every strength changed by a function."""
        return replace(
            self,
            ultimate=change(self.ultimate),
            tensile_yield=change(self.tensile_yield),
            fatigue=change(self.fatigue),
            local_yield=change(self.local_yield),
        )


def hot_strength(
    material: str, temperature: FloatArray, field: str, exposure: str = "long", own: Mapping[str, Any] | None = None
) -> HotStrength:
    """Strengths of a material of the reference table at a temperature.

    Piston alloys have a series of each strength by exposure; steels keep a share of what they have cold, the fatigue strength as the
    ultimate (J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, temperature factor of the endurance limit).

    material : a key of the materials table
    temperature : array [K]
    field : the request's field of the temperature, for the advice
    exposure : "long" or "short", of a piston alloy
    own : the caller's own strengths [Pa]

    >>> found = hot_strength("2618", np.array([473.15, 900.0]), "temperatures.crown")
    >>> round(float(found.ultimate[0]) / 1e6), round(float(found.fatigue[0]) / 1e6, 1), found.known.tolist()
    (280, 93.5, [True, False])
    >>> hot_strength("2618", np.array([900.0]), "temperatures.crown").lacking
    'strength of 2618 is known from 20 to 350 degC and is not guessed beyond: give temperatures.crown within, or strengths.crown'
    """
    row, rows = table("materials").row(material), table("strength")
    steel = rows.row("steel_hot")
    is_steel = material in steel.values["materials"]
    wanted = rows.row("factor_steel" if is_steel else f"factor_{material}")
    factors = {"fatigue": wanted.si("fatigue"), "yield": wanted.si("yield"), "bearing": rows.row("factor_bearing").si("yield")}
    at = np.asarray(temperature, dtype=np.float64)
    modulus = row.si("elastic_modulus")
    if own is not None:
        ultimate, tensile_yield, fatigue = (own[name] + 0.0 * at for name in ("ultimate_strength", "yield_strength", "fatigue_strength"))
        word = "as the caller's"
        return HotStrength(
            material, ultimate, tensile_yield, fatigue, tensile_yield, modulus, 0.0, factors, wanted, word, word, "the request", ""
        )
    if is_steel:
        knots = steel.series("temperatures")
        ratio, known = strength_at_temperature(at, knots, steel.series("ratios"))
        ultimate, tensile_yield, fatigue = (ratio * row.si(name) for name in ("ultimate", "yield", "fatigue"))
        local_yield = ratio * row.si("layer_yield") if row.has("layer_yield") else tensile_yield
        life, exposed = rows.row("fatigue_life").word("steel"), steel.word("exposure")
        source, spread = f"{row.source}; at temperature: {steel.source}", rows.row("steel_spread").si("spread")
    else:
        hot = table("hot_strength").row(f"{material}_{exposure}")
        knots = hot.series("temperatures")
        (ultimate, known), (tensile_yield, _), (fatigue, _) = (
            strength_at_temperature(at, knots, hot.series(name)) for name in ("ultimate", "yield", "fatigue")
        )
        local_yield = tensile_yield
        life, exposed, source, spread = hot.word("life"), hot.word("exposure"), f"{hot.source}", hot.si("spread")
    lacking = "" if known.flat[0] else _beyond(material, knots, field)
    return HotStrength(
        material, ultimate, tensile_yield, fatigue, local_yield, modulus, spread, factors, wanted, life, exposed, source, lacking
    )


def _beyond(material: str, knots: list[float], field: str) -> str:
    low, high = knots[0] - 273.15, knots[-1] - 273.15
    told = f"strength of {material} is known from {low:.0f} to {high:.0f} degC and is not guessed beyond: give {field} within"
    return f"{told}, or {field.replace('temperatures', 'strengths')}"
