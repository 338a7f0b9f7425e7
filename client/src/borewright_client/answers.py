"""The shapes of the answers, named as in the OpenAPI document.

Generated from the calculations: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from typing import Literal

from borewright_client._measured import Measured
from borewright_client._model import Model
from borewright_client._types import Answer, Check
from borewright_client._words import Verdict

__all__ = [
    "AirCorrectionAnswer",
    "AssemblyFitAnswer",
    "BearingClearanceAnswer",
    "BearingRow",
    "BenchVolumesAnswer",
    "BoostLimitedBy",
    "BoreCleanupAnswer",
    "CamTiming",
    "ChamberAnswer",
    "CleanupSizeAnswer",
    "ClearanceParts",
    "ClearanceRange",
    "ClosestAnswer",
    "CombinationAnswer",
    "CombinationResults",
    "CompressionAnswer",
    "CompressionRatioLimitReach",
    "CompressionStateAnswer",
    "CompressionTargetAnswer",
    "CostBand",
    "CrankBalanceAnswer",
    "CrownFound",
    "CrownsAnswer",
    "CutAnswer",
    "CycleGain",
    "CylinderGapPart",
    "CylinderRow",
    "CylinderSpreadAnswer",
    "DetonationMarginAnswer",
    "DisplacementAnswer",
    "DriverAnswer",
    "ExchangeAnswer",
    "Film",
    "Finding",
    "FuelAirSupplyAnswer",
    "Gain",
    "GainBand",
    "GasketsAnswer",
    "GiveAnswer",
    "HindcastAnswer",
    "HoldoutAnswer",
    "HoneAnswer",
    "InsteadAnswer",
    "JudgedPartAnswer",
    "JudgedPartsAnswer",
    "LeastShakeAnswer",
    "LengthSpread",
    "LeverSideEffect",
    "LeversAloneAnswer",
    "Lifter",
    "LimitedBy",
    "LimitsWithout",
    "LoadPointAnswer",
    "LoadsAnswer",
    "MassSpread",
    "Missing",
    "Name",
    "NearestAnswer",
    "NitrousLimitedBy",
    "OctaneBand",
    "OctaneBandScale",
    "OctaneReach",
    "Of",
    "Operation",
    "OperationAnswer",
    "PairAnswer",
    "Part",
    "PartSelectionAnswer",
    "PartsAnswer",
    "PeakPressureLimitedBy",
    "PeakPressuresAnswer",
    "PinFitAnswer",
    "PlaceAnswer",
    "PlanAnswer",
    "PowerGainAnswer",
    "PressureBand",
    "PrimaryVectorsAnswer",
    "Pushrod",
    "RatingBand",
    "RatingBandScale",
    "RatioBand",
    "RatioSpread",
    "RecessRow",
    "RetardBand",
    "Ring",
    "RingGapAnswer",
    "RingGapPart",
    "RockAnswer",
    "Rocker",
    "Rule",
    "SecondaryVectorsAnswer",
    "ShankAnswer",
    "ShellChoice",
    "SkirtClearanceAnswer",
    "SpeedAnswer",
    "SpinUp",
    "SpreadLeft",
    "State",
    "StrengthAnswer",
    "StressedPartAnswer",
    "SupplyInjectorAnswer",
    "SupplyJetAnswer",
    "SupplyPumpAnswer",
    "SupplyThrottleAnswer",
    "TakeOffAnswer",
    "ThrowAnswer",
    "Timing",
    "TracePointAnswer",
    "UnknownForceAnswer",
    "UnknownStrengthAnswer",
    "ValveClearanceAnswer",
    "ValveSide",
    "ValveState",
    "ValveTrainAnswer",
    "VectorsAnswer",
    "VolumeSpread",
    "WallPlaceAnswer",
    "WantedClearance",
    "Weakest",
    "What",
    "WornCylinderAnswer",
]

BoostLimitedBy = Literal[
    "crown",
    "top-land-bending",
    "top-land-shear",
    "second-land-bending",
    "second-land-shear",
    "pin-boss-bearing",
    "pin-bending",
    "pin-shear",
    "pin-ovalization",
    "pin-combined",
    "rod-tension",
    "rod-buckling",
    "rod-fatigue",
    "fuel",
]
CompressionRatioLimitReach = Literal["found", "over 13:1, past what was published", "under 5:1", "unknown"]
Finding = Literal["evens", "leaves", "unknown"]
LimitedBy = Literal["max", "squish", "chamber"]
LimitsWithout = Literal[
    "crown",
    "top-land-bending",
    "top-land-shear",
    "second-land-bending",
    "second-land-shear",
    "pin-boss-bearing",
    "pin-bending",
    "pin-shear",
    "pin-ovalization",
    "pin-combined",
    "rod-tension",
    "rod-buckling",
    "rod-fatigue",
]
Name = Literal[
    "crown",
    "top-land-bending",
    "top-land-shear",
    "second-land-bending",
    "second-land-shear",
    "pin-boss-bearing",
    "pin-bending",
    "pin-shear",
    "pin-ovalization",
    "pin-combined",
    "rod-tension",
    "rod-buckling",
    "rod-fatigue",
]
NitrousLimitedBy = Literal[
    "crown",
    "top-land-bending",
    "top-land-shear",
    "second-land-bending",
    "second-land-shear",
    "pin-boss-bearing",
    "pin-bending",
    "pin-shear",
    "pin-ovalization",
    "pin-combined",
    "rod-tension",
    "rod-buckling",
    "rod-fatigue",
    "fuel",
]
OctaneBandScale = Literal["octane index"]
OctaneReach = Literal["reference fuels", "performance numbers", "beyond the scale", "unknown"]
Of = Literal["force", "moment"]
Operation = Literal["bore", "small_end_hone", "deck_cut", "head_mill"]
Part = Literal["piston", "pin", "rings", "locks", "rod_small_end", "rod_big_end", "bearings"]
PeakPressureLimitedBy = Literal[
    "crown",
    "top-land-bending",
    "top-land-shear",
    "second-land-bending",
    "second-land-shear",
    "pin-boss-bearing",
    "pin-bending",
    "pin-shear",
    "pin-ovalization",
    "pin-combined",
    "rod-tension",
    "rod-buckling",
    "rod-fatigue",
]
RatingBandScale = Literal["ron", "mon", "aki"]
Ring = Literal["top", "second", "oil_rail"]
Rule = Literal[
    "bore",
    "duty-allowed",
    "top-land",
    "second-land",
    "bore-to-gasket-clearance",
    "head-bore",
    "pin-retention",
    "pin-fit",
    "pin-end-room",
    "journal-diameter",
    "journal-width",
    "counterweight-to-boss",
    "deck-clearance",
    "squish",
    "compression-target",
    "cost",
]
State = Literal["solved", "no quiet timing", "not solved"]
Timing = Literal["MBT timing", "given"]
Weakest = Literal[
    "crown",
    "top-land-bending",
    "top-land-shear",
    "second-land-bending",
    "second-land-shear",
    "pin-boss-bearing",
    "pin-bending",
    "pin-shear",
    "pin-ovalization",
    "pin-combined",
    "rod-tension",
    "rod-buckling",
    "rod-fatigue",
]
What = Literal["pistons", "rods", "pistons with their rods"]


class AirCorrectionAnswer(Answer):
    """What a correction of power answers."""

    factor: Measured
    """what the observed power is multiplied by"""
    corrected_power: Measured
    """power in the standard's air"""
    station_pressure: Measured
    """air pressure on the spot"""
    relative_humidity: Measured
    """relative humidity of the air"""
    dry_pressure: Measured
    """pressure of the air without its water vapor"""
    vapor_pressure: Measured
    """pressure of the water vapor"""
    air_density: Measured
    """density of the moist air"""
    density_altitude: Measured
    """geopotential altitude at which the 1976 standard atmosphere is as dense as this air"""


class RockAnswer(Model):
    """How the piston rocks in its clearance, with a stiff skirt: taper, barrel and give of the skirt make it less."""

    tilt: Measured
    """from the bore's axis, with all of the skirt in the bore"""
    tilt_at_bdc: Measured | None
    """at bottom dead center, guided by what is left in the bore; null where not known"""
    edge_rise: Measured
    """of the crown's higher edge, on the side that is further from the pin: what a dial indicator reads there"""
    crown_side: Measured
    """of the crown's edge across the bore, as it tips about the pin"""


class PinFitAnswer(Model):
    """How a pin fits its hole; below zero is interference."""

    value: Measured | None
    """hole less pin, on the diameter; null where one of them is not given"""
    wanted: Measured | None
    """middle of the range wanted; null where it is not known how the pin is to be held"""
    wanted_low: Measured | None
    """tightest fit wanted"""
    wanted_high: Measured | None
    """loosest fit wanted"""
    change: Measured | None
    """hone the hole larger by this much for the middle of the range; below zero the hole is too large"""
    hone_to: Measured | None
    """diameter of the hole that gives the middle of the range"""
    spread: Measured | None
    """how much the fit varies from pair to pair with pins made to IT5 and holes to IT6 of ISO 286-1; null outside 18 to 180 mm"""


class AssemblyFitAnswer(Answer):
    """What assembly-fit answers."""

    deck_clearance: Measured
    """piston below the deck at its top; negative where it stands above"""
    squish: Measured | None
    """deck clearance and gasket thickness together; null without the gasket"""
    rod_ratio: Measured
    """rod length over stroke"""
    mean_piston_speed: Measured | None
    """two strokes a turn; null without the speed"""
    peak_acceleration: Measured | None
    """largest acceleration of the piston in a turn; null without the speed"""
    skirt_exposed_at_bdc: Measured | None
    """how far the skirt's lower edge leaves the cylinder at the bottom; negative where it stays inside; null where not known"""
    skirt_in_bore_at_bdc: Measured | None
    """share of the skirt that is still in the cylinder at the bottom; null without its length"""
    original_skirt_in_bore_at_bdc: Measured | None
    """the same with the parts that came out; null where not known"""
    rock: RockAnswer | None
    """how the piston rocks; null without skirt clearance, skirt length and bore"""
    ring_pack_height: Measured | None
    """crown's edge to the lower side of the oil ring's groove; null where not known"""
    pin_to_ring_pack: Measured | None
    """between that and the top of the pin; below zero where its bore cuts the groove; null where not known"""
    counterweight_clearance: Measured | None
    """of boss and skirt, the nearer one, from the counterweights; null where unknown"""
    boss_counterweight_clearance: Measured | None
    """of the pin bosses alone; null where not known"""
    skirt_counterweight_clearance: Measured | None
    """of the skirt's lower edge alone; null where not known"""
    pin_fit_rod: PinFitAnswer
    """pin in the small end, for the retention wanted"""
    pin_fit_piston: PinFitAnswer
    """pin in the bosses"""
    pin_end_room: Measured | None
    """from each end of the pin, retainer included, to the wall; null where not known"""
    pin_boss_room: Measured | None
    """from each end of the pin, retainer included, to the boss's face; null where not known"""


class WantedClearance(Model):
    """A range of clearances on the diameter."""

    low: Measured
    """smallest"""
    high: Measured
    """largest"""


class ShellChoice(Model):
    """One of the shells on offer in one bearing."""

    name: str
    """what the shop calls them, or their undersize or wall"""
    thickness: Measured
    """wall at the crown"""
    clearance: Measured
    """oil clearance with them, on the journal as it is"""
    inside: bool
    """whether that lies in the range wanted"""
    journal_for_middle: Measured
    """diameter the journal is ground to for the middle of the range with them"""
    grind: Measured
    """what that takes off the journal's diameter; below zero the journal is too small for them"""


class Film(Model):
    """The oil film under the highest load, as a steady one."""

    peak_load: Measured
    """highest load over a cycle"""
    unit_load: Measured
    """load over the projected area"""
    sommerfeld: Measured | None
    """Sommerfeld number (D/C)²·μN/P at the hot clearance; null where none is left"""
    least_film: Measured | None
    """thinnest film at the hot clearance; null outside the widths that the solution holds for"""
    at_low: Measured | None
    """thinnest film were the bearing at the low end of the clearance wanted"""
    at_high: Measured | None
    """thinnest film were it at the high end"""


class BearingRow(Model):
    """One bearing."""

    name: str
    """name or number"""
    clearance: Measured
    """oil clearance on the diameter, cold, by the largest diameter of the journal"""
    hot_clearance: Measured
    """oil clearance at running temperatures"""
    wanted: WantedClearance
    """cold clearance wanted"""
    out_of_round: Measured | None
    """largest difference of two diameters at one place; null without readings"""
    taper: Measured | None
    """difference of the mean diameters of the places; null without two of them"""
    verdict: Verdict
    """how the clearance stands"""
    reason: str
    """why, and what to do"""
    choose: list[ShellChoice]
    """the shells on offer, those that suit first; empty without any"""
    film: Film | None
    """the oil film; null without width, oil and load"""


class BearingClearanceAnswer(Answer):
    """What bearing clearance answers."""

    bearings: list[BearingRow]
    """each bearing, in the order given"""
    tightest_clearance: Measured
    """smallest oil clearance of all, cold"""
    loosest_clearance: Measured
    """largest oil clearance of all, cold, by the smallest diameters of the journals"""
    hot_clearance: Measured
    """smallest oil clearance of all at running temperatures"""
    wanted: WantedClearance
    """cold clearance wanted of the first bearing"""
    least_film: Measured | None
    """thinnest oil film of all; null where it can't be known"""
    side_clearance: Measured | None
    """as measured; null where it was not"""
    end_float: Measured | None
    """as measured; null where it was not"""


class CrownFound(Model):
    """A crown as the other calculations take it."""

    recess: Measured
    """dish and valve reliefs, as far as they outweigh the dome"""
    dome: Measured
    """what stands above the flat, as far as it outweighs the recess"""


class RecessRow(Model):
    """One dish, or one kind of pocket."""

    volume: Measured
    """of all that are like it, below the flat"""
    depth: Measured
    """flat to its deepest place"""


class BenchVolumesAnswer(Answer):
    """What bench volumes answer."""

    crown_volume: Measured
    """recess less dome: by the pour where there is one, else by the sizes"""
    crown: CrownFound
    """the same, as the other calculations take it"""
    poured: Measured | None
    """recess less dome by the pour; null without one"""
    by_sizes: Measured | None
    """recess by the sizes; null without any"""
    dome_standing: Measured | None
    """all that stands above the flat, by pour and sizes; null without both"""
    dishes: list[RecessRow]
    """each dish, in the order given"""
    pockets: list[RecessRow]
    """each kind of pocket, in the order given"""


class WornCylinderAnswer(Model):
    """One cylinder."""

    cylinder: int
    """number of the cylinder"""
    out_of_round: Measured
    """largest difference between directions at one level"""
    taper: Measured
    """largest difference between levels in one direction"""
    largest: Measured
    """largest diameter read"""
    cleanup_diameter: Measured
    """smallest finished diameter that cleans it up"""
    smallest_size: Measured | None
    """smallest size on offer that cleans it up; null where none does"""
    bored: Measured
    """size that its wear is counted from: what it was last bored to"""
    bored_before: bool
    """whether it was bored or sleeved after the size named for it, so that its least worn level is taken"""


class WallPlaceAnswer(Model):
    """Where a wall is."""

    cylinder: int
    """number of the cylinder"""
    side: str
    """side of the cylinder"""


class CleanupSizeAnswer(Model):
    """One size on offer."""

    size: Measured
    """the finished bore"""
    oversize: Measured
    """over the nominal bore"""
    cleans_up: bool
    """whether it cleans every cylinder up, by the readings as they stand"""
    verdict: Verdict
    """watch where it cleans up only inside the gauge's tolerance"""
    holdouts: list[int]
    """cylinders it does not clean up"""
    uncertain: list[int]
    """cylinders whose clean-up hangs on the gauge's tolerance, either way: read them again"""
    thinnest_wall: Measured | None
    """thinnest wall left; null without wall readings"""
    thinnest_at: WallPlaceAnswer | None
    """where that wall is; null without wall readings"""


class HoldoutAnswer(Model):
    """A smaller size that a few cylinders alone stand against."""

    size: Measured
    """the size that the others clean up at"""
    cylinders: list[int]
    """the cylinders to sleeve for it"""
    saves: Measured | None
    """diameter saved against the smallest size without sleeves; null where no size on offer does"""


class BoreCleanupAnswer(Answer):
    """What bore-cleanup answers."""

    cylinders: list[WornCylinderAnswer]
    """each cylinder read"""
    sizes: list[CleanupSizeAnswer]
    """each size on offer, rising"""
    smallest_clean_size: Measured | None
    """smallest size that cleans every cylinder up; null if none"""
    smallest_certain_size: Measured | None
    """smallest size that does so whatever the gauge's tolerance hides; null if none"""
    holdout: list[int]
    """cylinders whose sleeving would save a size: those, at most half, that stand against the next smaller"""
    holdouts: list[HoldoutAnswer]
    """what sleeving a few cylinders would save, the next smaller size first"""


class ClearanceParts(Model):
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
    dynamic_compression_ratio: Measured | None
    """volume at intake closing over clearance volume; null where no rod length is given"""


class CompressionStateAnswer(Model):
    """The compression of one build, without what belongs to the answer as a whole."""

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
    dynamic_compression_ratio: Measured | None
    """volume at intake closing over clearance volume; null where no rod length is given"""


class LeverSideEffect(Model):
    """Something else that changes with a lever."""

    name: str
    """what changes"""
    value: Measured | None
    """by how much, or what it becomes; null where it is not known or has no figure"""
    text: str
    """what it means"""


class CutAnswer(Model):
    """Milling or decking alone."""

    feasible: bool
    """whether this lever alone reaches the target"""
    reached: Measured
    """compression ratio it reaches: the target, or as near as it gets"""
    reason: str | None
    """why no amount of it does; null where one does"""
    side_effects: list[LeverSideEffect]
    """what else changes with it, as far as it goes"""
    amount: Measured | None
    """what it alone would have to be, also past its limit; null where no cut does"""
    limit: Measured
    """how far it may go on this build"""
    limited_by: LimitedBy
    """what sets the limit"""


class GasketsAnswer(Model):
    """The gasket alone."""

    feasible: bool
    """whether this lever alone reaches the target"""
    reached: Measured
    """compression ratio it reaches: the target, or as near as it gets"""
    reason: str | None
    """why no amount of it does; null where one does"""
    side_effects: list[LeverSideEffect]
    """what else changes with it, as far as it goes"""
    amount: Measured | None
    """thickness that would hit the target with the opening of the present gasket; null where none does"""
    volume: Measured | None
    """volume inside the opening that would hit the target; null where none does"""
    best: str | None
    """the gasket on offer that comes nearest; null where none fits"""


class CrownsAnswer(Model):
    """The piston crown alone."""

    feasible: bool
    """whether this lever alone reaches the target"""
    reached: Measured
    """compression ratio it reaches: the target, or as near as it gets"""
    reason: str | None
    """why no amount of it does; null where one does"""
    side_effects: list[LeverSideEffect]
    """what else changes with it, as far as it goes"""
    amount: Measured | None
    """recess less dome that would hit the target; null where no crown holds it"""
    best: str | None
    """the crown on offer that comes nearest; null where none fits"""


class ChamberAnswer(Model):
    """The chamber volume alone."""

    feasible: bool
    """whether this lever alone reaches the target"""
    reached: Measured
    """compression ratio it reaches: the target, or as near as it gets"""
    reason: str | None
    """why no amount of it does; null where one does"""
    side_effects: list[LeverSideEffect]
    """what else changes with it, as far as it goes"""
    amount: Measured | None
    """chamber volume that would hit the target; null where none does"""
    limit: Measured
    """the end of the range on the target's side"""


class LeversAloneAnswer(Model):
    """Each lever of the request by itself."""

    head_mill: CutAnswer | None
    """milling the heads"""
    deck_cut: CutAnswer | None
    """cutting the decks"""
    gaskets: GasketsAnswer | None
    """another gasket"""
    crowns: CrownsAnswer | None
    """another crown"""
    chamber_volume: ChamberAnswer | None
    """another chamber volume"""
    crown_cut: CutAnswer | None
    """cutting the crowns"""


class PlanAnswer(Model):
    """One combination: what is done, and the compression that comes of it."""

    verdict: Verdict
    """How a check came out. Of several the worst counts: fail, watch, unknown, pass, in this order."""
    checks: list[Check]
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
    dynamic_compression_ratio: Measured | None
    """volume at intake closing over clearance volume; null where no rod length is given"""
    steps: list[str]
    """what is done"""
    operations: int
    """machining operations"""
    metal_removed: Measured
    """depths cut off heads and decks together; a chamber opened up counts as its depth over the bore"""
    head_mill: Measured
    """milled off each head"""
    deck_cut: Measured
    """cut off each deck"""
    crown_cut: Measured
    """cut into each crown"""
    cost: float | None
    """parts and work together, in the caller's currency; null where nothing is priced"""
    hours: Measured | None
    """time of the work; null where no hours are given"""
    gasket: str | None
    """gasket fitted; null where it stays"""
    crown: str | None
    """crown fitted; null where it stays"""
    chamber_volume: Measured
    """chamber volume after the work"""
    off_target: Measured
    """ratio less the target; of the dynamic ratio where that is asked for"""
    intake_face_cut: Measured | None
    """what must come off each intake face of a V engine, below zero where it opens; null where the gasket does not say"""
    intake_rail_cut: Measured | None
    """what must come off the manifold's end rails; null as the face cut"""


class CompressionTargetAnswer(Answer):
    """What compression-target answers."""

    feasible: bool
    """whether any plan reaches the target"""
    now: CompressionStateAnswer
    """the compression as it stands"""
    single: LeversAloneAnswer
    """each lever alone"""
    plans: list[PlanAnswer]
    """combinations that reach the target within the limits of squish: those that pass before those to watch, then fewest machining
    operations, then least metal, then closest, or by cost where that is asked for; empty if none does
    """
    cheapest: PlanAnswer | None
    """the plan of all that costs least, those that pass before those to watch; null without prices"""
    saving: float | None
    """what the cheapest costs less than the first plan, in the caller's currency; null without prices"""
    nearest: PlanAnswer | None
    """where no plan does, the combination that comes nearest, with what it fails"""


class LeastShakeAnswer(Model):
    """Balance factors that leave the least of the first order, with this angle between the banks."""

    of: Of
    """what shakes with the crank: its force, or its moment where the forces of the throws balance each other"""
    balance_factor: Measured
    """leaves the least of the largest in a turn, whichever way it points"""
    left: Measured
    """what that leaves, in units of one cylinder's primary force, times the spacing for a moment"""
    along: Measured
    """leaves the least along the engine's middle plane, and more across it"""
    across: Measured
    """leaves the least across the engine's middle plane, and more along it"""


class PrimaryVectorsAnswer(Model):
    """Two vectors turning at the crank's speed, in units of one cylinder's primary force, times the spacing for a moment."""

    forward: Measured
    """length of the one that turns with the crank, with nothing on the counterweights for it"""
    backward: Measured
    """length of the one that turns against it, which no counterweight on the crank can reach"""
    forward_left: Measured
    """what the counterweights leave of the forward one"""


class SecondaryVectorsAnswer(Model):
    """Two vectors turning at twice the crank's speed, in units of one cylinder's secondary force, times the spacing for a moment."""

    forward: Measured
    """length of the one that turns with the crank"""
    backward: Measured
    """length of the one that turns against it"""


class VectorsAnswer(Model):
    """The turning vectors behind the forces and moments."""

    primary_force: PrimaryVectorsAnswer
    """first-order force"""
    primary_moment: PrimaryVectorsAnswer
    """first-order moment about the middle of the crank"""
    secondary_force: SecondaryVectorsAnswer
    """second-order force"""
    secondary_moment: SecondaryVectorsAnswer
    """second-order moment about the middle of the crank"""


class ThrowAnswer(Model):
    """One cylinder of the layout."""

    cylinder: int
    """number, counted along the crank; of cylinders side by side the one whose bank leans back first"""
    throw_angle: Measured
    """where its throw points, in the direction of rotation from the first"""
    bore_angle: Measured
    """where its bore points, in the direction of rotation from the engine's middle plane"""
    position: Measured
    """where it stands along the crank, in spacings from the middle"""


class TakeOffAnswer(Model):
    """One part on the scale."""

    cylinder: int
    """number of the cylinder"""
    part: Part
    """which part"""
    mass: Measured
    """as weighed"""
    take_off: Measured
    """what it weighs more than the lightest of its like"""


class UnknownForceAnswer(Model):
    """Forces or moments that could not be calculated, and why."""

    name: str
    """the result"""
    reason: str
    """what would fill it"""


class CrankBalanceAnswer(Answer):
    """What balancing a crank answers. Forces and moments are the largest of a turn; moments are about the middle of the crank."""

    reciprocating: Measured
    """what goes up and down in one cylinder"""
    rotating: Measured
    """what turns with the pin, of one rod"""
    bob_weight: Measured
    """what to hang on each journal"""
    bob_weights_needed: bool
    """false where the throws balance each other, so that the bare crank is spun without bobweights"""
    primary_unit: Measured | None
    """first-order force of one cylinder, m·ω²·r"""
    secondary_unit: Measured | None
    """second-order force of one cylinder, m·ω²·r·(r/l)"""
    primary_force: Measured | None
    """first-order force of all cylinders, with only the rotating mass counterweighted"""
    primary_force_left: Measured | None
    """first-order force that is left with the counterweights at the balance factor"""
    primary_moment: Measured | None
    """first-order moment of all cylinders, with only the rotating mass counterweighted"""
    primary_moment_left: Measured | None
    """first-order moment that is left with the counterweights at the balance factor"""
    secondary_force: Measured | None
    """second-order force of all cylinders, which counterweights do not change"""
    secondary_moment: Measured | None
    """second-order moment of all cylinders, which counterweights do not change"""
    least_shake: LeastShakeAnswer | None
    """what the balance factor can do; null where the throws balance each other and it changes nothing"""
    vectors: VectorsAnswer
    """the turning vectors behind forces and moments"""
    throws: list[ThrowAnswer]
    """the layout in angles, cylinder by cylinder"""
    take_off: list[TakeOffAnswer]
    """each weighed part against the lightest of its like"""
    missing: list[UnknownForceAnswer]
    """results that are not in this answer"""


class CylinderRow(Model):
    """One cylinder."""

    cylinder: int
    """number of the cylinder"""
    compression_ratio: Measured
    """its compression ratio"""
    chamber_volume: Measured
    """its chamber"""
    deck_clearance: Measured
    """its piston below the deck at the top; negative where it stands above"""
    squish: Measured | None
    """deck clearance and gasket together; null where the gasket's thickness is not known"""
    clearance_volume: Measured
    """all that is left above its piston"""
    piston: Measured | None
    """its piston, as weighed; null where it was not"""
    top_gap: Measured | None
    """gap of its top ring; null where it was not measured"""
    second_gap: Measured | None
    """gap of its second ring; null where it was not measured"""
    open_chamber: Measured
    """to be ground out of its chamber, or off its crown, for the ratio of the lowest cylinder"""
    deck_cut: Measured
    """to come off the deck over it for the deck clearance of the least"""
    take_off: Measured | None
    """what its piston weighs more than the lightest; null where it was not weighed"""


class RatioSpread(Model):
    """A ratio over the cylinders."""

    lowest_cylinder: int
    """the cylinder that has the smallest"""
    highest_cylinder: int
    """the cylinder that has the largest"""
    lowest: Measured
    """the smallest"""
    highest: Measured
    """the largest"""
    spread: Measured
    """largest less smallest"""


class VolumeSpread(Model):
    """A volume over the cylinders."""

    lowest_cylinder: int
    """the cylinder that has the smallest"""
    highest_cylinder: int
    """the cylinder that has the largest"""
    lowest: Measured
    """the smallest"""
    highest: Measured
    """the largest"""
    spread: Measured
    """largest less smallest"""


class LengthSpread(Model):
    """A length over the cylinders that it is known of."""

    lowest_cylinder: int
    """the cylinder that has the smallest"""
    highest_cylinder: int
    """the cylinder that has the largest"""
    lowest: Measured
    """the smallest"""
    highest: Measured
    """the largest"""
    spread: Measured
    """largest less smallest"""


class MassSpread(Model):
    """A mass over the cylinders that it is known of."""

    lowest_cylinder: int
    """the cylinder that has the smallest"""
    highest_cylinder: int
    """the cylinder that has the largest"""
    lowest: Measured
    """the smallest"""
    highest: Measured
    """the largest"""
    spread: Measured
    """largest less smallest"""


class PlaceAnswer(Model):
    """Where one part goes."""

    cylinder: int
    """number of the cylinder"""
    takes_from: int
    """the cylinder whose part goes into it"""


class ExchangeAnswer(Model):
    """One way of exchanging parts between the cylinders; weights aside."""

    what: What
    """what is exchanged"""
    finding: Finding
    """whether it brings the ratios nearer together; unknown where a cylinder leaves out a size that is needed"""
    places: list[PlaceAnswer]
    """the exchange that leaves the least spread of the ratio; empty where it is unknown"""
    moved: int | None
    """parts that change their cylinder; null where it is unknown"""
    ratio_spread: Measured | None
    """largest less smallest compression ratio after it; null where it is unknown"""
    deck_spread: Measured | None
    """largest less smallest deck clearance after it; null where it is unknown"""
    missing: list[str]
    """the sizes that would make it known"""


class SpreadLeft(Model):
    """The spread of the ratio that one piece of work leaves."""

    chambers: Measured
    """with every chamber opened to the largest"""
    decks: Measured
    """with every piston brought as near to its deck as the nearest"""
    crowns: Measured
    """with every crown as the one that leaves most room"""
    all: Measured
    """with all three, from what the bores leave"""


class CylinderSpreadAnswer(Answer):
    """What cylinder spread answers."""

    cylinders: list[CylinderRow]
    """each cylinder, in the order given"""
    ratio: RatioSpread
    """compression ratio over the cylinders"""
    chamber: VolumeSpread
    """chambers over the cylinders"""
    deck: LengthSpread
    """deck clearances over the cylinders"""
    piston: MassSpread | None
    """pistons on the scale; null where fewer than two were weighed"""
    top_gap: LengthSpread | None
    """gaps of the top rings; null where fewer than two were measured"""
    second_gap: LengthSpread | None
    """gaps of the second rings; null where fewer than two were measured"""
    exchange: list[ExchangeAnswer]
    """what exchanging pistons, rods, or both between the cylinders would leave, before any metal is cut: advice, no part of the checks"""
    left: SpreadLeft
    """the spread of the ratio that each piece of work leaves"""


class OctaneBand(Model):
    """Octane number, as a band, and its scale."""

    low: Measured | None
    """the low end of what it may be; null where it is not known"""
    value: Measured | None
    """octane number; null where it is not known"""
    high: Measured | None
    """the high end of what it may be; null where it is not known"""
    scale: OctaneBandScale
    """RON − K(RON − MON): the number of the reference fuel that knocks alike in the engine"""


class RatingBand(Model):
    """Octane rating, as a band, and its scale."""

    low: Measured | None
    """the low end of what it may be; null where it is not known"""
    value: Measured | None
    """octane rating; null where it is not known"""
    high: Measured | None
    """the high end of what it may be; null where it is not known"""
    scale: RatingBandScale
    """the scale that the request rates its fuel on"""


class PressureBand(Model):
    """Pressure, as a band."""

    low: Measured | None
    """the low end of what it may be; null where it is not known"""
    value: Measured | None
    """pressure; null where it is not known"""
    high: Measured | None
    """the high end of what it may be; null where it is not known"""


class RetardBand(Model):
    """Retard from MBT timing, as a band."""

    low: Measured | None
    """the low end of what it may be; null where it is not known"""
    value: Measured | None
    """retard from MBT timing; null where it is not known"""
    high: Measured | None
    """the high end of what it may be; null where it is not known"""


class CostBand(Model):
    """Share of the power lost, as a band."""

    low: Measured | None
    """the low end of what it may be; null where it is not known"""
    value: Measured | None
    """share of the power lost; null where it is not known"""
    high: Measured | None
    """the high end of what it may be; null where it is not known"""


class RatioBand(Model):
    """Compression ratio, as a band."""

    low: Measured | None
    """the low end of what it may be; null where it is not known"""
    value: Measured | None
    """compression ratio; null where it is not known"""
    high: Measured | None
    """the high end of what it may be; null where it is not known"""


class SpeedAnswer(Model):
    """The engine at one speed of its range, at full load."""

    speed: Measured
    """of the crank"""
    volumetric_efficiency: Measured
    """how it fills there"""
    boost: Measured
    """above ambient"""
    octane_required: Measured | None
    """octane index at MBT timing; null where not known"""
    octane_margin: Measured | None
    """available less required; null where not known"""
    retard_required: Measured | None
    """retard from MBT timing; null where no timing is quiet"""
    peak_pressure: Measured | None
    """at MBT timing, absolute; null where not known"""


class DriverAnswer(Model):
    """One thing that the model does not know, and what it does to the octane margin."""

    name: str
    """the uncertain input"""
    text: str
    """what it is"""
    share: float
    """share of the margin's variance, 0 to 1"""
    low_end: Measured
    """change of the margin at the low end of the input"""
    high_end: Measured
    """change of the margin at its high end"""
    source: str
    """where its range comes from"""


class TracePointAnswer(Model):
    """The cylinder at one crank angle."""

    crank: Measured
    """after firing top dead center"""
    pressure: Measured
    """absolute"""
    end_gas_temperature: Measured | None
    """of the last of the charge to burn; null once it has"""
    knock_integral: Measured | None
    """reaches 1 where the end gas ignites by itself; null once it has burned"""


class DetonationMarginAnswer(Answer):
    """What detonation-margin answers; bands are what the model may be off by, tolerances come on top within each figure."""

    state: State
    """whether the cycle could be solved, and a timing found at which this fuel stays quiet"""
    worst_speed: Measured | None
    """where over the range of speeds the octane margin is least; null where not known"""
    octane_required: OctaneBand
    """octane requirement: what the engine needs at maximum brake torque (MBT) timing, at the worst speed"""
    octane_available: OctaneBand
    """the fuel's octane number in the engine, RON − K(RON − MON)"""
    octane_margin: OctaneBand
    """available less required at MBT timing, at the worst speed"""
    rating_required: RatingBand
    """rating on the request's own scale at which nothing would be left of the margin"""
    octane_reach: OctaneReach
    """how far the octane scale carries the number required: up to 100 reference fuels are blended to it, above it counts performance
    numbers, and beyond 120.3 there is no such fuel and the number is only a comparison
    """
    knock_limited: bool
    """whether the fuel asks for later timing than MBT at any speed of the range"""
    peak_pressure: PressureBand
    """highest pressure in the cylinder at MBT timing over the range, absolute"""
    peak_pressure_angle: Measured | None
    """where it stands, after top dead center; null where not known"""
    allowed_peak_pressure: Measured | None
    """highest pressure at the timing the fuel allows; null where not known"""
    retard_required: RetardBand
    """retard from MBT timing until the end gas stays quiet, at the speed that asks for most; 0 where MBT timing does"""
    retard_cost: CostBand
    """power that the retard costs there"""
    retard_allowed: Measured
    """retard that is normal in this kind of engine, or the request's limit: the limits below are stated at it"""
    compression_ratio_limit: RatioBand
    """knock-limited: the fuel just stands that retard at every speed; build to its low end; null above 13, and where not known:
    compression_ratio_limit_reach says which
    """
    compression_ratio_limit_reach: CompressionRatioLimitReach
    """whether the value was found: past 13:1 no octane requirement over compression was published that the model could be held to, and
    what it gives there is bold; the low end holds where it is not null
    """
    compression_ratio_limit_speed: Measured | None
    """the speed at which knock sets it; null where not known"""
    boost_limit: PressureBand
    """boost at which the fuel just stands that retard at every speed, above ambient; its low end is what to set; 0 where none is left,
    null above 300 kPa
    """
    boost_limit_speed: Measured | None
    """the speed at which knock sets it; null where not known"""
    by_speed: list[SpeedAnswer]
    """the engine over its range, the speed asked among them"""
    drivers: list[DriverAnswer]
    """what drives the band of the octane margin, largest first"""
    trace: list[TracePointAnswer]
    """the cycle at the timing the fuel allows, at MBT timing where none is quiet"""


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


class SupplyInjectorAnswer(Model):
    """What an injector has to deliver."""

    flow: Measured
    """of one held open at its rated pressure, on gasoline, for the power at the duty cycle allowed"""
    volume_flow: Measured
    """the same as volume"""
    duty_cycle: Measured | None
    """share of the time that the injector there is stays open; null where none is given"""
    power_limit: Measured | None
    """power that the injectors there are feed at the duty cycle allowed"""


class SupplyJetAnswer(Model):
    """What a main jet has to be."""

    flow: Measured
    """fuel through one jet"""
    diameter: Measured
    """of its bore, to start from: richer first, then by plug or probe"""


class SupplyPumpAnswer(Model):
    """What a pump has to deliver."""

    wanted: Measured
    """at the pressure it works against, the usual reserve included"""


class SupplyThrottleAnswer(Model):
    """What the throttle has to be."""

    diameter: Measured
    """of each bore, for the usual pressure drop at full load"""
    drop: Measured | None
    """pressure drop of the throttle there is; null where none is given"""


class FuelAirSupplyAnswer(Answer):
    """What fuel-air-supply answers."""

    brake_specific_fuel_consumption: Measured
    """fuel for the power at full load"""
    air_fuel_ratio: Measured
    """mass of air for the fuel at the mixture asked"""
    fuel_flow: Measured
    """fuel for the power"""
    fuel_volume_flow: Measured
    """the same as volume"""
    air_flow: Measured
    """air for the power"""
    air_volume_flow: Measured
    """the same as volume, in the air before the throttle"""
    injector: SupplyInjectorAnswer | None
    """null where no injectors are asked"""
    jet: SupplyJetAnswer | None
    """null where no jets are asked"""
    pump: SupplyPumpAnswer
    """the fuel pump"""
    throttle: SupplyThrottleAnswer | None
    """null where no throttle is asked"""


class PartsAnswer(Model):
    """The parts of a combination, by their ids."""

    crank: str
    """id of the crankshaft"""
    rod: str
    """id of the rods"""
    piston: str
    """id of the pistons"""
    gasket: str
    """id of the gaskets"""
    head: str
    """id of the heads"""


class JudgedPartAnswer(Model):
    """One part of a list, judged with the others on offer."""

    id: str
    """its id in the list"""
    fits: bool
    """whether a combination with it keeps every limit"""
    verdict: Verdict
    """the verdict of its best combination; fail where none fits"""
    combinations: int
    """combinations with it that fit"""
    best: PartsAnswer | None
    """the best combination with it, by its ids; null where none fits"""
    compression_ratio: Measured | None
    """compression ratio of that combination; null where none fits"""
    rule: str | None
    """where it does not fit, the check that the nearest combination with it breaks first; else null"""
    reason: str | None
    """why it does not fit, or what its best combination is watched for; null where it passes"""
    nearest: PartsAnswer | None
    """where it does not fit, the combination with it that came nearest, by its ids; else null"""
    check: Check | None
    """that rule of that combination, with its value and limits; null where it passes"""


class JudgedPartsAnswer(Model):
    """Every part of the lists, in their order."""

    cranks: list[JudgedPartAnswer]
    """the crankshafts"""
    rods: list[JudgedPartAnswer]
    """the rods"""
    pistons: list[JudgedPartAnswer]
    """the pistons"""
    gaskets: list[JudgedPartAnswer]
    """the head gaskets"""
    heads: list[JudgedPartAnswer]
    """the cylinder heads"""


class CombinationResults(Model):
    """What a combination comes to with its machining."""

    compression_ratio: Measured | None
    """(swept + clearance) / clearance; null where the parts can't exist together: the piston inside the head, or nothing left above it"""
    off_target: Measured | None
    """ratio less the target; null without a target, and null where the parts can't exist together: the piston inside the head, or
    nothing left above it
    """
    displacement: Measured
    """volume swept by all cylinders"""
    squish: Measured | None
    """deck clearance and gasket thickness together; null where the thickness is not known, and null where the parts can't exist
    together: the piston inside the head, or nothing left above it
    """
    deck_clearance: Measured | None
    """piston below the deck at its top; negative where it stands above; null where the parts can't exist together: the piston inside the
    head, or nothing left above it
    """
    bore: Measured
    """finished bore"""
    swept_volume: Measured
    """volume swept by one piston"""
    clearance_volume: Measured | None
    """volume left above the piston at its top; null where the parts can't exist together: the piston inside the head, or nothing left
    above it
    """
    chamber_volume: Measured
    """chamber in the head after milling"""
    rod_ratio: Measured
    """rod length over stroke"""


class OperationAnswer(Model):
    """One machining operation."""

    operation: Operation
    """which operation"""
    amount: Measured | None
    """metal taken off, bore and small end on the diameter; null where small end or pin is not given"""
    price: float
    """its price for the whole engine, in the caller's currency"""


class CombinationAnswer(Model):
    """One combination of parts with its machining."""

    parts: PartsAnswer
    """the parts, by their ids"""
    steps: list[str]
    """the machining in words"""
    operations: int
    """machining operations"""
    cost: float
    """parts and machining together, in the caller's currency"""
    results: CombinationResults
    """what it comes to, over the tolerances of its own parts"""
    verdict: Verdict
    """the worst of its checks"""
    machining: list[OperationAnswer]
    """each operation with its amount and price"""
    checks: list[Check]
    """each rule with its value and limits"""


class InsteadAnswer(Model):
    """A field of the request, and what it would say instead: one of the others is not null."""

    pointer: str
    """the field in the request: a JSON pointer (RFC 6901) behind a #"""
    length: Measured | None
    """its length"""
    area: Measured | None
    """its area"""
    volume: Measured | None
    """its volume"""
    price: float | None
    """its price, in the caller's currency"""
    words: list[str]
    """its list of words; empty where it is none"""


class GiveAnswer(Model):
    """One rule that a combination breaks: by how much, and what would have to give."""

    rule: Rule
    """the rule that is broken"""
    length: Measured | None
    """by how much, where the rule is on a length"""
    ratio: Measured | None
    """by how much, where the rule is on the compression ratio"""
    price: float | None
    """by how much, where the rule is on the cost"""
    what: str
    """what would have to give"""
    follows: bool
    """whether it is kept as things are, and would only be broken once the others are kept"""
    instead: list[InsteadAnswer]
    """what fields of this combination's parts would say instead to keep the rule: parts of these sizes would do, others may; empty where
    what another rule says keeps this one too, or where no size of one part would
    """


class NearestAnswer(Model):
    """The combination that came nearest, with the machining that brings it as near as it gets."""

    parts: PartsAnswer
    """the parts, by their ids"""
    steps: list[str]
    """the machining in words"""
    operations: int
    """machining operations"""
    cost: float
    """parts and machining together, in the caller's currency"""
    results: CombinationResults
    """what it comes to, over the tolerances of its own parts"""
    verdict: Verdict
    """the worst of its checks"""
    machining: list[OperationAnswer]
    """each operation with its amount and price"""
    checks: list[Check]
    """each rule with its value and limits"""
    gives: list[GiveAnswer]
    """every rule that it breaks, those after it that it would then break, and what would have to give"""
    then_fits: bool
    """whether it fits with everything that gives says instead, typed back into the request"""
    reach_low: Measured | None
    """lowest compression ratio its machining reaches; null where the parts can't exist together: the piston inside the head, or nothing
    left above it
    """
    reach_high: Measured | None
    """highest compression ratio its machining reaches; null where it can cut to nothing, and null where the parts can't exist together:
    the piston inside the head, or nothing left above it
    """


class ClosestAnswer(Model):
    """Of the combinations that a rule turned away, the one it turned away by the least."""

    rule: Rule
    """the rule that is broken"""
    length: Measured | None
    """by how much, where the rule is on a length"""
    ratio: Measured | None
    """by how much, where the rule is on the compression ratio"""
    price: float | None
    """by how much, where the rule is on the cost"""
    what: str
    """what would have to give"""
    follows: bool
    """whether it is kept as things are, and would only be broken once the others are kept"""
    instead: list[InsteadAnswer]
    """what fields of this combination's parts would say instead to keep the rule: parts of these sizes would do, others may; empty where
    what another rule says keeps this one too, or where no size of one part would
    """
    parts: PartsAnswer
    """its parts, by their ids"""


class PartSelectionAnswer(Answer):
    """What part-selection answers."""

    parts: JudgedPartsAnswer | None
    """every part of the lists, judged; null without each_part"""
    choices: list[CombinationAnswer]
    """the best choices in the order preferred; empty where nothing fits"""
    considered: int
    """combinations that the lists make"""
    fitting: int
    """combinations that fit"""
    rejected: dict[str, int]
    """combinations that do not fit, by the first rule that each of them breaks"""
    nearest: NearestAnswer | None
    """where nothing fits, the combination that came nearest; else null"""
    closest: list[ClosestAnswer]
    """where nothing fits, for each rule the combination it turned away by the least, nearest first"""


class Gain(Model):
    """One estimate of the gain."""

    gain: Measured | None
    """share of the baseline power gained; negative is a loss"""
    power_gain: Measured | None
    """power gained"""
    power: Measured | None
    """power after the change"""
    torque_gain: Measured | None
    """torque gained at the speed of each state; null where no speed is given"""
    torque: Measured | None
    """torque after the change; null where no speed is given"""


class CycleGain(Model):
    """The gain by the cylinder cycle, at the timing the fuel allows."""

    gain: Measured | None
    """share of the baseline power gained; negative is a loss"""
    power_gain: Measured | None
    """power gained"""
    power: Measured | None
    """power after the change"""
    torque_gain: Measured | None
    """torque gained at the speed of each state; null where no speed is given"""
    torque: Measured | None
    """torque after the change; null where no speed is given"""
    knock_limited: bool
    """whether the fuel asks for later timing than MBT after the change"""
    knock_limited_before: bool
    """whether it did before"""
    gain_low: Measured | None
    """gain at the low end of fuel, friction, breathing and what the cycle is good for"""
    gain_high: Measured | None
    """gain at their high end"""
    gain_at_mbt: Measured | None
    """gain if the fuel stood MBT timing before and after"""
    retard_before: Measured | None
    """from MBT timing, before the change"""
    retard_after: Measured | None
    """from MBT timing, after it"""


class GainBand(Model):
    """The estimate as a band."""

    low: Gain
    """the smallest of the methods, the cycle's own low end included"""
    value: Gain
    """the cycle's gain; where there is none the median of the methods"""
    high: Gain
    """the largest of the methods, the cycle's own high end included"""


class SpinUp(Model):
    """What the engine's own moving masses take while it gains speed."""

    rate: Measured
    """speed gained in a second"""
    inertia_before: Measured
    """of all moving masses, at the crank, before the change"""
    inertia_after: Measured
    """of all moving masses, at the crank, after it"""
    power_before: Measured
    """power that they take, before the change"""
    power_after: Measured
    """power that they take, after it"""
    power_freed: Measured
    """power that reaches the clutch besides, while the speed rises; at a steady speed there is none"""
    torque_freed: Measured
    """the same as torque"""


class Missing(Model):
    """A result that could not be calculated, and why."""

    name: str
    """the result"""
    reason: str
    """why, and what would fill it"""


class PowerGainAnswer(Answer):
    """What power-gain answers."""

    practice: Gain | None
    """4 % of power a point of compression, boost by the manifold's pressure, nitrous oxide as sold, common practice; the air by SAE
    J1349; null where the states differ in what these can't see
    """
    air_standard: Gain | None
    """ratio of the cold-air Otto efficiencies, γ = 1.4; null where more than compression changes"""
    fuel_air: Gain | None
    """ratio of the fuel-air cycle efficiencies, real gas and dissociation: an upper bound on what is indicated; null as above"""
    cycle: CycleGain | None
    """ratio of the powers at the crank by the cylinder cycle; null where the engine is not given"""
    estimate: GainBand | None
    """band over the methods that apply"""
    torque_before: Measured | None
    """torque before the change; null where no speed is given"""
    spin_up: SpinUp | None
    """the power that lighter parts free while the engine gains speed; null where it is not asked"""
    missing: list[Missing]
    """results that are not in this answer"""


class RingGapPart(Model):
    """The gap of one ring."""

    practice_gap: Measured
    """cold gap by common practice for the duty and the bore"""
    thermal_closure: Measured
    """how much of the gap the heat closes; negative where it opens"""
    butting_gap: Measured
    """cold gap at which the ends just meet when hot"""
    recommended_gap: Measured
    """the larger of practice and closure with margin; the second ring no tighter than the top"""


class CylinderGapPart(Model):
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
    cylinders: list[CylinderGapPart]
    """every gap that was measured"""


class ClearanceRange(Model):
    """A range of cold clearances."""

    low: Measured
    """smallest"""
    high: Measured
    """largest"""


class PairAnswer(Model):
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


class HoneAnswer(Model):
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
    clearance: Measured | None
    """cold clearance of the tightest piston to the metal of its skirt; needs a skirt"""
    clearance_over_coating: Measured | None
    """cold clearance of the tightest piston over its coating; needs a skirt"""
    pairing: list[PairAnswer]
    """the assignment that keeps the worst deviation from the middle smallest"""
    spare: list[int]
    """pistons that are left over where there are more than bores: those that would fit worse"""
    hone_to: list[HoneAnswer]
    """what each cylinder is honed to for its piston"""


class StressedPartAnswer(Model):
    """One part under one kind of stress; null where something is missing for it, and the reason says what."""

    name: Name
    """which part, and what it is stressed by"""
    stress: Measured | None
    """largest stress"""
    mean_stress: Measured | None
    """middle of the swing, tension above zero; null where fatigue does not decide"""
    alternating_stress: Measured | None
    """half of the swing; null where fatigue does not decide"""
    strength: Measured | None
    """ultimate, yield or buckling stress at the temperature, as the method asks"""
    fatigue_strength: Measured | None
    """for a reversed load, at the temperature, with surface and notch; null where not asked"""
    temperature: Measured
    """of the material there"""
    factor_of_safety: Measured | None
    """strength over load by the method, at the speed where it is nearest to the one wanted"""
    factor_wanted: Measured | None
    """factor of safety wanted, by the method and the material, or the caller's"""
    speed: Measured | None
    """the speed at which it is so"""
    factor_as_fuel_allows: Measured | None
    """the factor of safety at the timing the fuel allows; null without an octane number or where no timing is quiet"""
    verdict: Verdict
    """against the factor of safety wanted; unknown where the hindcast does not reach"""
    reason: str
    """why, and what to do"""
    method: str
    """how the factor of safety is found"""
    life: str | None
    """load cycles that the fatigue strength is stated for; null where fatigue does not decide"""
    exposure: str | None
    """how long the material is at temperature for the strength stated; null where no strength is"""
    source: str
    """where stress and strength come from"""
    load: Measured | None
    """largest load on it"""


class LoadPointAnswer(Model):
    """The forces at one crank angle, above zero toward the crank."""

    crank: Measured
    """crank angle after firing top dead center"""
    gas: Measured
    """cylinder pressure less the crankcase's on the bore's area"""
    inertia: Measured
    """of what goes up and down"""
    net: Measured
    """gas and inertia together"""


class ShankAnswer(Model):
    """The rod's shank as a strut."""

    area: Measured
    """of its section"""
    gyration_swing: Measured
    """radius of gyration for bending in the plane of motion"""
    gyration_side: Measured
    """radius of gyration for bending along the pin"""


class PeakPressuresAnswer(Model):
    """Peak pressure by timing, absolute."""

    mbt: Measured | None
    """at MBT timing, which parts are judged at; null where the pressure was given or no cycle could be calculated"""
    fuel_allows: Measured | None
    """at the timing the fuel allows; null without an octane number or where no timing is quiet"""


class HindcastAnswer(Model):
    """The engines that the model was held against: textbook proportions, at the pressures they live with."""

    reach: str
    """how far they reach"""
    inside: bool
    """whether this engine lies within"""
    outside: list[str]
    """what lies beyond; verdicts that would pass are unknown then"""


class UnknownStrengthAnswer(Model):
    """A result that could not be calculated, and why."""

    name: str
    """the result"""
    reason: str
    """why, and what would fill it"""


class LoadsAnswer(Model):
    """The largest loads of a cycle, above zero toward the crank; angles after firing top dead center."""

    peak_pressure: Measured | None
    """highest pressure in the cylinder, absolute"""
    peak_pressure_angle: Measured | None
    """where it stands; null where the pressure was given"""
    peak_gas: Measured | None
    """largest gas force on the piston"""
    peak_acceleration: Measured
    """of the piston, largest of a turn"""
    reciprocating_mass: Measured
    """piston, pin and the rod's share; without the last where it is not known"""
    peak_inertia: Measured
    """of the reciprocating mass, away from the crank, largest of a turn"""
    net_highest: Measured | None
    """largest net force; null where the pressure was given, as no angle goes with it"""
    net_highest_angle: Measured | None
    """where it stands"""
    net_lowest: Measured | None
    """smallest net force, pulling where below zero; null as the largest"""
    net_lowest_angle: Measured | None
    """where it stands"""


class StrengthAnswer(Answer):
    """What strength answers."""

    weakest: Weakest | None
    """the part with the smallest factor of safety of those that are known; null where none is"""
    least_factor: Measured | None
    """its factor of safety"""
    parts: list[StressedPartAnswer]
    """every part and kind of stress"""
    trace: list[LoadPointAnswer]
    """forces over the two turns of a cycle; empty where the pressure was given"""
    pin_closing: Measured | None
    """how much the gas presses the pin's diameter oval; null where material or load are not known"""
    rod_shank: ShankAnswer | None
    """the rod's shank; null where it is not given"""
    timing: Timing
    """the timing that the pressures are of which the parts are judged at"""
    peak_pressures: PeakPressuresAnswer
    """peak pressure at the speed asked, by timing"""
    peak_pressure_to_limit: Measured | None
    """peak pressure, absolute, at which the first part reaches the factor of safety wanted; low and high end as strengths may be off;
    null with a reason
    """
    peak_pressure_limited_by: PeakPressureLimitedBy | None
    """the part that sets it"""
    boost_to_limit: Measured | None
    """boost over ambient at which a part reaches the factor of safety wanted or the fuel is used up, all else as it is; low and high end
    as strengths, pressures and octane may be off: go by the low end; null with a reason
    """
    boost_limited_by: BoostLimitedBy | None
    """the part that sets it, or the fuel"""
    boost_limited_at: Measured | None
    """the speed at which it does"""
    nitrous_to_limit: Measured | None
    """nitrous oxide of the whole engine as a kit delivers it, at the speed asked, at which a part reaches the factor wanted or the fuel
    is used up, all else as it is; low and high end as for boost: go by the low end; null with a reason
    """
    nitrous_limited_by: NitrousLimitedBy | None
    """the part that sets it, or the fuel"""
    nitrous_limited_at: Measured | None
    """the speed at which it does"""
    limits_without: list[LimitsWithout]
    """parts that are not known, so that the limits do not count them"""
    not_judged: list[str]
    """what can break and is not in any figure here"""
    hindcast: HindcastAnswer
    """how far the engines reach that the model was held against"""
    missing: list[UnknownStrengthAnswer]
    """results that are null, each with its reason"""
    loads: LoadsAnswer
    """the largest loads of a cycle"""


class ValveState(Model):
    """One valve over its piston."""

    minimum: Measured
    """least clearance along the valve's axis; negative where they meet"""
    crank: Measured
    """crank angle at which it comes, after top dead center of the overlap"""
    radial: Measured | None
    """valve's edge to the wall of its relief, at the worst; null without the sizes"""
    verdict: Verdict
    """how it stands"""


class ValveSide(Model):
    """One valve after the machining asked for, and before it."""

    minimum: Measured
    """least clearance along the valve's axis; negative where they meet"""
    crank: Measured
    """crank angle at which it comes, after top dead center of the overlap"""
    radial: Measured | None
    """valve's edge to the wall of its relief, at the worst; null without the sizes"""
    verdict: Verdict
    """how it stands"""
    change: Measured
    """what the machining does to the clearance along the valve's axis"""
    room: Measured
    """how much more may come off head or deck until the limit is reached; negative where too much is off"""
    before: ValveState
    """as it stands now"""


class ValveClearanceAnswer(Answer):
    """What valve-clearance answers; a side without lift is null."""

    intake: ValveSide | None
    """the intake valve, after the machining asked for"""
    exhaust: ValveSide | None
    """the exhaust valve, after the machining asked for"""
    nearer_by: Measured
    """how much nearer the crown head and piston come, along the bore"""


class Pushrod(Model):
    """The pushrod after the work."""

    same_geometry: Measured
    """length that leaves rocker and lifter as they were"""
    change: Measured
    """how much shorter that is than the present one; below zero longer"""


class Lifter(Model):
    """The lifter after the work, with the pushrod that is fitted."""

    pressed: Measured
    """how much further it is pressed together; below zero it is let out"""
    preload: Measured | None
    """preload at the lifter; null for a solid one"""
    lash: Measured | None
    """lash at the valve until it is set again; null for a hydraulic one"""


class Rocker(Model):
    """The rocker after the work."""

    pivot_rise: Measured
    """how far the nut of a stud lets it up for the same preload; nothing on a fixed pivot"""
    sweep_before: Measured | None
    """way of its contact across the tip before the work; null without arm and lift"""
    sweep: Measured | None
    """the same after it; null without arm and lift"""


class CamTiming(Model):
    """The timing of an overhead cam after the work."""

    retard: Measured
    """how far the cam lags, in degrees of the crankshaft; below zero it leads"""
    at_cam: Measured
    """the same at the cam's sprocket"""


class ValveTrainAnswer(Answer):
    """What valve train answers."""

    nearer_by: Measured
    """how much nearer the crankshaft the head comes, along the bore"""
    pushrod: Pushrod | None
    """the pushrod; null without one"""
    lifter: Lifter | None
    """the lifter; null without pushrod, rocker and lifter"""
    rocker: Rocker | None
    """the rocker; null without one"""
    coil_bind_room: Measured | None
    """what the spring has left at full lift; null without spring and lift"""
    retainer_room: Measured | None
    """what the retainer has left above the seal at full lift; null without either"""
    cam: CamTiming | None
    """timing of an overhead cam; null without its drive"""
