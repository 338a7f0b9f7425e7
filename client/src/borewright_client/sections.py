"""The sections of a build sheet, each with the answer of its calculation.

Generated from the calculations: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from typing import TypedDict

from borewright_client import answers

__all__ = ["SheetSections"]

# A section is there where the build allowed it.
SheetSections = TypedDict(
    "SheetSections",
    {
        "air-correction": answers.AirCorrectionAnswer,
        "assembly-fit": answers.AssemblyFitAnswer,
        "bearing-clearance": answers.BearingClearanceAnswer,
        "bore-cleanup": answers.BoreCleanupAnswer,
        "compression": answers.CompressionAnswer,
        "compression-target": answers.CompressionTargetAnswer,
        "crank-balance": answers.CrankBalanceAnswer,
        "detonation-margin": answers.DetonationMarginAnswer,
        "displacement": answers.DisplacementAnswer,
        "part-selection": answers.PartSelectionAnswer,
        "power-gain": answers.PowerGainAnswer,
        "ring-gap": answers.RingGapAnswer,
        "skirt-clearance": answers.SkirtClearanceAnswer,
        "strength": answers.StrengthAnswer,
        "valve-clearance": answers.ValveClearanceAnswer,
    },
    total=False,
)
