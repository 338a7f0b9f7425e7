"""From a geometry request to the volumes of a cylinder: used by every calculation that needs a compression ratio."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Check, Outcome
from borewright.calculations.common.defaults import part_or_default
from borewright.calculations.common.duty import squish_row
from borewright.calculations.common.engine import CrownPart
from borewright.calculations.common.linkage import refuse_other_rod, rod_that_turns
from borewright.calculations.common.rule_checks import rule_check
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.crank import bottom_angle, pin_height, piston_travel, top_angle, travel_extent
from borewright.physics.mechanism.volumes import annulus_volume, circle_area
from borewright.practice.tables import table
from borewright.rules.judging import outside
from borewright.rules.stack import BORE_TO_GASKET, SQUISH


@dataclass(frozen=True)
class Geometry:
    """One cylinder in SI arrays: what it sweeps, what stays, and where the piston stands.

    clearance : volume above the piston at its top [m³], the sum of its parts
    ratio : compression ratio (swept + clearance) / clearance [1]; its own sign check is the caller's
    squish : piston flat to head at top dead center [m], None where the gasket's thickness is not known
    """

    bore: FloatArray
    stroke: FloatArray
    cylinders: FloatArray
    rod_length: FloatArray | None
    pin_offset: FloatArray
    swept: FloatArray
    parts: Mapping[str, FloatArray]
    deck_clearance: FloatArray
    gasket_thickness: FloatArray | None
    clearance: FloatArray
    ratio: FloatArray
    squish: FloatArray | None


def gasket_volume(gasket: Mapping[str, Any]) -> FloatArray:
    """Volume inside a gasket's opening [m³], from its poured volume, its area or its bore.

    >>> round(float(gasket_volume({"bore": np.array([0.1]), "thickness": np.array([0.001])})[0] * 1e6), 4)
    7.854
    """
    if "volume" in gasket:
        return np.asarray(gasket["volume"])
    area = gasket["area"] if "area" in gasket else circle_area(gasket["bore"])
    return np.asarray(area * gasket["thickness"])


def stack_clearance(stroke: FloatArray, rod: FloatArray, offset: FloatArray, stack: Mapping[str, Any]) -> FloatArray:
    """Deck height less pin height at the piston's top less compression height [m].

    >>> stack = {"deck_height": np.array([0.2185]), "compression_height": np.array([0.033])}
    >>> round(float(stack_clearance(np.array([0.0853]), np.array([0.14235]), np.zeros(1), stack)[0]) * 1e3, 6)
    0.5
    """
    highest = pin_height(top_angle(stroke, rod, offset), stroke, rod, offset)
    return np.asarray(stack["deck_height"] - highest - stack["compression_height"])


def geometry(request: Mapping[str, Any], outcome: Outcome) -> Geometry:
    """Read the geometry of a request; what can't exist is refused in the outcome.

    request : the arrays of a GeometryRequest [SI]

    >>> sizes = {"bore": 0.1, "stroke": 0.09, "cylinders": 4.0, "chamber_volume": 70e-6, "deck_clearance": 0.0, "rod_length": 0.15}
    >>> build = {name: np.array([size]) for name, size in sizes.items()}
    >>> build |= {"gasket": {"bore": np.array([0.1]), "thickness": np.array([0.001])}}
    >>> found = geometry(build, Outcome({}))
    >>> round(float(found.ratio[0]), 4), round(float(found.squish[0]) * 1e3, 6)
    (10.0793, 1.0)
    """
    bore, stroke = request["bore"], request["stroke"]
    offset = request.get("pin_offset", np.zeros(1))
    stack = request.get("stack")
    rod = request.get("rod_length")
    refuse_other_rod(request, outcome)
    area = circle_area(bore)
    rod = stack["rod_length"] if stack is not None else rod
    if rod is None:
        outcome.refuse_where(
            offset != 0, "#/rod_length", "with a pin offset the rod length is needed to work out the travel: state it", Code.MISSING
        )
        travel, deck = stroke + 0.0 * offset, request["deck_clearance"]
    else:
        rod = rod_that_turns(stroke, rod, offset, "#/stack/rod_length" if stack is not None else "#/rod_length", outcome)
        travel = travel_extent(stroke, rod, offset)
        deck = request["deck_clearance"] if stack is None else stack_clearance(stroke, rod, offset, stack)
    crown, gasket, land = part_or_default(request, outcome, "crown", CrownPart), request["gasket"], request.get("top_land")
    zero = np.zeros(1)
    parts = {
        "chamber": request["chamber_volume"],
        "gasket": gasket_volume(gasket),
        "deck": area * deck,
        "crown": crown["recess"] - crown["dome"],
        "top_land": zero,
    }
    if land is not None:
        inner = outcome.possible(
            land["diameter"], land["diameter"] > bore, "#/top_land/diameter", "the top land can't be wider than the bore: check both sizes"
        )
        parts["top_land"] = annulus_volume(bore, inner, land["height"])
    swept, clearance, thickness = area * travel, sum(parts.values(), zero), gasket.get("thickness")
    ratio, squish = 1.0 + swept / clearance, None if thickness is None else deck + thickness
    found = Geometry(bore, stroke, request["cylinders"], rod, offset, swept, parts, deck, thickness, clearance, ratio, squish)
    _refuse_what_meets(found, request, outcome)
    return found


def _refuse_what_meets(found: Geometry, request: Mapping[str, Any], outcome: Outcome) -> None:
    blame = "#/stack/compression_height" if "stack" in request else "#/deck_clearance"
    if found.squish is not None:
        outcome.refuse_where(
            outside(found.squish, 0.0, None) > 0.0,
            blame,
            "the piston would stand inside the head: deck clearance and gasket thickness together are below zero: check both",
            Code.IMPOSSIBLE,
        )
    outcome.refuse_where(
        found.clearance <= 0,
        "#/chamber_volume",
        "nothing is left above the piston: chamber, gasket, deck and crown together make no volume: check them and their units",
        Code.IMPOSSIBLE,
    )
    outcome.refuse_where(
        (found.clearance > 0) & (found.ratio > 100),
        "#/chamber_volume",
        "a compression ratio above 100 can't be: check the volumes and their units",
        Code.IMPOSSIBLE,
    )


def dynamic_ratio(found: Geometry, intake_closing: FloatArray) -> FloatArray | None:
    """Volume at intake closing over clearance volume [1]; the angle counts from the piston's bottom [rad]. None without a rod length.

    Source: geometry; J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.4.

    >>> sizes = {"bore": 0.1, "stroke": 0.09, "cylinders": 4.0, "chamber_volume": 70e-6, "deck_clearance": 0.0, "rod_length": 0.15}
    >>> build = {name: np.array([size]) for name, size in sizes.items()}
    >>> build |= {"gasket": {"bore": np.array([0.1]), "thickness": np.array([0.001])}}
    >>> found = geometry(build, Outcome({}))
    >>> bool(dynamic_ratio(found, np.zeros(1))[0].round(9) == found.ratio[0].round(9))
    True
    """
    if found.rod_length is None:
        return None
    angle = bottom_angle(found.stroke, found.rod_length, found.pin_offset) + intake_closing
    depth = piston_travel(angle, found.stroke, found.rod_length, found.pin_offset)
    return np.asarray((found.clearance + circle_area(found.bore) * depth) / found.clearance)


def compression_values(found: Geometry, intake_closing: FloatArray | None = None) -> dict[str, Any]:
    """The results every compression answer gives, in SI arrays.

    >>> sizes = {"bore": 0.1, "stroke": 0.09, "cylinders": 4.0, "chamber_volume": 70e-6, "deck_clearance": 0.0, "rod_length": 0.15}
    >>> build = {name: np.array([size]) for name, size in sizes.items()}
    >>> build |= {"gasket": {"bore": np.array([0.1]), "thickness": np.array([0.001])}}
    >>> round(float(compression_values(geometry(build, Outcome({})))["displacement"][0]) * 1e6, 1)
    2827.4
    """
    values: dict[str, Any] = {
        "compression_ratio": found.ratio,
        "displacement": found.swept * found.cylinders,
        "swept_volume": found.swept,
        "clearance_volume": found.clearance,
        "clearance_parts": dict(found.parts),
        "deck_clearance": found.deck_clearance,
        "squish": found.squish,
    }
    if intake_closing is not None:
        values["dynamic_compression_ratio"] = dynamic_ratio(found, intake_closing)
    return values


def squish_check(
    deck_clearance: FloatArray,
    gasket_thickness: FloatArray | None,
    limits: Mapping[str, Any] | None = None,
    duty: Mapping[str, Any] | None = None,
) -> Check:
    """Judge the squish against common practice, or against the caller's own limits; unknown without the gasket's thickness.

    >>> squish_check(np.zeros(1), np.array([1e-3])).judge(), squish_check(np.zeros(1), None).missing
    ('pass', ('#/gasket/thickness',))
    """
    return rule_check(
        SQUISH, {"deck_clearance": deck_clearance, "gasket.thickness": gasket_thickness}, SQUISH.limit(limits, squish_row(duty))
    )


def gasket_bore_check(bore: FloatArray, gasket: Mapping[str, Any]) -> Check:
    """Judge whether the gasket's opening clears the bore.

    >>> gasket_bore_check(np.array([0.1]), {"volume": np.array([8e-6])}).missing
    ('#/gasket/bore',)
    >>> gasket_bore_check(np.array([0.1]), {"area": np.array([0.0078])}).judge()
    'fail'
    """
    return rule_check(
        BORE_TO_GASKET,
        {"bore": bore, **{f"gasket.{name}": gasket.get(name) for name in ("bore", "area")}},
        BORE_TO_GASKET.limit(),
    )


def duty_check(ratio: FloatArray, duty: Mapping[str, Any] | None, limits: Mapping[str, Any] | None = None) -> Check | None:
    """Judge the compression ratio against the caller's limits, else against common practice for the duty; None without either.

    >>> duty_check(np.array([10.0]), None) is None
    True
    >>> duty_check(np.array([10.0]), {"aspiration": "natural", "fuel": "gasoline"}).soft
    True
    """
    if limits:
        told = "the ratio must lie within the caller's own limits: detonation-margin says what the fuel stands"
        return Check("compression-for-duty", "ratio", ratio, limits.get("low"), limits.get("high"), told, "caller", "the request")
    if duty is None:
        return None
    fuel = duty["fuel"]
    row = table("compression").row(f"diesel_{duty['aspiration']}" if fuel == "diesel" else duty["aspiration"])
    if fuel == "diesel":
        reason = "below it a cold engine does not start by itself, above it the peak pressure runs away: as its maker has it"
        low, high = row.si("ratio_low"), row.si("ratio_high")
        return Check("compression-for-duty", "ratio", ratio, low, high, reason, "common practice", row.source, soft=True)
    if fuel != "gasoline":
        reason = f"common practice names no range for {fuel}: ask detonation-margin"
        return Check("compression-for-duty", "ratio", None, None, None, reason, "common practice", row.source)
    reason = "above it pump fuel tends to knock, below it power is left on the table: detonation-margin works it out"
    return Check(
        "compression-for-duty", "ratio", ratio, row.si("ratio_low"), row.si("ratio_high"), reason, "common practice", row.source, soft=True
    )
