"""Compression ratio of a cylinder as it stands, static and at intake closing."""

from __future__ import annotations

from typing import Any

from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Section
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Part, RequestPart
from borewright.calculations.base.outcome import Outcome
from borewright.calculations.common.duty import CylinderDutyPart
from borewright.calculations.common.engine import GeometryRequest
from borewright.calculations.common.geometry import compression_values, duty_check, gasket_bore_check, geometry, squish_check
from borewright.calculations.common.levers import SquishLimitsPart
from borewright.calculations.common.own_limits import RatioLimitsPart, refuse_crossed


class CompressionLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    squish = Part(SquishLimitsPart, "limits of squish")
    compression_ratio = Part(RatioLimitsPart, "limits of the compression ratio, whatever the duty")


class CompressionRequest(GeometryRequest):
    """What compression needs."""

    duty = Part(CylinderDutyPart, "what the engine is for: adds a check of the ratio against common practice")
    limits = Part(CompressionLimitsPart, "the caller's own limits, which replace those of common practice")


class ClearanceParts(AnswerPart):
    """What the clearance volume is made of."""

    chamber = Figure("volume", "chamber in the head")
    gasket = Figure("volume", "inside the gasket's opening")
    deck = Figure("volume", "between piston and deck; negative where the piston stands above")
    crown = Figure("volume", "recess less dome")
    top_land = Figure("volume", "crevice above the top ring")


class CompressionAnswer(Answer):
    """What compression answers."""

    compression_ratio = Figure("ratio", "(swept + clearance) / clearance")
    displacement = Figure("displacement", "volume swept by all cylinders")
    swept_volume = Figure("displacement", "volume swept by one piston")
    clearance_volume = Figure("volume", "volume left above the piston at its top")
    clearance_parts = Section(ClearanceParts, "what the clearance volume is made of")
    deck_clearance = Figure("length", "piston below the deck at its top; negative where it stands above")
    squish = Figure("length", "deck clearance and gasket thickness together; null where the thickness is not known", nullable=True)
    dynamic_compression_ratio = Figure(
        "ratio", "volume at intake closing over clearance volume; null where no rod length is given", nullable=True
    )


def compute(request: dict[str, Any]) -> Outcome:
    """Ratio (V_s + V_c)/V_c from the parts of the clearance volume."""
    outcome = Outcome({})
    found = geometry(request, outcome)
    outcome.values = compression_values(found, request.get("intake_closing"))
    limits = request.get("limits", {})
    refuse_crossed(limits, outcome)
    checks = [
        squish_check(found.deck_clearance, found.gasket_thickness, limits.get("squish"), request.get("duty")),
        gasket_bore_check(found.bore, request["gasket"]),
        duty_check(found.ratio, request.get("duty"), limits.get("compression_ratio")),
    ]
    outcome.checks = [check for check in checks if check is not None]
    return outcome


CALCULATION = Calculation(
    name="compression",
    title="Compression",
    question="What is the compression ratio as it stands?",
    text="The compression ratio of a cylinder as it stands, the parts of its clearance volume, squish, and the ratio from intake closing.",
    request=CompressionRequest,
    answer=CompressionAnswer,
    compute=compute,
    headline=("compression_ratio",),
    examples={
        "with tolerances": {
            "units": "inch",
            "bore": "3.892 in ± 0.0005 in",
            "stroke": "3.360 in",
            "cylinders": 8,
            "chamber_volume": "57 cm3 ± 0.5 cm3",
            "gasket": {"bore": "3.962 in", "thickness": "0.040 in ± 0.001 in"},
            "deck_clearance": "0.005 in ± 0.002 in",
            "crown": {"recess": "5 cm3 ± 0.3 cm3"},
        },
        "from the stack, to intake closing": {
            "bore": "84.3 mm",
            "stroke": "85.3 mm",
            "cylinders": 4,
            "chamber_volume": "41 cm3",
            "gasket": {"bore": "85.3 mm", "thickness": "1.1 mm"},
            "stack": {"deck_height": "215.5 mm", "rod_length": "142.35 mm", "compression_height": "30.3 mm"},
            "intake_closing": "60 deg",
            "duty": {"aspiration": "natural", "service": "street", "fuel": "gasoline"},
        },
    },
    sources=("J. B. Heywood, Internal Combustion Engine Fundamentals (1988), eqs. 2.1-2.6",),
    published=("test_slider_crank", "test_common_practice_compression"),
    batch=True,
    light=True,
)
