"""From a request to the oil film of a bearing: load, viscosity, and the thinnest film at a clearance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.physics.arrays import FloatArray
from borewright.physics.fits.journal_bearing import least_film, sommerfeld_number, viscosity_between
from borewright.physics.mechanism.piston_motion import peak_acceleration
from borewright.physics.stress.loads import gas_force
from borewright.practice.tables import table
from borewright.quantities import read_quantity

COOLER, HOTTER = (read_quantity(text, "temperature").value for text in ("100 degC", "150 degC"))
SHARE = {"rod": 1.0, "main": 0.5}
"""Of a throw's load, what one bearing beside it bears: a main at each side of the throw takes half."""


@dataclass(frozen=True)
class OilFilm:
    """What decides the film of every bearing but its clearance and diameter, in SI arrays."""

    width: FloatArray
    viscosity: FloatArray
    speed: FloatArray
    load: FloatArray

    def thinnest(self, diameter: FloatArray, clearance: FloatArray) -> FloatArray:
        """Thinnest film at a clearance on the diameter [m]; NaN where the journal does not go in."""
        return least_film(diameter, self.width, clearance, self.viscosity, self.speed, self.load)

    def answer(self, diameter: FloatArray, hot: FloatArray, growth: FloatArray, low: FloatArray, high: FloatArray) -> dict[str, Any]:
        """The film of one bearing.

        growth : what the clearance gains when hot
        low, high : cold clearances wanted
        """
        unit_load = self.load / (diameter * self.width)
        return {
            "peak_load": self.load,
            "unit_load": unit_load,
            "sommerfeld": sommerfeld_number(diameter, np.where(hot > 0, hot, np.nan), self.viscosity, self.speed, unit_load),
            "least_film": self.thinnest(diameter, hot),
            "at_low": self.thinnest(diameter, low + growth),
            "at_high": self.thinnest(diameter, high + growth),
        }


INPUTS = ("width", "oil", "running")


def oil_film(request: Mapping[str, Any], outcome: Outcome, journal_temperature: FloatArray) -> OilFilm | None:
    """What decides the films of a request; None where it lacks width, oil or load."""
    if not set(INPUTS) <= set(request):
        return None
    running = request["running"]
    return OilFilm(
        request["width"],
        _viscosity(request["oil"], outcome, journal_temperature),
        running["speed"],
        _load(request["kind"], running, outcome),
    )


def _viscosity(oil: Mapping[str, Any], outcome: Outcome, journal_temperature: FloatArray) -> FloatArray:
    if "viscosity" in oil:
        return np.asarray(oil["viscosity"])
    temperature = oil.get("temperature")
    if temperature is None:
        temperature = journal_temperature
        outcome.assumptions.append(
            Assumption("oil.temperature", temperature, "common practice", "the film is as hot as the journal", "temperature")
        )
    row = table("oils").row(oil["grade"])
    return viscosity_between(temperature, COOLER, row.si("viscosity_100"), HOTTER, row.si("viscosity_150"))


def _load(kind: str, running: Mapping[str, Any], outcome: Outcome) -> FloatArray:
    """The highest load: given, or the larger of gas force and inertia, neither helped by the other."""
    if "peak_load" in running:
        return np.asarray(running["peak_load"])
    speed, stroke = running["speed"], running["stroke"]
    gas = gas_force(running["peak_pressure"], running["bore"])
    pull = running["reciprocating_mass"] * peak_acceleration(stroke, running["rod_length"], speed)
    pull = pull + running["rotating_mass"] * speed**2 * stroke / 2.0
    if kind == "main":
        outcome.assumptions.append(
            Assumption("running.share", SHARE[kind], "derived", "a throw between two main bearings loads each with half")
        )
    highest: FloatArray = SHARE[kind] * np.maximum(gas, pull)
    return highest
