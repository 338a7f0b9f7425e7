"""What the cycle does not know of an engine, and how far it may be off either way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.state import RANGES, burn_duration
from borewright.practice.tables import table


@dataclass(frozen=True)
class FartherEnd:
    """An uncertain input at the end that lies farther off, as fields of the state [N], and how far either end lies on that way."""

    fields: Mapping[str, FloatArray]
    shares: tuple[float, float]


def farther_ends(columns: Mapping[str, FloatArray], residual: FloatArray, *, assumed: bool) -> dict[str, FartherEnd]:
    """The uncertain inputs of the cycle, by the name of their row.

    columns : fields of the states [N]
    residual : share of burned gas that stays behind [N]
    assumed : whether how the cylinder fills was guessed

    >>> from borewright.physics.cycle.state import CylinderState
    >>> from borewright.calculations.combustion.bands import spread
    >>> state = CylinderState(0.1, 0.09, 0.15, 10.0, 300.0)
    >>> found = farther_ends(spread(state)[0], np.array([0.05]), assumed=False)
    >>> found["charge_heating"].shares, round(float(found["charge_heating"].fields["charge_heating"][0]), 6)
    ((-0.5, 1.0), 40.0)
    """
    rows = table("cycle")

    def factors(row: str, name: str, value: FloatArray) -> FartherEnd:
        low, high = rows.row(row).si("factor_low"), rows.row(row).si("factor_high")
        return _inside({name: value * high}, ((low - 1.0) / (high - 1.0), 1.0))

    heating, half = rows.row("charge_heating"), rows.row("volumetric_efficiency").si("half_width")
    warmer, cooler = (heating.si(f"heating_{side}") - heating.si("heating") for side in ("high", "low"))
    duration = burn_duration(columns["stroke"] * columns["speed"] / np.pi)
    found = {
        "charge_heating": _inside({"charge_heating": columns["charge_heating"] + warmer}, (cooler / warmer, 1.0)),
        "residual_gas": factors("residual_gas", "residual_fraction", residual),
        "burn_duration": factors("burn_duration", "burn_duration", duration),
        "heat_transfer": factors("heat_transfer", "heat_transfer_factor", columns["heat_transfer_factor"]),
    }
    if assumed:
        found["volumetric_efficiency"] = _inside({"volumetric_efficiency": columns["volumetric_efficiency"] + half}, (-1.0, 1.0))
    if np.any(columns["nitrous_flow"] > 0.0):
        row, share = rows.row("nitrous_evaporated"), columns["nitrous_evaporated"]
        nominal = float(np.max(share))  # 0.2 of the table; the farther end is all of it liquid, which can always be
        low, high = row.si("share_low") - nominal, row.si("share_high") - nominal
        found["nitrous_evaporated"] = _inside({"nitrous_evaporated": np.full_like(share, row.si("share_low"))}, (1.0, high / low))
    return found


def _inside(moved: Mapping[str, FloatArray], shares: tuple[float, float]) -> FartherEnd:
    """Kept within what the cycle takes."""
    return FartherEnd({name: np.clip(value, RANGES[name][0], RANGES[name][1]) for name, value in moved.items()}, shares)
