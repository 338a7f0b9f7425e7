"""The sections of a build sheet, each with the answer of its calculation.

Generated from the calculations: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from borewright_client import answers
from borewright_client._model import Model

__all__ = ["SheetSections"]


class SheetSections(Model):
    """A section is None where the build did not allow it."""

    air_correction: answers.AirCorrectionAnswer | None
    assembly_fit: answers.AssemblyFitAnswer | None
    bearing_clearance: answers.BearingClearanceAnswer | None
    bench_volumes: answers.BenchVolumesAnswer | None
    bore_cleanup: answers.BoreCleanupAnswer | None
    compression: answers.CompressionAnswer | None
    compression_target: answers.CompressionTargetAnswer | None
    crank_balance: answers.CrankBalanceAnswer | None
    cylinder_spread: answers.CylinderSpreadAnswer | None
    detonation_margin: answers.DetonationMarginAnswer | None
    displacement: answers.DisplacementAnswer | None
    fuel_air_supply: answers.FuelAirSupplyAnswer | None
    part_selection: answers.PartSelectionAnswer | None
    power_gain: answers.PowerGainAnswer | None
    ring_gap: answers.RingGapAnswer | None
    skirt_clearance: answers.SkirtClearanceAnswer | None
    strength: answers.StrengthAnswer | None
    valve_clearance: answers.ValveClearanceAnswer | None
    valve_train: answers.ValveTrainAnswer | None
