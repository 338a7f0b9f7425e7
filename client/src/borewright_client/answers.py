"""The shapes of the answers, named as in the OpenAPI document.

Generated from the calculations: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from typing import Literal, NotRequired, TypedDict

from borewright_client._types import Answer, Measured, Verdict

__all__ = [
    "ClearanceParts",
    "ClearanceRange",
    "CompressionAnswer",
    "CylinderGapPart",
    "DisplacementAnswer",
    "Gain",
    "GainBand",
    "HoneAnswer",
    "Missing",
    "PairAnswer",
    "PowerGainAnswer",
    "Ring",
    "RingGapAnswer",
    "RingGapPart",
    "SkirtClearanceAnswer",
]

Ring = Literal["top", "second", "oil_rail"]


class ClearanceParts(TypedDict):
    """What the clearance volume is made of."""

    chamber: Measured
    """chamber in the head"""
    gasket: Measured
    """inside the gasket's opening"""
    deck: Measured
    """between piston and deck; negative where the piston stands above"""
    crown: Measured
    """recess less dome"""
    top_land: Measured
    """crevice above the top ring"""


class CompressionAnswer(Answer):
    """What compression answers."""

    compression_ratio: Measured
    """(swept + clearance) / clearance"""
    displacement: Measured
    """volume swept by all cylinders"""
    swept_volume: Measured
    """volume swept by one piston"""
    clearance_volume: Measured
    """volume left above the piston at its top"""
    clearance_parts: ClearanceParts
    """what the clearance volume is made of"""
    deck_clearance: Measured
    """piston below the deck at its top; negative where it stands above"""
    squish: Measured | None
    """deck clearance and gasket thickness together; null where the thickness is not known"""
    dynamic_compression_ratio: NotRequired[Measured]
    """volume at intake closing over clearance volume; needs intake_closing and a rod length"""


class DisplacementAnswer(Answer):
    """What displacement answers."""

    displacement: Measured
    """volume swept by all cylinders"""
    swept_volume: Measured
    """volume swept by one piston"""
    bore_area: Measured
    """area of one bore"""
    bore_stroke_ratio: Measured
    """bore over stroke"""


class Gain(TypedDict):
    """One estimate of the gain."""

    gain: Measured
    """share of the baseline power gained; negative is a loss"""
    power_gain: Measured
    """power gained"""
    power: Measured
    """power after the change"""


class GainBand(TypedDict):
    """The estimate as a band."""

    low: Gain
    """the smallest of the methods"""
    value: Gain
    """the median of the methods"""
    high: Gain
    """the largest of the methods"""


class Missing(TypedDict):
    """A result that could not be worked out, and why."""

    name: str
    """the result"""
    reason: str
    """why, and what would fill it"""


class PowerGainAnswer(Answer):
    """What power-gain answers."""

    practice: Gain
    """4 % of power a point, common practice"""
    air_standard: Gain
    """ratio of the cold-air Otto efficiencies, γ = 1.4"""
    fuel_air: Gain
    """ratio of the fuel-air cycle efficiencies, real gas properties and dissociation: an upper bound"""
    estimate: GainBand
    """band over the methods"""
    missing: list[Missing]
    """results that are not in this answer"""


class RingGapPart(TypedDict):
    """The gap of one ring."""

    practice_gap: Measured
    """cold gap by common practice for the duty and the bore"""
    thermal_closure: Measured
    """how much of the gap the heat closes; negative where it opens"""
    butting_gap: Measured
    """cold gap at which the ends just meet when hot"""
    recommended_gap: Measured
    """the larger of practice and closure with margin; the second ring no tighter than the top"""


class CylinderGapPart(TypedDict):
    """One gap that was measured."""

    cylinder: int
    """number of the cylinder"""
    ring: Ring
    """which ring"""
    gap: Measured
    """the gap as measured"""
    verdict: Verdict
    """how it stands"""
    reason: str
    """why, and what to do"""
    file_off: Measured
    """what to file off the ends to reach the gap wanted; 0 where it is wide enough"""


class RingGapAnswer(Answer):
    """What ring gaps answer."""

    top: RingGapPart
    """the top ring"""
    second: RingGapPart
    """the second ring"""
    oil_rail: RingGapPart
    """the rails of the oil ring"""
    cylinders: NotRequired[list[CylinderGapPart]]
    """every gap that was measured"""


class ClearanceRange(TypedDict):
    """A range of cold clearances."""

    low: Measured
    """smallest"""
    high: Measured
    """largest"""


class PairAnswer(TypedDict):
    """One piston in its cylinder."""

    piston: int
    """number of the piston"""
    cylinder: int
    """number of the cylinder"""
    clearance: Measured
    """cold clearance to the metal of the skirt"""
    verdict: Verdict
    """how it stands"""
    reason: str
    """why, and what to do"""


class HoneAnswer(TypedDict):
    """What one cylinder is honed to."""

    cylinder: int
    """number of the cylinder"""
    diameter: Measured
    """bore that gives its piston the middle of the recommended clearance; the bore as it is where it is wider"""
    stock: Measured
    """what the hone takes off the diameter"""


class SkirtClearanceAnswer(Answer):
    """What skirt clearance answers."""

    recommended: ClearanceRange
    """cold clearance to the metal of the skirt for the alloy, the duty and the bore"""
    hot_clearance: Measured
    """what the tightest piston has left when hot; negative where the skirt is squeezed"""
    target_bore: Measured
    """bore that gives the largest skirt the middle of the recommended clearance"""
    clearance: NotRequired[Measured]
    """cold clearance of the tightest piston to the metal of its skirt; needs a skirt"""
    clearance_over_coating: NotRequired[Measured]
    """cold clearance of the tightest piston over its coating; needs a skirt"""
    pairing: NotRequired[list[PairAnswer]]
    """the assignment that keeps the worst deviation from the middle smallest"""
    hone_to: NotRequired[list[HoneAnswer]]
    """what each cylinder is honed to for its piston"""
