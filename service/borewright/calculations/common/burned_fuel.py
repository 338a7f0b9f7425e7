"""The fuel of a request: what burns, how cold it makes the charge, and its octane number in the engine."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Basis, Outcome
from borewright.calculations.common.engine_kind import EngineKind
from borewright.physics.arrays import FloatArray
from borewright.physics.gas import fuel as fuels
from borewright.physics.gas.octane import octane_number
from borewright.practice.tables import Row, table

MOTOR_SHARE = {"ron": 0.0, "aki": 0.5, "mon": 1.0}
CHARGE_HEAT_CAPACITY = 1050.0
"""Of air with fuel vapor at the port [J/(kg·K)]: from memory, J. B. Heywood, 1988, ch. 4."""

COLDEST = -60.0
"""Least rise of the charge on its way in [K]: colder, and the rest of the fuel stays liquid. Common practice, from memory."""


@dataclass(frozen=True)
class Octane:
    """A fuel's octane number in the engine, nominal and at the ends of what is not known of it.

    value : array [1]; bounds : name of the row of practice that is uncertain, with octane numbers at its low and high end
    """

    value: FloatArray
    bounds: Mapping[str, tuple[FloatArray, FloatArray]]


@dataclass(frozen=True)
class BurnedFuel:
    """What burns: the fuel of the cycle, the volume of each part, and heat of vaporization over the air it takes [J/kg].

    name : of its largest part
    """

    fuel: fuels.Fuel
    volumes: Mapping[str, float]
    cold: float

    @property
    def name(self) -> str:
        """The part there is most of."""
        return max(self.volumes, key=lambda name: self.volumes[name])

    @property
    def density(self) -> float:
        """Of the liquid [kg/m³], volumes added up."""
        return sum(share * table("fuels").row(name).si("density") for name, share in self.volumes.items())

    @property
    def alcohol(self) -> float:
        """Share of ethanol and methanol by volume."""
        return sum(share for name, share in self.volumes.items() if name != "gasoline")

    def mean(self, column: str, prefix: str) -> float:
        """A column of the table of knock, by volume."""
        return sum(share * table("knock").row(f"{prefix}_{name}").si(column) for name, share in self.volumes.items())


def sound_blend(given: Mapping[str, Any], outcome: Outcome) -> Mapping[str, Any]:
    """The fuel of a request with a blend that can be worked with; one beside a name or of nothing is marked.

    >>> outcome = Outcome({})
    >>> sound_blend({"blend": {"ethanol": 0}}, outcome)["blend"], outcome.impossible[0].pointer
    ({'gasoline': 1}, '#/fuel/blend')
    """
    if "blend" not in given:
        return given
    outcome.refuse_where("name" in given, "#/fuel/name", "blend says what burns: leave one of them out", Code.GIVEN_TWICE)
    empty = not any(given["blend"].values())
    outcome.refuse_where(empty, "#/fuel/blend", "a blend needs a part above zero: say what it is made of", Code.IMPOSSIBLE)
    return {**given, "blend": {"gasoline": 1} if empty else given["blend"]}


def burned_fuel(given: Mapping[str, Any], duty: Mapping[str, Any]) -> BurnedFuel:
    """The fuel of a request: a blend, a named one, or the one that the duty names.

    >>> burned_fuel({"blend": {"gasoline": 15, "ethanol": 85}}, {"fuel": "gasoline"}).fuel.name
    'gasoline 15 ethanol 85'
    >>> burned_fuel({}, {"fuel": "methanol"}).fuel is fuels.METHANOL
    True
    """
    parts = given.get("blend") or {given.get("name", duty["fuel"]): 1}
    return _blended(tuple(sorted((name, parts[name]) for name in parts if parts[name] > 0)))


@lru_cache(maxsize=256)
def _blended(parts: tuple[tuple[str, float], ...]) -> BurnedFuel:
    whole = sum(share for _, share in parts)
    rows = table("fuels")
    masses = {name: share / whole * rows.row(name).si("density") for name, share in parts}
    heat = sum(mass * rows.row(name).si("vaporization_heat") for name, mass in masses.items()) / sum(masses.values())
    volumes = {name: share / whole for name, share in parts}
    if len(parts) == 1:
        fuel = fuels.FUELS[parts[0][0]]
    else:
        moles = sum((mass * fuels.FUELS[name].moles for name, mass in masses.items()), np.zeros_like(fuels.ISOOCTANE.moles))
        words = " ".join(f"{name} {share:g}" for name, share in sorted(parts, key=lambda part: part[0] != "gasoline"))
        fuel = fuels.Fuel(words, moles / sum(masses.values()))
    return BurnedFuel(fuel, volumes, heat / fuels.stoichiometric_air_fuel_ratio(fuel))


def charge_heating(burned: BurnedFuel, kind: EngineKind, outcome: Outcome) -> FloatArray:
    """Rise of the charge on its way in [K]: what walls and ports give less what the fuel takes to evaporate.

    >>> from borewright.calculations.common.engine_kind import engine_kind
    >>> fuel = burned_fuel({}, {"fuel": "gasoline"})
    >>> kinds = [engine_kind({"injection": each}, {"service": "street"}, fuel.alcohol, Outcome({})) for each in ("port", "direct")]
    >>> [round(float(charge_heating(fuel, each, Outcome({}))[0]), 1) for each in kinds]
    [20.0, 5.0]
    """
    row, direct = table("cycle").row("charge_heating"), table("knock").row("direct_injection")
    extra = row.si("evaporated") * (burned.cold - _blended((("gasoline", 1),)).cold) / CHARGE_HEAT_CAPACITY
    value = row.si("heating") + kind.cooling.si("extra_heating") - extra
    source, basis = row.source, basis_of(row)
    if kind.injection == "direct":
        air = fuels.stoichiometric_air_fuel_ratio(burned.fuel)
        value -= direct.si("evaporated") * burned.cold * air / (1.0 + air) / CHARGE_HEAT_CAPACITY
        source = f"{source}; {direct.source}"
    found = np.array([max(value, COLDEST)])
    outcome.assumptions.append(Assumption("charge_heating", found, basis, source, "temperature_difference"))
    return found


def octane_in_the_engine(given: Mapping[str, Any], burned: BurnedFuel, kind: EngineKind, outcome: Outcome) -> Octane | None:
    """The octane number between RON and MON that counts in the engine, RON − K·S; None where the request rates no fuel.

    given : fuel of the request

    >>> from borewright.calculations.common.engine_kind import engine_kind
    >>> fuel = burned_fuel({}, {"fuel": "gasoline"})
    >>> kind = engine_kind({"injection": "carburetor"}, {"service": "street"}, 0.0, Outcome({}))
    >>> known = {"octane": {"ron": np.array([98.0]), "mon": np.array([88.0])}}
    >>> float(octane_in_the_engine(known, fuel, kind, Outcome({})).value[0])
    93.0
    """
    rating = given.get("octane")
    if rating is None:
        return None
    span_row = table("knock").row(f"sensitivity_{burned.name}")
    spans = {side: np.array([burned.mean(side, "sensitivity")]) for side in ("sensitivity", "sensitivity_low", "sensitivity_high")}
    both = "ron" in rating
    if both:
        known, share, span = rating["ron"], 0.0, rating["ron"] - rating["mon"]
        outcome.refuse_where(
            span < -5.0, "#/fuel/octane/mon", "MON lies more than 5 over RON, which no fuel's does: exchange them", Code.IMPOSSIBLE
        )
    else:
        known, share = rating["rating"], MOTOR_SHARE[rating["scale"]]
        span = assume(outcome, "octane.sensitivity", spans["sensitivity"], span_row)
    weight = kind.weight
    if "octane_weight" in given:
        weight, ends = given["octane_weight"], (given["octane_weight"],) * 2
    else:
        ends = (kind.weight_low, kind.weight_high)
        outcome.assumptions.append(Assumption("octane.motor_weight", weight, "common practice", kind.weight_source, "ratio"))
    value = octane_number(known, share, span, weight)
    told = "RON − K(RON − MON), from what was given and the assumptions above; the number of the reference fuel, isooctane and heptane"
    outcome.assumptions.append(Assumption("octane.number_in_the_engine", value, "derived", told, "ratio"))
    bounds = {}
    if "octane_weight" not in given:
        bounds["octane_weight"] = (octane_number(known, share, span, ends[0]), octane_number(known, share, span, ends[1]))
    if not both:
        low, high = (octane_number(known, share, spans[f"sensitivity_{side}"], weight) for side in ("low", "high"))
        bounds["sensitivity"] = (low, high)
    return Octane(value, bounds)


def basis_of(row: Row) -> Basis:
    """What a row of practice rests on, as an assumption names it.

    >>> basis_of(table("cycle").row("ambient"))
    'common practice'
    """
    return row.basis


def assume(outcome: Outcome, name: str, value: FloatArray, row: Row, kind: str = "ratio") -> FloatArray:
    """A value of a row of practice, listed among the assumptions.

    >>> outcome = Outcome({})
    >>> assume(outcome, "rod_ratio", np.array([1.6]), table("cycle").row("rod_length")).tolist(), outcome.assumptions[0].name
    ([1.6], 'rod_ratio')
    """
    outcome.assumptions.append(Assumption(name, value, basis_of(row), row.source, kind))
    return value
