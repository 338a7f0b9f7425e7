"""What goes into requests: the shapes of objects, named as in the OpenAPI document, and the words.

Generated from the calculations: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from collections.abc import Sequence
from typing import Literal, NotRequired, TypedDict

from borewright_client._types import Quantity

__all__ = [
    "AfterPart",
    "Alloy",
    "AmbientPart",
    "Aspiration",
    "Aspirations",
    "AssemblyBlockPart",
    "AssemblyCrankPart",
    "AssemblyLimitsPart",
    "AssemblyPistonPart",
    "AssemblyRodPart",
    "BalanceLimitsPart",
    "BearingLimitsPart",
    "BearingPart",
    "BearingTemperaturesPart",
    "BeforePart",
    "BenchPart",
    "BlendPart",
    "BoostChangePart",
    "BoostDrive",
    "BoostLevelPart",
    "BoostPart",
    "BoreMaterial",
    "BoreReadingPart",
    "BoredPart",
    "BoringPart",
    "CamDriveDrive",
    "CamDrivePart",
    "Camshaft",
    "CandidateCrankPart",
    "CandidateGasketPart",
    "CandidateHeadPart",
    "CandidatePistonPart",
    "CandidateRodPart",
    "Centring",
    "ChamberRangePart",
    "CleanupLimitsPart",
    "ClearanceRangePart",
    "CoatingMeasured",
    "CompressionLimitsPart",
    "Cooling",
    "CorrectionLimitsPart",
    "CrankCylinderPart",
    "CrankThrowPart",
    "CrownCutPart",
    "CrownPart",
    "CrownPourPart",
    "CurvePointPart",
    "CutPart",
    "CylinderDutyFuel",
    "CylinderDutyPart",
    "CylinderPart",
    "CylinderSpreadLimitsPart",
    "DeckCutPart",
    "DetonationLimitsPart",
    "DirectionPart",
    "DishPart",
    "DutyChangePart",
    "DutyFuel",
    "DutyPart",
    "Exposure",
    "FitLimitsPart",
    "FittedGasketPart",
    "FuelChangePart",
    "FuelPart",
    "FuelPumpPart",
    "GapLimitsPart",
    "GapRangePart",
    "GasketPart",
    "Grade",
    "GroovesPart",
    "HeadMillPart",
    "HeadMilledPart",
    "HighestAnglePart",
    "HighestPressurePart",
    "HighestStressPart",
    "HousingMaterial",
    "HousingPart",
    "Injection",
    "InjectorsPart",
    "JetsPart",
    "JournalPart",
    "JournalReadingPart",
    "Kind",
    "Layout",
    "LeastClearancePart",
    "LeastLengthPart",
    "LeastOctaneMarginPart",
    "LengthLimitsPart",
    "LengthSpreadPart",
    "LevelReadingPart",
    "LeverLimitsPart",
    "LeversPart",
    "LiftPart",
    "LifterPart",
    "MassSpreadPart",
    "MassesPart",
    "MeasuredGapsPart",
    "MostLengthPart",
    "MostRetardPart",
    "Mounting",
    "MovingPart",
    "Name",
    "NamedCrownPart",
    "NamedGasketPart",
    "NitrousChangePart",
    "NitrousPart",
    "OctanePart",
    "OfferedShellPart",
    "OilPart",
    "OilRailPart",
    "OriginalPart",
    "OwnStrengthPart",
    "PinRetention",
    "PinRetentions",
    "PistonSpreadPart",
    "PocketPart",
    "PourPart",
    "PowerLimitsPart",
    "Prefer",
    "PushrodPart",
    "RadialPart",
    "RadialsPart",
    "RankBy",
    "RatioLimitsPart",
    "RatioSpreadPart",
    "ReliefPart",
    "RingTemperaturesPart",
    "RingsPart",
    "RockerPart",
    "RodShankPart",
    "RunningPart",
    "Scale",
    "SecondRingPart",
    "SelectionBlockPart",
    "SelectionLimitsPart",
    "SelectionMachiningPart",
    "Service",
    "Services",
    "Shape",
    "ShellPart",
    "SkirtLimitsPart",
    "SkirtReadingPart",
    "SkirtTemperaturesPart",
    "SmallEndHonePart",
    "SpeedLimitsPart",
    "SpeedsPart",
    "SpinUpPart",
    "SpringPart",
    "SquishLimitsPart",
    "StackChangePart",
    "StackPart",
    "Standard",
    "StrengthLimitsPart",
    "StrengthPinMaterial",
    "StrengthPinPart",
    "StrengthPistonPart",
    "StrengthRodMaterial",
    "StrengthRodPart",
    "StrengthTemperaturesPart",
    "StrengthsPart",
    "SuppliedFuelPart",
    "SupplyAmbientPart",
    "TargetCompressionPart",
    "ThrottlePart",
    "TopLandPart",
    "TopRingMaterial",
    "TopRingPart",
    "ValveAnglesPart",
    "ValveDropsPart",
    "ValveLimitsPart",
    "ValveTrainLimitsPart",
    "VolumeSpreadPart",
    "WallPart",
    "WantedRetention",
    "WearLimitPart",
    "WeighedPart",
]

Alloy = Literal["2618", "4032", "hypereutectic", "cast_eutectic"]
Aspiration = Literal["natural", "boost", "nitrous"]
Aspirations = Literal["natural", "boost", "nitrous"]
BoostDrive = Literal["exhaust", "crank"]
BoreMaterial = Literal["gray_iron", "ductile_iron", "ductile_iron_annealed", "aluminum_356", "plated_aluminum"]
CamDriveDrive = Literal["chain", "belt"]
Camshaft = Literal["block", "overhead"]
Centring = Literal["original", "follow_wear"]
CoatingMeasured = Literal["over", "under"]
Cooling = Literal["liquid", "air"]
CylinderDutyFuel = Literal["gasoline", "ethanol", "methanol", "diesel"]
DutyFuel = Literal["gasoline", "ethanol", "methanol"]
Exposure = Literal["long", "short"]
Grade = Literal["sae_20", "sae_30", "sae_40", "sae_50", "sae_60"]
HousingMaterial = Literal[
    "gray_iron",
    "ductile_iron",
    "ductile_iron_annealed",
    "aluminum_356",
    "plated_aluminum",
    "steel_4340",
    "steel_4140",
    "steel_1040",
    "steel_4340_540",
    "steel_38mnvs6",
    "steel_c70",
]
Injection = Literal["port", "direct", "carburetor"]
Kind = Literal["main", "rod"]
Layout = Literal[
    "single",
    "inline-2-360",
    "inline-2-180",
    "inline-3",
    "inline-4",
    "inline-5",
    "inline-6",
    "inline-8",
    "v2-45",
    "v2-90",
    "v4-90",
    "v6-60",
    "v6-90-common-pin",
    "v6-90-split-pin",
    "v8-90-cross-plane",
    "v8-90-flat-plane",
    "v10-90",
    "v12-60",
    "opposed-2",
    "flat-4",
    "flat-6",
]
Mounting = Literal["fixed", "stud"]
Name = Literal["gasoline", "ethanol", "methanol"]
PinRetention = Literal["press", "floating"]
PinRetentions = Literal["press", "floating"]
Prefer = Literal["operations", "cost", "closeness"]
RankBy = Literal["work", "cost"]
Scale = Literal["ron", "mon", "aki"]
Service = Literal["street", "sport", "race"]
Services = Literal["street", "sport", "race"]
Shape = Literal["flat", "spherical"]
Standard = Literal["sae-j1349", "iso-1585", "din-70020", "sae-j607"]
StrengthPinMaterial = Literal[
    "steel_4340",
    "steel_4140",
    "steel_16mncr5",
    "steel_17cr3",
    "steel_31crmov9",
    "steel_52100",
    "steel_h13",
    "steel_4340_540",
]
StrengthRodMaterial = Literal["steel_4340", "steel_4140", "steel_1040", "steel_4340_540", "steel_38mnvs6", "steel_c70"]
TopRingMaterial = Literal["gray_iron", "ductile_iron", "ductile_iron_annealed", "stainless_440a", "steel_4140", "steel_1040"]
WantedRetention = Literal["press", "floating"]


class RatioLimitsPart(TypedDict):
    """The caller's own limits of a ratio."""

    low: NotRequired[Quantity]
    """smallest"""
    high: NotRequired[Quantity]
    """largest"""


class CorrectionLimitsPart(TypedDict):
    """The caller's own limits."""

    factor: NotRequired[RatioLimitsPart]
    """of the correction factor"""


class AssemblyBlockPart(TypedDict):
    """The block."""

    deck_height: Quantity
    """crank center line to deck"""
    cylinder_length: NotRequired[Quantity]
    """deck to the lower end of the cylinder"""


class AssemblyCrankPart(TypedDict):
    """The crankshaft."""

    stroke: Quantity
    """twice the crank throw"""
    counterweight_radius: NotRequired[Quantity]
    """largest radius of the counterweights from the crank's center line"""
    counterweight_gap: NotRequired[Quantity]
    """along the crank, between the counterweights on both sides of the rod: bosses narrower than this pass between them"""


class AssemblyRodPart(TypedDict):
    """The connecting rod."""

    length: Quantity
    """connecting rod, center to center"""
    small_end_bore: NotRequired[Quantity]
    """diameter of the small end, in its bush where it has one"""
    pin_retention: NotRequired[PinRetention]
    """how the rod holds the pin now"""
    wanted_retention: NotRequired[WantedRetention]
    """how it is to hold the pin; left out, as now"""


class GroovesPart(TypedDict):
    """The heights of a piston's ring grooves."""

    top: Quantity
    """of the top ring"""
    second: Quantity
    """of the second ring; 0 mm for a piston with two rings"""
    oil: Quantity
    """of the oil ring; 0 mm for a piston without one"""


class AssemblyPistonPart(TypedDict):
    """The piston with its pin."""

    compression_height: Quantity
    """pin center to the flat of the crown"""
    skirt_below_pin: NotRequired[Quantity]
    """pin center to the lower edge of the skirt"""
    boss_below_pin: NotRequired[Quantity]
    """pin center to the lowest point of the pin bosses"""
    pin_diameter: NotRequired[Quantity]
    """outer diameter of the pin"""
    pin_length: NotRequired[Quantity]
    """length of the pin"""
    pin_bore: NotRequired[Quantity]
    """diameter of the pin bore in the bosses"""
    width_at_boss: NotRequired[Quantity]
    """width of the piston along the pin, over the outer faces of the bosses"""
    retainer_thickness: NotRequired[Quantity]
    """room one pin retainer takes along the pin, end play included"""
    top_land: NotRequired[Quantity]
    """height of the top land, crown edge to the top ring's groove"""
    second_land: NotRequired[Quantity]
    """height of the second land, between the grooves of the two upper rings"""
    third_land: NotRequired[Quantity]
    """height of the third land, between the second ring's groove and the oil ring's"""
    grooves: NotRequired[GroovesPart]
    """the ring grooves: with the lands and the pin, whether all of it goes into the compression height"""
    skirt_length: NotRequired[Quantity]
    """upper end of the skirt's running surface to its lower edge"""


class FittedGasketPart(TypedDict):
    """A head gasket as compressed, of which the thickness matters here."""

    thickness: Quantity
    """thickness as compressed; 0 mm where the head seats without one"""
    bore: NotRequired[Quantity]
    """diameter of the gasket's opening; with the bore of the cylinder it is checked"""
    area: NotRequired[Quantity]
    """area of the opening, instead of its diameter"""
    volume: NotRequired[Quantity]
    """volume inside the opening; taken as part of the gasket, nothing here needs it"""


class OriginalPart(TypedDict):
    """What came out of the same block, to compare the guidance of the piston with; what is left out was as it is now."""

    stroke: Quantity
    """twice the crank throw"""
    rod_length: NotRequired[Quantity]
    """connecting rod, center to center"""
    skirt_below_pin: NotRequired[Quantity]
    """pin center to the lower edge of the skirt"""
    skirt_length: NotRequired[Quantity]
    """upper end of the skirt's running surface to its lower edge"""


class CylinderDutyPart(TypedDict):
    """Aspiration, service and fuel, of engines that ignite by themselves too."""

    aspiration: NotRequired[Aspiration]
    """how the engine gets its air (default 'natural')"""
    service: NotRequired[Service]
    """how hard it is used (default 'street')"""
    fuel: NotRequired[CylinderDutyFuel]
    """a fuel of the reference table, or diesel (default 'gasoline')"""


class LengthLimitsPart(TypedDict):
    """The caller's own limits of a length."""

    low: NotRequired[Quantity]
    """smallest"""
    high: NotRequired[Quantity]
    """largest"""


class SquishLimitsPart(TypedDict):
    """The caller's own limits of squish."""

    low: NotRequired[Quantity]
    """tightest squish"""
    high: NotRequired[Quantity]
    """widest squish"""


class SpeedLimitsPart(TypedDict):
    """The caller's own limits of a speed."""

    low: NotRequired[Quantity]
    """smallest"""
    high: NotRequired[Quantity]
    """largest"""


class FitLimitsPart(TypedDict):
    """The caller's own range of a fit; below zero is interference."""

    low: Quantity
    """tightest fit wanted, on the diameter; below zero is interference"""
    high: Quantity
    """loosest fit wanted, on the diameter; below zero is interference"""


class AssemblyLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    deck_clearance: NotRequired[LengthLimitsPart]
    """piston below the deck at top dead center"""
    squish: NotRequired[SquishLimitsPart]
    """crown's flat to head at top dead center"""
    rod_ratio: NotRequired[RatioLimitsPart]
    """rod length over stroke"""
    mean_piston_speed: NotRequired[SpeedLimitsPart]
    """mean piston speed"""
    skirt_exposed_at_bdc: NotRequired[LengthLimitsPart]
    """how far the skirt leaves the cylinder"""
    skirt_in_bore_at_bdc: NotRequired[RatioLimitsPart]
    """share of the skirt that stays in the cylinder"""
    counterweight_clearance: NotRequired[LengthLimitsPart]
    """between counterweight and piston"""
    pin_fit_rod: NotRequired[FitLimitsPart]
    """pin in the small end"""
    pin_fit_piston: NotRequired[FitLimitsPart]
    """pin in the bosses"""
    pin_end_room: NotRequired[LengthLimitsPart]
    """between each end of the pin and the wall"""
    top_land: NotRequired[LengthLimitsPart]
    """height of the top land"""
    second_land: NotRequired[LengthLimitsPart]
    """height of the second land"""


class JournalReadingPart(TypedDict):
    """What the micrometer says at one place along a journal."""

    position: Quantity
    """place along the journal"""
    vertical: Quantity
    """diameter through the crankshaft's throw, or up and down"""
    horizontal: Quantity
    """diameter across that"""


class JournalPart(TypedDict):
    """A journal: its diameter, or what was read along it.

    Give exactly one of: diameter; readings.
    """

    diameter: NotRequired[Quantity]
    """diameter of the journal"""
    readings: NotRequired[Sequence[JournalReadingPart]]
    """diameters along the journal, instead of one; two places or more tell taper"""


class HousingPart(TypedDict):
    """The bore that the shells sit in."""

    bore: Quantity
    """diameter of the housing, its bolts tight and no shells in it"""


class ShellPart(TypedDict):
    """The shells that are in it or come in."""

    thickness: Quantity
    """wall at the crown of the shell"""


class BearingPart(TypedDict):
    """One bearing; what it leaves out is that of all."""

    name: str
    """name or number of the bearing"""
    journal: NotRequired[JournalPart]
    """its journal"""
    housing: NotRequired[HousingPart]
    """its housing"""
    shell: NotRequired[ShellPart]
    """its shells"""


class OfferedShellPart(TypedDict):
    """Shells on offer.

    Give exactly one of: undersize; thickness.
    """

    name: NotRequired[str]
    """what the shop calls them"""
    undersize: NotRequired[Quantity]
    """how much smaller the journal is that they are made for; their wall is thicker by half of it than `shell`, below zero thinner"""
    thickness: NotRequired[Quantity]
    """wall at the crown, instead of an undersize"""


class BearingTemperaturesPart(TypedDict):
    """Temperatures of the parts of a bearing."""

    journal: NotRequired[Quantity]
    """of journal and shells when running"""
    housing: NotRequired[Quantity]
    """of the housing when running"""
    assembly: NotRequired[Quantity]
    """of the parts when they were measured"""


class OilPart(TypedDict):
    """The oil in the film.

    Give exactly one of: viscosity; grade.
    """

    viscosity: NotRequired[Quantity]
    """dynamic viscosity in the film"""
    grade: NotRequired[Grade]
    """viscosity grade, out of the oils table; its thin end is taken"""
    temperature: NotRequired[Quantity]
    """of the oil in the film; left out, the journal's"""


class RunningPart(TypedDict):
    """What loads the bearing.

    Give exactly one of: peak_load; peak_pressure with bore with stroke with rod_length with reciprocating_mass.
    """

    speed: Quantity
    """of the crankshaft"""
    peak_load: NotRequired[Quantity]
    """highest load on the bearing over a cycle"""
    peak_pressure: NotRequired[Quantity]
    """highest pressure in the cylinder, absolute"""
    bore: NotRequired[Quantity]
    """diameter of the cylinder"""
    stroke: NotRequired[Quantity]
    """twice the crank throw"""
    rod_length: NotRequired[Quantity]
    """connecting rod, center to center"""
    reciprocating_mass: NotRequired[Quantity]
    """piston, pin, rings and the rod's small end"""
    rotating_mass: NotRequired[Quantity]
    """the rod's big end (default '0 g')"""


class BearingLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    clearance: NotRequired[LengthLimitsPart]
    """oil clearance on the diameter, cold"""
    side_clearance: NotRequired[LengthLimitsPart]
    """between rods and cheeks"""
    end_float: NotRequired[LengthLimitsPart]
    """of the crankshaft"""
    out_of_round: NotRequired[LengthLimitsPart]
    """of a journal"""
    taper: NotRequired[LengthLimitsPart]
    """of a journal"""


class CrownPourPart(TypedDict):
    """A pour through a plate on the deck, with the piston down a known depth."""

    depth: Quantity
    """deck to the flat of the crown, by depth gauge or dial"""
    volume: Quantity
    """what the space under the plate took"""
    dome_height: NotRequired[Quantity]
    """flat to the top of the dome; it must lie below the plate"""
    sealed: NotRequired[bool]
    """whether grease seals the gap around the crown, so that the fluid stays above it (default True)"""


class DishPart(TypedDict):
    """A round dish."""

    diameter: Quantity
    """of the dish at the flat"""
    depth: Quantity
    """flat to the floor, at its middle"""
    shape: NotRequired[Shape]
    """a flat floor, or the cap of a sphere (default 'flat')"""
    corner_radius: NotRequired[Quantity]
    """between wall and floor, where the floor is flat (default '0 mm')"""


class PocketPart(TypedDict):
    """A valve pocket."""

    diameter: Quantity
    """of the cutter"""
    depth: Quantity
    """flat to the deepest edge of its floor, along the bore; negative where the floor lies above the flat, in a dome"""
    angle: NotRequired[Quantity]
    """of the cutter's axis from the bore's (default '0 deg')"""
    count: NotRequired[int]
    """how many like it the crown has (default 1)"""


class BenchPart(TypedDict):
    """What was measured of a crown: a pour, sizes, or both."""

    pour: NotRequired[CrownPourPart]
    """the pour over the crown"""
    dishes: NotRequired[Sequence[DishPart]]
    """the dishes of the crown, by their sizes"""
    pockets: NotRequired[Sequence[PocketPart]]
    """the valve pockets of the crown, by their sizes"""
    domed: NotRequired[bool]
    """whether anything stands above the flat; a dome is known by a pour alone (default False)"""


class TopLandPart(TypedDict):
    """The crevice above the top ring."""

    height: Quantity
    """crown edge to the top ring's upper side"""
    diameter: Quantity
    """diameter of the top land"""


class BoredPart(TypedDict):
    """What one cylinder was last bored to."""

    cylinder: int
    """number of the cylinder"""
    bore: Quantity
    """size it was last bored to, or the bore of its sleeve"""


class DirectionPart(TypedDict):
    """A diameter in another direction than along or across the crankshaft."""

    angle: Quantity
    """direction, from the thrust direction"""
    diameter: Quantity
    """diameter read"""


class LevelReadingPart(TypedDict):
    """What the bore gauge says at one level of one cylinder."""

    cylinder: int
    """number of the cylinder"""
    depth: Quantity
    """level, below the deck"""
    thrust: Quantity
    """diameter across the crankshaft"""
    axial: Quantity
    """diameter along the crankshaft"""
    others: NotRequired[Sequence[DirectionPart]]
    """diameters in further directions"""


class WallPart(TypedDict):
    """One reading of a sonic check of a cylinder's wall."""

    cylinder: int
    """number of the cylinder"""
    thickness: Quantity
    """wall as it stands"""
    side: str
    """where it was measured, as thrust, front or water side"""


class WearLimitPart(TypedDict):
    """How far a cylinder may be from round or straight."""

    high: Quantity
    """largest allowed"""


class CleanupLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    out_of_round: NotRequired[WearLimitPart]
    """largest out-of-round that may stay"""
    taper: NotRequired[WearLimitPart]
    """largest taper that may stay"""


class GasketPart(TypedDict):
    """A head gasket as compressed: by bore, by area, or by its poured volume.

    Give exactly one of: bore with thickness; area with thickness; volume.
    """

    bore: NotRequired[Quantity]
    """diameter of the gasket's opening"""
    area: NotRequired[Quantity]
    """area of an opening that is not round"""
    thickness: NotRequired[Quantity]
    """thickness as compressed; 0 mm where the head seats without one"""
    volume: NotRequired[Quantity]
    """volume inside the opening as compressed"""


class StackPart(TypedDict):
    """What adds up to the deck height: half the stroke, rod and compression height."""

    deck_height: Quantity
    """crank center line to deck"""
    rod_length: Quantity
    """connecting rod, center to center"""
    compression_height: Quantity
    """pin center to the flat of the crown"""


class CrownPart(TypedDict):
    """A piston crown: what stands above its flat, what is cut below it."""

    dome: NotRequired[Quantity]
    """volume standing above the flat: takes clearance away (default '0 cm3')"""
    recess: NotRequired[Quantity]
    """dish and valve reliefs: adds clearance (default '0 cm3')"""


class CompressionLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    squish: NotRequired[SquishLimitsPart]
    """limits of squish"""
    compression_ratio: NotRequired[RatioLimitsPart]
    """limits of the compression ratio, whatever the duty"""


class PourPart(TypedDict):
    """The chamber volume at one milling depth."""

    depth: Quantity
    """milled off the head"""
    volume: Quantity
    """chamber volume as poured at this depth"""


class HeadMillPart(TypedDict):
    """How far the heads may be milled, and what the chamber loses by it.

    Give exactly one of: chamber_area; volume_per_depth; profile.
    """

    max: Quantity
    """most that may come off each head"""
    chamber_area: NotRequired[Quantity]
    """area of the chamber's opening at the head's deck face, with straight walls"""
    volume_per_depth: NotRequired[Quantity]
    """chamber volume lost per depth milled"""
    profile: NotRequired[Sequence[PourPart]]
    """chamber volumes poured at rising depths, straight lines between them; without one at depth 0 the chamber_volume is the first"""
    price: NotRequired[float]
    """price of this work for the whole engine, in the caller's own currency; left out, nothing"""
    hours: NotRequired[Quantity]
    """time of this work for the whole engine, charged at the shop's labor rate; left out, none"""


class DeckCutPart(TypedDict):
    """How far the block's decks may be cut."""

    max: Quantity
    """most that may come off each deck"""
    price: NotRequired[float]
    """price of this work for the whole engine, in the caller's own currency; left out, nothing"""
    hours: NotRequired[Quantity]
    """time of this work for the whole engine, charged at the shop's labor rate; left out, none"""


class CrownCutPart(TypedDict):
    """How deep the crowns may be cut, and over how much of them; the flat around the cut stays, and with it squish.

    Give exactly one of: diameter; area.
    """

    max: Quantity
    """most that may be cut into each crown, by what its thickness leaves"""
    diameter: NotRequired[Quantity]
    """of a round cut"""
    area: NotRequired[Quantity]
    """of a cut that is not round: over a dome, or in a reversed dome"""
    price: NotRequired[float]
    """price of this work for the whole engine, in the caller's own currency; left out, nothing"""
    hours: NotRequired[Quantity]
    """time of this work for the whole engine, charged at the shop's labor rate; left out, none"""


class NamedGasketPart(TypedDict):
    """A head gasket on offer.

    Give exactly one of: bore with thickness; area with thickness; volume.
    """

    bore: NotRequired[Quantity]
    """diameter of the gasket's opening"""
    area: NotRequired[Quantity]
    """area of an opening that is not round"""
    thickness: NotRequired[Quantity]
    """thickness as compressed; 0 mm where the head seats without one"""
    volume: NotRequired[Quantity]
    """volume inside the opening as compressed"""
    name: str
    """what the gasket is called"""
    price: NotRequired[float]
    """price of the set of gaskets, in the caller's own currency; left out, nothing, as for a part in hand"""


class NamedCrownPart(TypedDict):
    """A piston crown on offer, on the same compression height."""

    dome: NotRequired[Quantity]
    """volume standing above the flat: takes clearance away (default '0 cm3')"""
    recess: NotRequired[Quantity]
    """dish and valve reliefs: adds clearance (default '0 cm3')"""
    name: str
    """what the piston is called"""
    price: NotRequired[float]
    """price of the set of pistons, in the caller's own currency; left out, nothing, as for a part in hand"""


class ChamberRangePart(TypedDict):
    """The chamber volumes that can be had, by choosing heads or opening up chambers."""

    min: Quantity
    """smallest chamber volume"""
    max: Quantity
    """largest chamber volume"""
    price: NotRequired[float]
    """price of this work for the whole engine, in the caller's own currency; left out, nothing"""
    hours: NotRequired[Quantity]
    """time of this work for the whole engine, charged at the shop's labor rate; left out, none"""


class LeverLimitsPart(TypedDict):
    """The caller's own limits: no plan leaves them."""

    squish: NotRequired[SquishLimitsPart]
    """limits of squish"""


class LeversPart(TypedDict):
    """What may be changed; what is left out stays as it is."""

    head_mill: NotRequired[HeadMillPart]
    """milling the heads"""
    deck_cut: NotRequired[DeckCutPart]
    """cutting the decks of the block"""
    crown_cut: NotRequired[CrownCutPart]
    """cutting the crowns of the pistons that are in it"""
    gaskets: NotRequired[Sequence[NamedGasketPart]]
    """head gaskets on offer"""
    crowns: NotRequired[Sequence[NamedCrownPart]]
    """piston crowns on offer"""
    chamber_volume: NotRequired[ChamberRangePart]
    """chamber volumes that can be had"""
    labor_rate: NotRequired[float]
    """price of an hour of the shop, in the caller's own currency, for work whose hours are given"""
    limits: NotRequired[LeverLimitsPart]
    """limits that no plan leaves"""


class MassesPart(TypedDict):
    """What one cylinder, one rod and one journal carry, as the crank is to be balanced."""

    piston: Quantity
    """one piston, bare"""
    pin: Quantity
    """its pin"""
    rings: Quantity
    """the rings of one piston"""
    locks: NotRequired[Quantity]
    """the locks of one pin, all together (default '0 g')"""
    rod_small_end: Quantity
    """small end of one rod, weighed with the rod level on its big end's center"""
    rod_big_end: Quantity
    """big end of one rod with its cap and bolts, weighed with the rod level on its small end's center"""
    bearings: Quantity
    """the bearing shells of one rod, both halves"""
    oil: NotRequired[Quantity]
    """allowance for the oil in and on one journal (default '5 g')"""


class WeighedPart(TypedDict):
    """The parts of one cylinder on the scale; any of them."""

    cylinder: int
    """number of the cylinder"""
    piston: NotRequired[Quantity]
    """one piston, bare"""
    pin: NotRequired[Quantity]
    """its pin"""
    rings: NotRequired[Quantity]
    """the rings of one piston"""
    locks: NotRequired[Quantity]
    """the locks of one pin, all together"""
    rod_small_end: NotRequired[Quantity]
    """small end of one rod, weighed with the rod level on its big end's center"""
    rod_big_end: NotRequired[Quantity]
    """big end of one rod with its cap and bolts, weighed with the rod level on its small end's center"""
    bearings: NotRequired[Quantity]
    """the bearing shells of one rod, both halves"""


class CrankThrowPart(TypedDict):
    """One throw of a crank of one's own."""

    angle: Quantity
    """where it points, in the direction of rotation from any one direction"""
    position: NotRequired[Quantity]
    """where it stands along the crank, from any one place; left out, no moments are given"""


class CrankCylinderPart(TypedDict):
    """One cylinder on a throw."""

    throw: int
    """its throw, counted from 1 as the throws are listed"""
    bank_angle: Quantity
    """where its bore points, in the direction of rotation from the engine's middle plane"""
    position: NotRequired[Quantity]
    """where it stands along the crank; left out, where its throw does"""


class MassSpreadPart(TypedDict):
    """The caller's own limit of the spread."""

    high: Quantity
    """largest difference between like parts"""


class BalanceLimitsPart(TypedDict):
    """The caller's own limits."""

    balance_factor: NotRequired[RatioLimitsPart]
    """of the share of the reciprocating mass in the bobweight"""
    mass_spread: NotRequired[MassSpreadPart]
    """of the difference between like parts of the cylinders"""


class CylinderPart(TypedDict):
    """One cylinder; what it leaves out is that of all."""

    cylinder: int
    """number of the cylinder"""
    bore: NotRequired[Quantity]
    """diameter of the cylinder"""
    chamber_volume: NotRequired[Quantity]
    """chamber in the head, as poured"""
    deck_clearance: NotRequired[Quantity]
    """piston below the deck at top dead center; negative where it stands above"""
    crown: NotRequired[CrownPart]
    """its piston's crown"""
    piston: NotRequired[Quantity]
    """its piston, bare, as weighed"""
    compression_height: NotRequired[Quantity]
    """of its piston, pin center to the flat of the crown, as measured: tells what exchanging pistons evens"""
    rod_length: NotRequired[Quantity]
    """connecting rod, center to center"""
    top_gap: NotRequired[Quantity]
    """gap of the top ring in this cylinder, as measured"""
    second_gap: NotRequired[Quantity]
    """gap of the second ring in this cylinder, as measured"""


class RatioSpreadPart(TypedDict):
    """The caller's own limit of a spread."""

    high: Quantity
    """largest less smallest"""


class VolumeSpreadPart(TypedDict):
    """The caller's own limit of a spread."""

    high: Quantity
    """largest less smallest"""


class LengthSpreadPart(TypedDict):
    """The caller's own limit of a spread."""

    high: Quantity
    """largest less smallest"""


class PistonSpreadPart(TypedDict):
    """The caller's own limit of a spread."""

    high: Quantity
    """heaviest less lightest"""


class CylinderSpreadLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    squish: NotRequired[SquishLimitsPart]
    """limits of squish"""
    ratio_spread: NotRequired[RatioSpreadPart]
    """of the compression ratio over the cylinders"""
    chamber_spread: NotRequired[VolumeSpreadPart]
    """of the chambers"""
    deck_spread: NotRequired[LengthSpreadPart]
    """of the deck clearances"""
    piston_spread: NotRequired[PistonSpreadPart]
    """of the pistons on the scale"""


class BlendPart(TypedDict):
    """What a fuel is blended of, in parts by volume: {"gasoline": 15, "ethanol": 85}, or in any other whole numbers."""

    gasoline: NotRequired[int]
    """parts by volume"""
    ethanol: NotRequired[int]
    """parts by volume"""
    methanol: NotRequired[int]
    """parts by volume"""


class OctanePart(TypedDict):
    """How a fuel is rated against knock: on one scale, or by both methods where both are known.

    Give exactly one of: rating with scale; ron with mon.
    """

    rating: NotRequired[Quantity]
    """the octane rating"""
    scale: NotRequired[Scale]
    """research (ron), motor (mon) or their mean, the anti-knock index (aki)"""
    ron: NotRequired[Quantity]
    """by the research method"""
    mon: NotRequired[Quantity]
    """by the motor method"""


class FuelPart(TypedDict):
    """What the engine burns."""

    name: NotRequired[Name]
    """a fuel of the reference table; left out, the duty's"""
    blend: NotRequired[BlendPart]
    """a blend instead, in parts by volume; its octane number is the blend's own"""
    octane_weight: NotRequired[Quantity]
    """K of the octane index RON − K(RON − MON); left out, what is usual in this kind of engine"""
    octane: OctanePart
    """how it is rated against knock"""
    equivalence_ratio: NotRequired[Quantity]
    """fuel over what burns completely, above 1 where it is rich; oxygen of nitrous oxide counts as well; left out, what is usual in this
    kind of engine
    """


class DutyPart(TypedDict):
    """Aspiration, service and fuel."""

    aspiration: NotRequired[Aspiration]
    """how the engine gets its air (default 'natural')"""
    service: NotRequired[Service]
    """how hard it is used (default 'street')"""
    fuel: NotRequired[DutyFuel]
    """a fuel of the reference table (default 'gasoline')"""


class BoostPart(TypedDict):
    """A compressor before the engine."""

    pressure: Quantity
    """boost above ambient (gauge), in the manifold"""
    compressor_efficiency: NotRequired[Quantity]
    """isentropic, of the compressor (default '0.70')"""
    intercooler_effectiveness: NotRequired[Quantity]
    """share of the way back to ambient temperature; 0 without one (default '0')"""
    drive: NotRequired[BoostDrive]
    """what drives it: an exhaust turbine, which holds the exhaust back, or the crank (default 'exhaust')"""


class NitrousPart(TypedDict):
    """Nitrous oxide for the whole engine: by the power it is sold as, or by its flow.

    Give exactly one of: power; mass_flow.
    """

    power: NotRequired[Quantity]
    """power it is to add at the crank"""
    mass_flow: NotRequired[Quantity]
    """nitrous oxide as the kit delivers it, fuel not counted"""
    bottle_temperature: NotRequired[Quantity]
    """of the liquid in its bottle (default '25 degC')"""


class AmbientPart(TypedDict):
    """The air that the engine draws."""

    pressure: NotRequired[Quantity]
    """of the air, absolute"""
    altitude: NotRequired[Quantity]
    """above sea level, instead of the pressure"""
    temperature: NotRequired[Quantity]
    """of the air at the inlet"""


class SpeedsPart(TypedDict):
    """A range of speeds; one speed alone where both ends are the same."""

    low: Quantity
    """speed of the crank, at full load"""
    high: Quantity
    """speed of the crank, at full load"""


class CurvePointPart(TypedDict):
    """The engine at one speed of its full-load curve."""

    speed: Quantity
    """speed of the crank, at full load"""
    volumetric_efficiency: NotRequired[Quantity]
    """gas drawn in over what the swept volume holds at the manifold's density"""
    boost: NotRequired[Quantity]
    """boost above ambient (gauge), in the manifold"""


class LeastOctaneMarginPart(TypedDict):
    """The octane numbers the caller wants in hand."""

    low: Quantity
    """least octane margin wanted"""


class HighestPressurePart(TypedDict):
    """The pressure the caller's parts stand."""

    high: Quantity
    """highest pressure allowed in the cylinder, absolute"""


class MostRetardPart(TypedDict):
    """The retard the caller is ready to run."""

    high: Quantity
    """most retard from MBT timing"""


class DetonationLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    octane_margin: NotRequired[LeastOctaneMarginPart]
    """octane numbers in hand at MBT timing"""
    peak_pressure: NotRequired[HighestPressurePart]
    """pressure in the cylinder"""
    spark_retard: NotRequired[MostRetardPart]
    """retard from MBT timing"""


class SuppliedFuelPart(TypedDict):
    """What the engine burns at full load."""

    name: NotRequired[Name]
    """a fuel of the reference table; left out, the duty's"""
    blend: NotRequired[BlendPart]
    """a blend instead, in parts by volume"""
    equivalence_ratio: NotRequired[Quantity]
    """fuel over what burns completely, above 1 where it is rich (default '1.1')"""


class InjectorsPart(TypedDict):
    """The injectors, or how many there are to be."""

    count: int
    """injectors that feed the engine"""
    flow: NotRequired[Quantity]
    """of one held open, at its rated pressure and on gasoline; left out, it is sized"""
    rated_pressure: NotRequired[Quantity]
    """pressure across it at which that flow is stated (default '300 kPa')"""
    fuel_pressure: NotRequired[Quantity]
    """pressure across it in the engine; left out, the rated one"""


class JetsPart(TypedDict):
    """The main jets of carburetors."""

    count: int
    """main jets that feed the engine"""
    depression: NotRequired[Quantity]
    """pressure across a jet at full load (default '10 kPa')"""


class FuelPumpPart(TypedDict):
    """The fuel pump."""

    flow: Quantity
    """what it delivers at the pressure it works against"""


class ThrottlePart(TypedDict):
    """The throttle plates."""

    count: int
    """throttle bores that feed the engine"""
    diameter: NotRequired[Quantity]
    """of each bore; left out, it is sized"""


class SupplyAmbientPart(TypedDict):
    """The air before the throttle."""

    pressure: NotRequired[Quantity]
    """of the air, absolute"""
    temperature: NotRequired[Quantity]
    """of the air at the inlet"""


class TargetCompressionPart(TypedDict):
    """The compression ratio wanted and the window that will do."""

    value: Quantity
    """ratio wanted; its tolerance is the window where low or high is left out"""
    low: NotRequired[Quantity]
    """lowest ratio that will do"""
    high: NotRequired[Quantity]
    """highest ratio that will do"""


class SelectionBlockPart(TypedDict):
    """The block in hand."""

    deck_height: Quantity
    """crank center line to deck"""
    bore: Quantity
    """bore as it stands"""
    cylinders: int
    """number of cylinders"""
    cleanup_bore: NotRequired[Quantity]
    """smallest bore that cleans up the wear; left out, the bore as it stands"""
    maximum_bore: NotRequired[Quantity]
    """largest bore that the walls allow; left out, the bore as it stands"""


class CandidateCrankPart(TypedDict):
    """A crankshaft on offer."""

    id: str
    """the caller's own name of the crankshaft; each once in its list"""
    stroke: Quantity
    """twice the crank throw"""
    rod_journal_diameter: NotRequired[Quantity]
    """diameter of the rod journals"""
    rod_journal_width: NotRequired[Quantity]
    """width of a rod journal, for all rods on it"""
    counterweight_radius: NotRequired[Quantity]
    """largest radius of the counterweights from the crank's center line"""
    counterweight_gap: NotRequired[Quantity]
    """along the crank, between the counterweights on both sides of the rod: bosses narrower than this pass between them"""
    price: NotRequired[float]
    """price of the crankshaft for the whole engine, in the caller's own currency; left out, nothing, as for a part in hand"""


class CandidateRodPart(TypedDict):
    """Connecting rods on offer, as a set."""

    id: str
    """the caller's own name of the set of rods; each once in its list"""
    length: Quantity
    """connecting rod, center to center"""
    small_end_bore: NotRequired[Quantity]
    """diameter of the small end, in its bush where it has one"""
    pin_retention: NotRequired[PinRetention]
    """how the rod holds the pin; left out, floating"""
    journal_diameter: NotRequired[Quantity]
    """diameter of the rod journal it is made for"""
    journal_width: NotRequired[Quantity]
    """width of the rod journal it is made for"""
    price: NotRequired[float]
    """price of the set of rods for the whole engine, in the caller's own currency; left out, nothing, as for a part in hand"""


class CandidatePistonPart(TypedDict):
    """Pistons on offer, as a set with their pins."""

    id: str
    """the caller's own name of the set of pistons; each once in its list"""
    bore: Quantity
    """finished bore that the piston is made for, not the size of its skirt"""
    compression_height: Quantity
    """pin center to the flat of the crown"""
    dome: NotRequired[Quantity]
    """volume standing above the flat: takes clearance away; left out, none"""
    recess: NotRequired[Quantity]
    """dish and valve reliefs: adds clearance; left out, none"""
    top_land: NotRequired[Quantity]
    """height of the top land, crown edge to the top ring's groove"""
    top_land_diameter: NotRequired[Quantity]
    """diameter of the top land: with its height, the crevice counts; left out, as nothing"""
    second_land: NotRequired[Quantity]
    """height of the second land, between the grooves of the two upper rings"""
    pin_diameter: NotRequired[Quantity]
    """outer diameter of the pin"""
    pin_length: NotRequired[Quantity]
    """length of the pin"""
    retainer_thickness: NotRequired[Quantity]
    """room one pin retainer takes along the pin, end play included"""
    width_at_boss: NotRequired[Quantity]
    """width of the piston along the pin, over the outer faces of the bosses"""
    pin_retentions: NotRequired[Sequence[PinRetentions]]
    """ways to hold the pin that the piston is made for; left out, both"""
    boss_below_pin: NotRequired[Quantity]
    """pin center to the lowest point of the pin bosses"""
    aspirations: NotRequired[Sequence[Aspirations]]
    """ways to get air that the piston is made for; left out, any"""
    services: NotRequired[Sequence[Services]]
    """services that the piston is made for; left out, any"""
    price: NotRequired[float]
    """price of the set of pistons for the whole engine, in the caller's own currency; left out, nothing, as for a part in hand"""


class CandidateGasketPart(TypedDict):
    """Head gaskets on offer, as a set: by bore, by area, or by the poured volume.

    Give exactly one of: bore with thickness; area with thickness; volume.
    """

    bore: NotRequired[Quantity]
    """diameter of the gasket's opening"""
    area: NotRequired[Quantity]
    """area of an opening that is not round"""
    thickness: NotRequired[Quantity]
    """thickness as compressed; 0 mm where the head seats without one"""
    volume: NotRequired[Quantity]
    """volume inside the opening as compressed"""
    id: str
    """the caller's own name of the set of gaskets; each once in its list"""
    price: NotRequired[float]
    """price of the set of gaskets for the whole engine, in the caller's own currency; left out, nothing, as for a part in hand"""


class CandidateHeadPart(TypedDict):
    """Cylinder heads on offer, as a set."""

    id: str
    """the caller's own name of the set of heads; each once in its list"""
    chamber_volume: Quantity
    """chamber in the head, as poured"""
    chamber_area: NotRequired[Quantity]
    """area of the chamber's opening at the deck face, with straight walls: milling takes area times depth"""
    volume_per_depth: NotRequired[Quantity]
    """chamber volume lost per depth milled, instead of area"""
    mill_max: NotRequired[Quantity]
    """most that may come off this head; left out, what the shop mills at most"""
    minimum_bore: NotRequired[Quantity]
    """smallest bore the head is made for"""
    maximum_bore: NotRequired[Quantity]
    """largest bore the head is made for"""
    price: NotRequired[float]
    """price of the set of heads for the whole engine, in the caller's own currency; left out, nothing, as for a part in hand"""


class BoringPart(TypedDict):
    """Boring and honing the cylinders."""

    price: NotRequired[float]
    """price of this work for the whole engine, in the caller's own currency (default 0)"""


class CutPart(TypedDict):
    """Work that takes metal off."""

    max: Quantity
    """most that may come off"""
    price: NotRequired[float]
    """price of this work for the whole engine, in the caller's own currency (default 0)"""


class SmallEndHonePart(TypedDict):
    """Honing the small ends, so that a pressed or tight pin floats."""

    max: Quantity
    """most that may come off, on the diameter"""
    price: NotRequired[float]
    """price of this work for the whole engine, in the caller's own currency (default 0)"""


class SelectionMachiningPart(TypedDict):
    """The work on offer; what is left out is not done."""

    bore: NotRequired[BoringPart]
    """boring the block to the pistons' bore, up to its largest"""
    deck_cut: NotRequired[CutPart]
    """cutting the decks of the block"""
    head_mill: NotRequired[CutPart]
    """milling the heads, where what the chamber loses by it is known"""
    small_end_hone: NotRequired[SmallEndHonePart]
    """honing the small ends"""


class LeastLengthPart(TypedDict):
    """The caller's own least length."""

    low: Quantity
    """smallest"""


class MostLengthPart(TypedDict):
    """The caller's own largest length."""

    high: Quantity
    """largest"""


class SelectionLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice; no choice leaves them."""

    deck_clearance: NotRequired[LengthLimitsPart]
    """piston below the deck at top dead center"""
    squish: NotRequired[SquishLimitsPart]
    """deck clearance and gasket thickness together"""
    top_land: NotRequired[LeastLengthPart]
    """height of the top land"""
    second_land: NotRequired[LeastLengthPart]
    """height of the second land"""
    pin_end_room: NotRequired[LeastLengthPart]
    """from each end of the pin to the wall"""
    pin_fit_floating: NotRequired[FitLimitsPart]
    """floating pin in the small end"""
    pin_fit_press: NotRequired[FitLimitsPart]
    """pressed pin in the small end"""
    journal_diameter_difference: NotRequired[MostLengthPart]
    """between the crank's rod journal and the one the rod is made for"""
    journal_width_difference: NotRequired[MostLengthPart]
    """between the crank's rod journal and the one the rod is made for"""
    bore_difference: NotRequired[MostLengthPart]
    """between sizes of a bore that a list rounds and that count as the same"""
    bore_to_gasket_clearance: NotRequired[LeastLengthPart]
    """gasket's bore less the cylinder's"""
    counterweight_clearance: NotRequired[LeastLengthPart]
    """between counterweights and pin bosses at bottom dead center"""
    cost: NotRequired[float]
    """most that parts and work may cost together, in the caller's own currency"""


class MovingPart(TypedDict):
    """What has to be spun up: masses of one cylinder, inertias of the whole engine."""

    reciprocating_mass: NotRequired[Quantity]
    """piston, pin, rings and the rod's small end, of one cylinder"""
    rotating_mass: NotRequired[Quantity]
    """the rod's big end with its shells, of one cylinder"""
    crank_inertia: NotRequired[Quantity]
    """moment of inertia of the crank, without rods"""
    flywheel_inertia: NotRequired[Quantity]
    """moment of inertia of flywheel, clutch and damper"""


class BeforePart(TypedDict):
    """The build before the change.

    Give exactly one of: compression_ratio; chamber_volume with gasket with deck_clearance; chamber_volume with gasket with stack.
    """

    bore: NotRequired[Quantity]
    """diameter of the cylinder"""
    stroke: NotRequired[Quantity]
    """twice the crank throw"""
    cylinders: NotRequired[int]
    """number of cylinders"""
    injection: NotRequired[Injection]
    """where the fuel joins the air; port where nothing is said"""
    cooling: NotRequired[Cooling]
    """what cools the cylinders; liquid where nothing is said"""
    rod_length: NotRequired[Quantity]
    """connecting rod, center to center"""
    pin_offset: NotRequired[Quantity]
    """pin offset from the cylinder axis; 0 where nothing is said"""
    speed: NotRequired[Quantity]
    """speed of the crank, at full load"""
    fuel: NotRequired[FuelPart]
    """what it burns"""
    duty: NotRequired[DutyPart]
    """what the engine is for"""
    boost: NotRequired[BoostPart]
    """a compressor; left out, there is none"""
    nitrous: NotRequired[NitrousPart]
    """nitrous oxide; left out, there is none"""
    intake_closing: NotRequired[Quantity]
    """intake valve closing after bottom dead center"""
    exhaust_opening: NotRequired[Quantity]
    """exhaust valve opening before bottom dead center"""
    ambient: NotRequired[AmbientPart]
    """the air that it draws"""
    volumetric_efficiency: NotRequired[Quantity]
    """gas drawn in over what the swept volume holds at the manifold's density"""
    compression_ratio: NotRequired[Quantity]
    """(swept + clearance) / clearance, where it is known"""
    chamber_volume: NotRequired[Quantity]
    """chamber in the head, as poured"""
    gasket: NotRequired[GasketPart]
    """the head gasket as compressed"""
    deck_clearance: NotRequired[Quantity]
    """piston below the deck at top dead center; negative where it stands above"""
    stack: NotRequired[StackPart]
    """deck height, rod length and compression height, instead of the deck clearance"""
    crown: NotRequired[CrownPart]
    """the piston crown"""
    top_land: NotRequired[TopLandPart]
    """the crevice above the top ring; left out, it counts as nothing"""
    moving: NotRequired[MovingPart]
    """what has to be spun up"""


class FuelChangePart(TypedDict):
    """What changes of the fuel."""

    name: NotRequired[Name]
    """a fuel of the reference table; left out, as before"""
    blend: NotRequired[BlendPart]
    """a blend instead, in parts by volume; left out, as before"""
    octane_weight: NotRequired[Quantity]
    """K of the octane index RON − K(RON − MON); left out, as before"""
    octane: NotRequired[OctanePart]
    """how it is rated against knock; left out, as before"""
    equivalence_ratio: NotRequired[Quantity]
    """fuel over what burns completely; left out, as before"""


class DutyChangePart(TypedDict):
    """What changes of the duty."""

    aspiration: NotRequired[Aspiration]
    """how the engine gets its air; left out, as before"""
    service: NotRequired[Service]
    """how hard it is used; left out, as before"""
    fuel: NotRequired[DutyFuel]
    """a fuel of the reference table; left out, as before"""


class BoostChangePart(TypedDict):
    """What changes of the boost."""

    pressure: NotRequired[Quantity]
    """boost above ambient (gauge), in the manifold; left out, as before"""
    compressor_efficiency: NotRequired[Quantity]
    """isentropic, of the compressor; left out, as before"""
    intercooler_effectiveness: NotRequired[Quantity]
    """share of the way back to ambient temperature; left out, as before"""
    drive: NotRequired[BoostDrive]
    """what drives it; left out, as before"""


class NitrousChangePart(TypedDict):
    """What changes of the nitrous oxide."""

    power: NotRequired[Quantity]
    """power it is to add at the crank; left out, as before"""
    mass_flow: NotRequired[Quantity]
    """nitrous oxide as the kit delivers it, instead of the power; left out, as before"""
    bottle_temperature: NotRequired[Quantity]
    """of the liquid in its bottle; left out, as before"""


class StackChangePart(TypedDict):
    """What changes of the stack."""

    deck_height: NotRequired[Quantity]
    """crank center line to deck; left out, as before"""
    rod_length: NotRequired[Quantity]
    """connecting rod, center to center; left out, as before"""
    compression_height: NotRequired[Quantity]
    """pin center to the flat of the crown; left out, as before"""


class HeadMilledPart(TypedDict):
    """What came off the heads, and what the chamber loses by it."""

    depth: Quantity
    """milled off each head"""
    chamber_area: NotRequired[Quantity]
    """of the chamber's opening at the head's face; left out, a share of the bore's"""


class AfterPart(TypedDict):
    """What changes of the build: all that is left out stays as before."""

    bore: NotRequired[Quantity]
    """diameter of the cylinder"""
    stroke: NotRequired[Quantity]
    """twice the crank throw"""
    cylinders: NotRequired[int]
    """number of cylinders"""
    injection: NotRequired[Injection]
    """where the fuel joins the air; port where nothing is said"""
    cooling: NotRequired[Cooling]
    """what cools the cylinders; liquid where nothing is said"""
    rod_length: NotRequired[Quantity]
    """connecting rod, center to center"""
    pin_offset: NotRequired[Quantity]
    """pin offset from the cylinder axis; 0 where nothing is said"""
    speed: NotRequired[Quantity]
    """speed of the crank, at full load"""
    fuel: NotRequired[FuelChangePart]
    """what changes of the fuel"""
    duty: NotRequired[DutyChangePart]
    """what changes of the duty"""
    boost: NotRequired[BoostChangePart]
    """what changes of the boost"""
    nitrous: NotRequired[NitrousChangePart]
    """what changes of the nitrous oxide"""
    intake_closing: NotRequired[Quantity]
    """intake valve closing after bottom dead center"""
    exhaust_opening: NotRequired[Quantity]
    """exhaust valve opening before bottom dead center"""
    ambient: NotRequired[AmbientPart]
    """the air that it draws"""
    volumetric_efficiency: NotRequired[Quantity]
    """gas drawn in over what the swept volume holds at the manifold's density"""
    compression_ratio: NotRequired[Quantity]
    """(swept + clearance) / clearance, where it is known"""
    chamber_volume: NotRequired[Quantity]
    """chamber in the head, as poured"""
    gasket: NotRequired[GasketPart]
    """the head gasket as compressed"""
    deck_clearance: NotRequired[Quantity]
    """piston below the deck at top dead center; negative where it stands above"""
    stack: NotRequired[StackChangePart]
    """what changes of the stack"""
    crown: NotRequired[CrownPart]
    """the piston crown"""
    top_land: NotRequired[TopLandPart]
    """the crevice above the top ring; left out, it counts as nothing"""
    moving: NotRequired[MovingPart]
    """what changes of what has to be spun up"""
    head_mill: NotRequired[Quantity | HeadMilledPart]
    """milled off each head: a depth, or with the chamber's area"""
    deck_cut: NotRequired[Quantity]
    """cut off each deck"""


class SpinUpPart(TypedDict):
    """How fast the engine gains speed: as such, or by the car's acceleration in a gear.

    Give exactly one of: rate; acceleration with overall_ratio with tire_radius.
    """

    rate: NotRequired[Quantity]
    """speed gained in a second"""
    acceleration: NotRequired[Quantity]
    """of the car"""
    overall_ratio: NotRequired[Quantity]
    """turns of the crank for one of the wheels: gear times axle"""
    tire_radius: NotRequired[Quantity]
    """rolling radius of the driven wheels"""


class PowerLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    spark_retard: NotRequired[MostRetardPart]
    """retard from MBT timing"""


class BoostLevelPart(TypedDict):
    """How much boost there is."""

    pressure: Quantity
    """boost above ambient (gauge), in the manifold"""


class TopRingPart(TypedDict):
    """The top ring."""

    material: NotRequired[TopRingMaterial]
    """out of the materials table (default 'ductile_iron_annealed')"""


class SecondRingPart(TypedDict):
    """The second ring."""

    material: NotRequired[TopRingMaterial]
    """out of the materials table (default 'gray_iron')"""


class OilRailPart(TypedDict):
    """The rails of the oil ring."""

    material: NotRequired[TopRingMaterial]
    """out of the materials table (default 'steel_1040')"""


class RingsPart(TypedDict):
    """What the rings are made of."""

    top: NotRequired[TopRingPart]
    """the top ring"""
    second: NotRequired[SecondRingPart]
    """the second ring"""
    oil_rail: NotRequired[OilRailPart]
    """the rails of the oil ring"""


class RingTemperaturesPart(TypedDict):
    """How hot rings and bore run, and how warm they were when measured."""

    ring: NotRequired[Quantity]
    """of the top ring when hot"""
    second_ring: NotRequired[Quantity]
    """of the second ring when hot; left out, it follows from the top ring and the bore"""
    oil_rail: NotRequired[Quantity]
    """of the oil rails when hot; left out, it follows from the top ring and the bore"""
    bore: NotRequired[Quantity]
    """of the cylinder wall where the rings run, when hot"""
    assembly: NotRequired[Quantity]
    """of the parts when they were measured"""


class MeasuredGapsPart(TypedDict):
    """The gaps of one cylinder's rings, measured cold and square in that cylinder."""

    cylinder: int
    """number of the cylinder"""
    top: NotRequired[Quantity]
    """gap of the top ring"""
    second: NotRequired[Quantity]
    """gap of the second ring"""
    oil_rail: NotRequired[Quantity]
    """the smaller gap of the two oil rails"""


class GapRangePart(TypedDict):
    """The caller's own limits for a gap."""

    low: NotRequired[Quantity]
    """smallest gap wanted"""
    high: NotRequired[Quantity]
    """largest gap wanted"""


class GapLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    top: NotRequired[GapRangePart]
    """for the top ring"""
    second: NotRequired[GapRangePart]
    """for the second ring"""
    oil_rail: NotRequired[GapRangePart]
    """for the oil rails"""


class BoreReadingPart(TypedDict):
    """One bore as measured."""

    cylinder: int
    """number of the cylinder"""
    diameter: Quantity
    """diameter of the cylinder"""


class SkirtReadingPart(TypedDict):
    """One skirt as measured."""

    piston: int
    """number of the piston"""
    diameter: Quantity
    """diameter of the skirt at its gauge point, across the thrust faces"""


class SkirtTemperaturesPart(TypedDict):
    """How hot skirt and bore run, and how warm they were when measured."""

    skirt: NotRequired[Quantity]
    """of the skirt at its gauge point, when hot"""
    bore: NotRequired[Quantity]
    """of the cylinder wall where the skirt runs, when hot"""
    assembly: NotRequired[Quantity]
    """of the parts when they were measured"""


class ClearanceRangePart(TypedDict):
    """The caller's own range for the cold clearance to the metal of the skirt."""

    low: Quantity
    """smallest cold clearance wanted"""
    high: Quantity
    """largest cold clearance wanted"""


class SkirtLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    clearance: NotRequired[ClearanceRangePart]
    """cold clearance to the metal of the skirt"""


class StrengthPistonPart(TypedDict):
    """The piston."""

    mass: Quantity
    """the piston with its rings and pin retainers"""
    alloy: Alloy
    """what it is made of, out of the materials table"""
    top_land: NotRequired[Quantity]
    """height of the top land, crown edge to the top ring's groove"""
    second_land: NotRequired[Quantity]
    """height of the second land, between the grooves of the two upper rings"""
    land_groove_root: NotRequired[Quantity]
    """diameter of the piston at the bottom of the top ring's groove"""
    crown_thickness: NotRequired[Quantity]
    """thickness of the crown where it is thinnest over an unsupported area"""
    crown_span: NotRequired[Quantity]
    """diameter of the largest circle of the crown's underside that neither bosses nor ribs nor the ring belt hold up"""


class StrengthPinPart(TypedDict):
    """The piston pin."""

    outer: Quantity
    """outer diameter"""
    inner: Quantity
    """diameter of the hole; 0 for a solid pin"""
    length: Quantity
    """length"""
    mass: Quantity
    """mass"""
    boss_span: NotRequired[Quantity]
    """gap between the inner faces of the piston's pin bosses"""
    material: NotRequired[StrengthPinMaterial]
    """what it is made of, out of the materials table"""


class RodShankPart(TypedDict):
    """The rod's shank where it is thinnest: as an I-section, or as any section of known area and radii of gyration.

    Give exactly one of: height with width with web with flange; area with gyration_swing with gyration_side.
    """

    height: NotRequired[Quantity]
    """I-section: over both flanges, across the rod in its plane of motion"""
    width: NotRequired[Quantity]
    """I-section: width of the flanges, along the pin"""
    web: NotRequired[Quantity]
    """I-section: thickness of the web, along the pin"""
    flange: NotRequired[Quantity]
    """I-section: thickness of each flange, in the plane of motion"""
    area: NotRequired[Quantity]
    """area of the section"""
    gyration_swing: NotRequired[Quantity]
    """radius of gyration for bending in the plane of motion, about an axis along the pin"""
    gyration_side: NotRequired[Quantity]
    """radius of gyration for bending along the pin"""


class StrengthRodPart(TypedDict):
    """The connecting rod; its length stands with the geometry."""

    mass: NotRequired[Quantity]
    """the whole rod with its cap and bolts"""
    small_end_mass: NotRequired[Quantity]
    """its small end, weighed with the rod level; left out, a third of the whole"""
    small_end_width: NotRequired[Quantity]
    """width of the small end along the pin"""
    material: NotRequired[StrengthRodMaterial]
    """what it is made of, out of the materials table"""
    shank: NotRequired[RodShankPart]
    """the section of its shank where it is thinnest"""


class StrengthTemperaturesPart(TypedDict):
    """How hot the parts run; left out, those of common practice for the duty."""

    crown: NotRequired[Quantity]
    """of the piston's crown where it is hottest"""
    top_land: NotRequired[Quantity]
    """of the top land at the groove"""
    second_land: NotRequired[Quantity]
    """of the second land at the groove"""
    pin_boss: NotRequired[Quantity]
    """of the pin bosses"""
    pin: NotRequired[Quantity]
    """of the pin"""
    rod: NotRequired[Quantity]
    """of the rod's shank"""


class OwnStrengthPart(TypedDict):
    """The caller's own strengths of a material at the temperature it runs at; they replace those of the tables."""

    ultimate_strength: Quantity
    """ultimate strength in tension"""
    yield_strength: Quantity
    """yield strength in tension"""
    fatigue_strength: Quantity
    """fatigue strength for a load that reverses fully, smooth"""


class StrengthsPart(TypedDict):
    """The caller's own strengths, which replace those of the tables where they are given."""

    crown: NotRequired[OwnStrengthPart]
    """of the piston's crown"""
    top_land: NotRequired[OwnStrengthPart]
    """of the top land"""
    second_land: NotRequired[OwnStrengthPart]
    """of the second land"""
    pin_boss: NotRequired[OwnStrengthPart]
    """of the pin bosses"""
    pin: NotRequired[OwnStrengthPart]
    """of the pin"""
    rod: NotRequired[OwnStrengthPart]
    """of the rod's shank"""


class HighestStressPart(TypedDict):
    """The highest of a pressure between parts."""

    high: Quantity
    """highest allowed"""


class StrengthLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice; the factor of safety stands beside them."""

    pin_boss_bearing_pressure: NotRequired[HighestStressPart]
    """pressure of the pin on its bosses"""


class LiftPart(TypedDict):
    """Lift at one crank angle."""

    crank: Quantity
    """after top dead center of the overlap; negative before it"""
    intake: NotRequired[Quantity]
    """lift of the intake valve, along its axis"""
    exhaust: NotRequired[Quantity]
    """lift of the exhaust valve, along its axis"""


class ReliefPart(TypedDict):
    """Depth of the valve pockets (reliefs) in the crown."""

    intake: NotRequired[Quantity]
    """valve-pocket depth: crown's flat to the floor of the intake relief, along the bore; negative above the flat (default '0 mm')"""
    exhaust: NotRequired[Quantity]
    """valve-pocket depth: crown's flat to the floor of the exhaust relief, along the bore; negative above the flat (default '0 mm')"""


class ValveAnglesPart(TypedDict):
    """How far each valve leans."""

    intake: Quantity
    """intake valve's axis to the bore's"""
    exhaust: Quantity
    """exhaust valve's axis to the bore's"""


class ValveDropsPart(TypedDict):
    """How far each closed valve stands back from the head's face."""

    intake: Quantity
    """valve recession: head's face to the closed intake valve, along the bore; negative where it stands proud"""
    exhaust: Quantity
    """valve recession: head's face to the closed exhaust valve, along the bore; negative where it stands proud"""


class RadialPart(TypedDict):
    """Sizes of one valve and its relief across the valve's axis."""

    valve_diameter: Quantity
    """diameter of the valve's head"""
    relief_diameter: Quantity
    """diameter of the relief"""
    center_offset: NotRequired[Quantity]
    """between the axes of valve and relief (default '0 mm')"""


class RadialsPart(TypedDict):
    """Sizes across for each side."""

    intake: NotRequired[RadialPart]
    """intake valve and relief"""
    exhaust: NotRequired[RadialPart]
    """exhaust valve and relief"""


class LeastClearancePart(TypedDict):
    """The caller's own least clearance."""

    low: Quantity
    """least clearance wanted"""


class ValveLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    intake_clearance: NotRequired[LeastClearancePart]
    """intake valve to piston, along the valve's axis"""
    exhaust_clearance: NotRequired[LeastClearancePart]
    """exhaust valve to piston, along the valve's axis"""
    radial_clearance: NotRequired[LeastClearancePart]
    """a valve's edge to the wall of its relief"""


class PushrodPart(TypedDict):
    """The pushrod."""

    length: Quantity
    """as it is now"""
    lean: NotRequired[Quantity]
    """from the direction of the bore (default '0 deg')"""
    fitted_length: NotRequired[Quantity]
    """of the pushrod fitted after the work; left out, it stays"""


class RockerPart(TypedDict):
    """The rocker."""

    ratio: Quantity
    """valve lift over lifter lift"""
    mounting: NotRequired[Mounting]
    """on a shaft or pedestal, or on a stud with a nut that sets its height (default 'fixed')"""
    arm_length: NotRequired[Quantity]
    """pivot to the contact on the valve's tip; its sweep needs it"""
    off_square: NotRequired[Quantity]
    """how far above square to the valve its tip end stands at half lift, before the work (default '0 mm')"""


class LifterPart(TypedDict):
    """The lifter.

    Give exactly one of: preload; lash.
    """

    preload: NotRequired[Quantity]
    """of a hydraulic lifter, at the lifter, before the work"""
    lash: NotRequired[Quantity]
    """of a solid lifter, at the valve, before the work"""


class SpringPart(TypedDict):
    """The valve spring."""

    installed_height: Quantity
    """with the valve closed, before the work"""
    coil_bind_height: Quantity
    """with its coils together"""


class CamDrivePart(TypedDict):
    """The drive of an overhead cam.

    Give exactly one of: pitch_diameter; teeth with pitch.
    """

    pitch_diameter: NotRequired[Quantity]
    """of the cam's sprocket or pulley"""
    teeth: NotRequired[int]
    """of the cam's sprocket or pulley"""
    pitch: NotRequired[Quantity]
    """of chain or belt"""
    drive: NotRequired[CamDriveDrive]
    """what the teeth are for (default 'chain')"""
    lean: NotRequired[Quantity]
    """of the strand that pulls, from the direction of the bore (default '0 deg')"""


class HighestAnglePart(TypedDict):
    """The caller's own limit of a shift."""

    high: Quantity
    """most either way, of the crankshaft"""


class ValveTrainLimitsPart(TypedDict):
    """The caller's own limits, which replace those of common practice."""

    preload: NotRequired[LengthLimitsPart]
    """of a hydraulic lifter's preload"""
    coil_bind: NotRequired[LengthLimitsPart]
    """of what the spring has left at full lift"""
    retainer: NotRequired[LengthLimitsPart]
    """of what the retainer has left above the seal at full lift"""
    cam_shift: NotRequired[HighestAnglePart]
    """of the cam's timing shift"""
