"""Displacement of an engine from bore, stroke and number of cylinders."""

from __future__ import annotations

from typing import Any

from borewright.calculations.base.answers import Answer, Figure
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Request
from borewright.calculations.base.outcome import Outcome
from borewright.calculations.common.engine import bore, cylinders, stroke
from borewright.physics.mechanism.volumes import circle_area, displacement, swept_volume


class DisplacementRequest(Request):
    """What displacement needs."""

    bore = bore()
    stroke = stroke()
    cylinders = cylinders()


class DisplacementAnswer(Answer):
    """What displacement answers."""

    displacement = Figure("displacement", "volume swept by all cylinders")
    swept_volume = Figure("displacement", "volume swept by one piston")
    bore_area = Figure("area", "area of one bore")
    bore_stroke_ratio = Figure("ratio", "bore over stroke")


def compute(request: dict[str, Any]) -> Outcome:
    """Displacement π/4·B²·S·n."""
    diameter, length, count = request["bore"], request["stroke"], request["cylinders"]
    return Outcome(
        {
            "displacement": displacement(diameter, length, count),
            "swept_volume": swept_volume(diameter, length),
            "bore_area": circle_area(diameter),
            "bore_stroke_ratio": diameter / length,
        }
    )


CALCULATION = Calculation(
    name="displacement",
    title="Displacement",
    question="How much does the engine sweep?",
    text="The volume an engine sweeps, from its bore, its stroke and the number of its cylinders.",
    request=DisplacementRequest,
    answer=DisplacementAnswer,
    compute=compute,
    headline=("displacement",),
    examples={
        "an eight-cylinder in inches": {"units": "inch", "bore": "3.892 in ± 0.0005 in", "stroke": 3.36, "cylinders": 8},
        "a metric four": {"bore": "84.3 mm", "stroke": "85.3 mm", "cylinders": 4},
    },
    sources=("J. B. Heywood, Internal Combustion Engine Fundamentals (1988), section 2.2",),
    published=("test_displacement_open_data", "test_slider_crank"),
    batch=True,
    light=True,
)
