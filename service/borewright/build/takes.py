"""What each calculation takes from a build: facts, which any of their places may state, and fields that are its own.

Every field of a calculation on the sheet is one or the other. A test says which fields are neither, and which entry is missing here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from borewright.build.facts import within


@dataclass(frozen=True)
class Takes:
    """What a calculation takes from a build, in paths of its own request.

    facts : fields that state facts
    own : fields that no other calculation has; they stand in the build as in the request
    renamed : fields at the top of the request that have another name in the build, where one name means two things
    before_machining : whether it works machining out by itself, what is to be cut or what a cut does, and so takes the parts as they were
    """

    facts: tuple[str, ...]
    own: tuple[str, ...] = ()
    renamed: Mapping[str, str] = field(default_factory=dict)
    before_machining: bool = False

    def place(self, path: str) -> str:
        """Where the build states what the request has at a path.

        >>> Takes(("speed",), renamed={"speed": "margin_speed"}).place("speed")
        'margin_speed'
        """
        first, dot, rest = path.partition(".")
        return self.renamed.get(first, first) + dot + rest

    def covers(self, path: str) -> bool:
        """Whether a field of the request is named here, by itself or by an object that it is in.

        >>> Takes(("gasket",)).covers("gasket.bore"), Takes(("gasket",)).covers("gaskets")
        (True, False)
        """
        return any(within(path, named) for named in (*self.facts, *self.own))


CYLINDER = ("bore", "stroke", "cylinders")
LINKAGE = ("rod_length", "pin_offset")
CLEARANCE = ("chamber_volume", "gasket", "deck_clearance", "stack", "crown", "top_land")
CUT = ("head_mill", "deck_cut", "new_gasket_thickness")
DUTY = ("duty",)
FORCED = ("boost", "nitrous")
CYCLE = ("fuel", *DUTY, *FORCED, "intake_closing", "exhaust_opening", "ambient", "volumetric_efficiency", "injection", "cooling")
AT_A_MARGIN = {"speed": "margin_speed"}

TAKES: Mapping[str, Takes] = MappingProxyType(
    {
        "air-correction": Takes(
            (),
            own=(
                "observed_power",
                "air_temperature",
                "pressure",
                "sea_level_pressure",
                "elevation",
                "humidity",
                "dew_point",
                "wet_bulb",
                "standard",
                "limits.factor",
            ),
        ),
        "assembly-fit": Takes(
            (
                "bore",
                "block.deck_height",
                "crank.stroke",
                "rod.length",
                "piston.compression_height",
                "piston.pin_diameter",
                "piston.pin_length",
                "piston.top_land",
                "piston.second_land",
                "speed",
                "pin_offset",
                "gasket",
                *DUTY,
                "limits.squish",
                "limits.deck_clearance",
                "limits.top_land",
                "limits.second_land",
                "limits.pin_end_room",
                "limits.counterweight_clearance",
            ),
            own=(
                "block.cylinder_length",
                "crank.counterweight_radius",
                "crank.counterweight_gap",
                "rod.small_end_bore",
                "rod.pin_retention",
                "rod.wanted_retention",
                "piston.skirt_below_pin",
                "piston.skirt_length",
                "piston.third_land",
                "piston.grooves",
                "skirt_clearance",
                "original",
                "limits.skirt_in_bore_at_bdc",
                "piston.boss_below_pin",
                "piston.pin_bore",
                "piston.width_at_boss",
                "piston.retainer_thickness",
                "limits.rod_ratio",
                "limits.mean_piston_speed",
                "limits.skirt_exposed_at_bdc",
                "limits.pin_fit_rod",
                "limits.pin_fit_piston",
            ),
        ),
        "bearing-clearance": Takes(
            (
                *DUTY,
                "temperatures.assembly",
                "running.bore",
                "running.stroke",
                "running.rod_length",
                "running.speed",
                "running.peak_pressure",
                "running.reciprocating_mass",
            ),
            own=(
                "kind",
                "journal",
                "housing",
                "shell",
                "shells",
                "bearings",
                "housing_material",
                "width",
                "side_clearance",
                "end_float",
                "temperatures.journal",
                "temperatures.housing",
                "oil",
                "running.peak_load",
                "running.rotating_mass",
                "limits",
            ),
            renamed={"limits": "bearing_limits"},
        ),
        "bench-volumes": Takes(("bore", "top_land"), own=("bench",)),
        "bore-cleanup": Takes(
            ("nominal_bore",),
            own=(
                "bored",
                "readings",
                "sizes",
                "oversizes",
                "minimum_stock",
                "centring",
                "walls",
                "minimum_wall",
                "limits.out_of_round",
                "limits.taper",
            ),
        ),
        "compression": Takes(
            (*CYLINDER, *CLEARANCE, *LINKAGE, "intake_closing", *DUTY, "limits.squish"), own=("limits.compression_ratio",)
        ),
        "compression-target": Takes(
            (*CYLINDER, *CLEARANCE, *LINKAGE, "intake_closing", *DUTY, "target", "bank_angle", "top"),
            own=("levers", "intake_face_angle", "target_dynamic", "rank_by"),
            before_machining=True,
        ),
        "crank-balance": Takes(
            ("masses.pin", "masses.rod_small_end", "stroke", "rod_length", "speed", "bank_angle"),
            own=(
                "masses.piston",
                "masses.rings",
                "masses.locks",
                "masses.rod_big_end",
                "masses.bearings",
                "masses.oil",
                "weighed",
                "balance_factor",
                "layout",
                "throws",
                "cylinders",
                "rods_per_journal",
                "cylinder_spacing",
                "limits.balance_factor",
                "limits.mass_spread",
            ),
            renamed={"cylinders": "crank_cylinders"},
        ),
        "cylinder-spread": Takes(
            (*CYLINDER, *CLEARANCE, *LINKAGE, *DUTY, "limits.squish"),
            own=(
                "by_cylinder",
                "limits.ratio_spread",
                "limits.chamber_spread",
                "limits.deck_spread",
                "limits.piston_spread",
            ),
            before_machining=True,
        ),
        "detonation-margin": Takes(
            (*CYLINDER, *CLEARANCE, *LINKAGE, "compression_ratio", "speed", *CYCLE, "limits.spark_retard"),
            own=("speeds", "torque_curve", "limits.octane_margin", "limits.peak_pressure"),
            renamed=AT_A_MARGIN,
        ),
        "displacement": Takes(CYLINDER),
        "part-selection": Takes(
            (
                "target_compression.value",
                "block.deck_height",
                "block.bore",
                "block.cylinders",
                *DUTY,
                "limits.squish",
                "limits.deck_clearance",
                "limits.top_land",
                "limits.second_land",
                "limits.pin_end_room",
                "limits.counterweight_clearance",
                "top",
            ),
            own=(
                "limits.bore_difference",
                "target_compression.low",
                "target_compression.high",
                "block.cleanup_bore",
                "block.maximum_bore",
                "cranks",
                "rods",
                "pistons",
                "gaskets",
                "heads",
                "machining",
                "prefer",
                "each_part",
                "limits.pin_fit_floating",
                "limits.pin_fit_press",
                "limits.journal_diameter_difference",
                "limits.journal_width_difference",
                "limits.bore_to_gasket_clearance",
                "limits.cost",
            ),
            before_machining=True,
        ),
        "fuel-air-supply": Takes(
            (*DUTY, "fuel.name", "fuel.blend", "fuel.equivalence_ratio", "ambient"),
            own=(
                "target_power",
                "brake_specific_fuel_consumption",
                "injectors",
                "jets",
                "fuel_pump",
                "throttle",
            ),
        ),
        "power-gain": Takes(
            (*CYLINDER, *LINKAGE, "speed", *CYCLE, "moving.reciprocating_mass", "limits.spark_retard"),
            own=("before", "after", "baseline_power", "moving.rotating_mass", "moving.crank_inertia", "moving.flywheel_inertia", "spin_up"),
            renamed=AT_A_MARGIN,
        ),
        "ring-gap": Takes(
            ("bore", "cylinders", *DUTY, *FORCED, "cooling", "alloy", "bore_material", "temperatures.bore", "temperatures.assembly"),
            own=(
                "rings",
                "temperatures.ring",
                "temperatures.second_ring",
                "temperatures.oil_rail",
                "measured",
                "limits.top",
                "limits.second",
                "limits.oil_rail",
            ),
        ),
        "skirt-clearance": Takes(
            ("bore", "cylinders", *DUTY, *FORCED, "cooling", "alloy", "bore_material", "temperatures.bore", "temperatures.assembly"),
            own=("bores", "skirt", "skirts", "coating_thickness", "coating_measured", "temperatures.skirt", "limits.clearance"),
        ),
        "strength": Takes(
            (
                *CYLINDER,
                *CLEARANCE,
                *LINKAGE,
                "compression_ratio",
                "speed",
                *CYCLE,
                "piston.alloy",
                "piston.top_land",
                "piston.second_land",
                "pin.outer",
                "pin.length",
                "pin.mass",
                "rod.small_end_mass",
                "peak_pressure",
            ),
            own=(
                "strengths",
                "exposure",
                "piston.mass",
                "piston.land_groove_root",
                "piston.crown_thickness",
                "piston.crown_span",
                "pin.inner",
                "pin.boss_span",
                "pin.material",
                "rod.mass",
                "rod.small_end_width",
                "rod.material",
                "rod.shank",
                "temperatures.crown",
                "temperatures.top_land",
                "temperatures.second_land",
                "temperatures.pin_boss",
                "temperatures.pin",
                "temperatures.rod",
                "factor_of_safety",
                "limits.pin_boss_bearing_pressure",
            ),
        ),
        "valve-clearance": Takes(
            ("bore", "stroke", "deck_clearance", "stack", *LINKAGE, "gasket", *CUT),
            own=(
                "lift",
                "relief",
                "valve_angle",
                "valve_angles",
                "valve_drop",
                "valve_drops",
                "radial",
                "limits.intake_clearance",
                "limits.exhaust_clearance",
                "limits.radial_clearance",
            ),
            before_machining=True,
        ),
        "valve-train": Takes(
            ("gasket", *CUT),
            own=(
                "camshaft",
                "stem_rise",
                "base_circle_loss",
                "valve_lift",
                "pushrod",
                "rocker",
                "lifter",
                "spring",
                "retainer_to_seal",
                "stem_diameter",
                "cam_drive",
                "limits.preload",
                "limits.coil_bind",
                "limits.retainer",
                "limits.cam_shift",
            ),
            before_machining=True,
        ),
    }
)
