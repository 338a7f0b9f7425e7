"""A keyword-only method for each calculation of the service.

Generated from the calculations: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from collections.abc import Mapping, Sequence

from borewright_client import answers, parts
from borewright_client._calls import Calls
from borewright_client._types import BatchAnswer, Options, Quantity
from borewright_client._words import Units

# Most rows of one request, as the service comes; an operator can set fewer.
MOST_ROWS: dict[str, int] = {
    "air-correction": 200000,
    "bearing-clearance": 200000,
    "bench-volumes": 200000,
    "compression": 200000,
    "detonation-margin": 2000,
    "displacement": 200000,
    "power-gain": 200000,
    "ring-gap": 200000,
    "skirt-clearance": 200000,
    "valve-train": 200000,
}
# The columns that hold words, in which digits stay a word.
WORD_COLUMNS: dict[str, frozenset[str]] = {
    "air-correction": frozenset(("standard",)),
    "bearing-clearance": frozenset(("kind", "duty.aspiration", "duty.service", "duty.fuel", "housing_material", "oil.grade")),
    "bench-volumes": frozenset(),
    "compression": frozenset(("duty.aspiration", "duty.service", "duty.fuel")),
    "detonation-margin": frozenset(
        (
            "injection",
            "cooling",
            "fuel.name",
            "fuel.octane.scale",
            "duty.aspiration",
            "duty.service",
            "duty.fuel",
            "boost.drive",
        )
    ),
    "displacement": frozenset(),
    "power-gain": frozenset(
        (
            "injection",
            "cooling",
            "fuel.name",
            "fuel.octane.scale",
            "duty.aspiration",
            "duty.service",
            "duty.fuel",
            "boost.drive",
        )
    ),
    "ring-gap": frozenset(
        (
            "duty.aspiration",
            "duty.service",
            "duty.fuel",
            "cooling",
            "alloy",
            "rings.top.material",
            "rings.second.material",
            "rings.oil_rail.material",
            "bore_material",
        )
    ),
    "skirt-clearance": frozenset(
        (
            "alloy",
            "bore_material",
            "duty.aspiration",
            "duty.service",
            "duty.fuel",
            "cooling",
            "coating_measured",
        )
    ),
    "valve-train": frozenset(("camshaft", "rocker.mounting", "cam_drive.drive")),
}
# The columns of the answers.
ANSWER_COLUMNS: dict[str, tuple[str, ...]] = {
    "air-correction": (
        "factor",
        "corrected_power",
        "station_pressure",
        "relative_humidity",
        "dry_pressure",
        "vapor_pressure",
        "air_density",
        "density_altitude",
    ),
    "bearing-clearance": (
        "tightest_clearance",
        "loosest_clearance",
        "hot_clearance",
        "wanted.low",
        "wanted.high",
        "least_film",
        "side_clearance",
        "end_float",
    ),
    "bench-volumes": (
        "crown_volume",
        "crown.recess",
        "crown.dome",
        "poured",
        "by_sizes",
        "dome_standing",
    ),
    "compression": (
        "compression_ratio",
        "displacement",
        "swept_volume",
        "clearance_volume",
        "clearance_parts.chamber",
        "clearance_parts.gasket",
        "clearance_parts.deck",
        "clearance_parts.crown",
        "clearance_parts.top_land",
        "deck_clearance",
        "squish",
        "dynamic_compression_ratio",
    ),
    "detonation-margin": (
        "state",
        "worst_speed",
        "octane_required.low",
        "octane_required.value",
        "octane_required.high",
        "octane_required.scale",
        "octane_available.low",
        "octane_available.value",
        "octane_available.high",
        "octane_available.scale",
        "octane_margin.low",
        "octane_margin.value",
        "octane_margin.high",
        "octane_margin.scale",
        "rating_required.low",
        "rating_required.value",
        "rating_required.high",
        "rating_required.scale",
        "octane_reach",
        "knock_limited",
        "peak_pressure.low",
        "peak_pressure.value",
        "peak_pressure.high",
        "peak_pressure_angle",
        "allowed_peak_pressure",
        "retard_required.low",
        "retard_required.value",
        "retard_required.high",
        "retard_cost.low",
        "retard_cost.value",
        "retard_cost.high",
        "retard_allowed",
        "compression_ratio_limit.low",
        "compression_ratio_limit.value",
        "compression_ratio_limit.high",
        "compression_ratio_limit_reach",
        "compression_ratio_limit_speed",
        "boost_limit.low",
        "boost_limit.value",
        "boost_limit.high",
        "boost_limit_speed",
    ),
    "displacement": (
        "displacement",
        "swept_volume",
        "bore_area",
        "bore_stroke_ratio",
    ),
    "power-gain": (
        "practice.gain",
        "practice.power_gain",
        "practice.power",
        "practice.torque_gain",
        "practice.torque",
        "air_standard.gain",
        "air_standard.power_gain",
        "air_standard.power",
        "air_standard.torque_gain",
        "air_standard.torque",
        "fuel_air.gain",
        "fuel_air.power_gain",
        "fuel_air.power",
        "fuel_air.torque_gain",
        "fuel_air.torque",
        "cycle.gain",
        "cycle.power_gain",
        "cycle.power",
        "cycle.torque_gain",
        "cycle.torque",
        "cycle.knock_limited",
        "cycle.knock_limited_before",
        "cycle.gain_low",
        "cycle.gain_high",
        "cycle.gain_at_mbt",
        "cycle.retard_before",
        "cycle.retard_after",
        "estimate.low.gain",
        "estimate.low.power_gain",
        "estimate.low.power",
        "estimate.low.torque_gain",
        "estimate.low.torque",
        "estimate.value.gain",
        "estimate.value.power_gain",
        "estimate.value.power",
        "estimate.value.torque_gain",
        "estimate.value.torque",
        "estimate.high.gain",
        "estimate.high.power_gain",
        "estimate.high.power",
        "estimate.high.torque_gain",
        "estimate.high.torque",
        "torque_before",
        "spin_up.rate",
        "spin_up.inertia_before",
        "spin_up.inertia_after",
        "spin_up.power_before",
        "spin_up.power_after",
        "spin_up.power_freed",
        "spin_up.torque_freed",
    ),
    "ring-gap": (
        "top.practice_gap",
        "top.thermal_closure",
        "top.butting_gap",
        "top.recommended_gap",
        "second.practice_gap",
        "second.thermal_closure",
        "second.butting_gap",
        "second.recommended_gap",
        "oil_rail.practice_gap",
        "oil_rail.thermal_closure",
        "oil_rail.butting_gap",
        "oil_rail.recommended_gap",
    ),
    "skirt-clearance": (
        "recommended.low",
        "recommended.high",
        "hot_clearance",
        "target_bore",
        "clearance",
        "clearance_over_coating",
    ),
    "valve-train": (
        "nearer_by",
        "pushrod.same_geometry",
        "pushrod.change",
        "lifter.pressed",
        "lifter.preload",
        "lifter.lash",
        "rocker.pivot_rise",
        "rocker.sweep_before",
        "rocker.sweep",
        "coil_bind_room",
        "retainer_room",
        "cam.retard",
        "cam.at_cam",
    ),
}


class Operations(Calls):
    """The calculations as methods; arguments left at None are not sent."""

    def air_correction(
        self,
        *,
        observed_power: Quantity,
        air_temperature: Quantity,
        standard: parts.Standard,
        pressure: Quantity | None = None,
        sea_level_pressure: Quantity | None = None,
        elevation: Quantity | None = None,
        humidity: Quantity | None = None,
        dew_point: Quantity | None = None,
        wet_bulb: Quantity | None = None,
        limits: parts.CorrectionLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.AirCorrectionAnswer:
        """Air correction: asks /v1/air-correction.

        What an observed power would be in standard air, by the standard chosen, and how dense the air was.

        observed_power : power as the dynamometer showed it
        air_temperature : of the air where the engine draws it in
        standard : the standard whose air the power is carried to
        pressure : absolute air pressure on the spot, as a barometer there shows it: not the one reduced to sea level that weather
            reports give
        sea_level_pressure : air pressure of a weather report (altimeter setting), which is reduced to sea level
        elevation : of the place above sea level, for the pressure of a weather report
        humidity : relative humidity of that air
        dew_point : dew point of that air, instead of its humidity
        wet_bulb : of a ventilated wet bulb in that air, instead of its humidity
        limits : the caller's own limits instead of the standard's
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        Give exactly one of: pressure; sea_level_pressure with elevation.
        Give exactly one of: humidity; dew_point; wet_bulb.

        >>> answer = client.air_correction(
        ...     units="inch",
        ...     observed_power="420 hp ± 2 hp",
        ...     air_temperature=92,
        ...     pressure="29.1 inHg ± 0.02 inHg",
        ...     humidity="45 % ± 3 %",
        ...     standard="sae-j1349",
        ... )
        >>> print(answer.corrected_power)
        441.318 hp
        """
        return self._calculate(
            answers.AirCorrectionAnswer,
            "/v1/air-correction",
            {
                "observed_power": observed_power,
                "air_temperature": air_temperature,
                "standard": standard,
                "pressure": pressure,
                "sea_level_pressure": sea_level_pressure,
                "elevation": elevation,
                "humidity": humidity,
                "dew_point": dew_point,
                "wet_bulb": wet_bulb,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def air_correction_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Air correction, many rows: asks /v1/air-correction/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be observed_power, air_temperature,
            pressure, sea_level_pressure, elevation, humidity, dew_point, wet_bulb, standard, limits.factor.low, limits.factor.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.air_correction_batch(
        ...     units="inch",
        ...     common={"air_temperature": 92, "pressure": "29.1 inHg", "humidity": "45 %", "standard": "sae-j1349"},
        ...     columns={"observed_power": ["420 hp", "420 hp"]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["corrected_power"]]
        ['441.318', '441.318']
        """
        return self._batch("air-correction", {"columns": columns, "common": common, "units": units}, options)

    def assembly_fit(
        self,
        *,
        block: parts.AssemblyBlockPart,
        crank: parts.AssemblyCrankPart,
        rod: parts.AssemblyRodPart,
        piston: parts.AssemblyPistonPart,
        bore: Quantity | None = None,
        speed: Quantity | None = None,
        pin_offset: Quantity | None = None,
        gasket: parts.FittedGasketPart | None = None,
        skirt_clearance: Quantity | None = None,
        original: parts.OriginalPart | None = None,
        duty: parts.CylinderDutyPart | None = None,
        limits: parts.AssemblyLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.AssemblyFitAnswer:
        """Assembly fit: asks /v1/assembly-fit.

        Whether block, crank, rod and piston go together: where the piston stands at the deck, rod ratio, mean piston speed and peak
        acceleration, how far the skirt leaves the cylinder, clearance to the counterweights, the fit of the pin and what to hone, and
        the ring lands the duty wants.

        block : the block
        crank : the crankshaft
        rod : the connecting rod
        piston : the piston with its pin
        bore : diameter of the cylinder
        speed : highest speed the engine is to run at
        pin_offset : pin offset from the cylinder axis (default '0 mm')
        gasket : the head gasket as compressed
        skirt_clearance : cold clearance of the skirt, on the diameter: tells how the piston rocks
        original : what came out of this block, to compare the skirt left in the bore with
        duty : what the engine is for
        limits : the caller's own limits, which replace those of common practice
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.assembly_fit(
        ...     units="inch",
        ...     block={"deck_height": "9.140 in ± 0.003 in", "cylinder_length": 5.5},
        ...     crank={"stroke": 3.63, "counterweight_radius": 3.5},
        ...     rod={
        ...         "length": "6.160 in ± 0.001 in",
        ...         "small_end_bore": "0.9499 in ± 0.0001 in",
        ...         "pin_retention": "press",
        ...         "wanted_retention": "floating",
        ...     },
        ...     piston={
        ...         "compression_height": "1.145 in ± 0.001 in",
        ...         "skirt_below_pin": 1.1,
        ...         "boss_below_pin": 0.75,
        ...         "pin_diameter": 0.951,
        ...         "pin_length": 2.5,
        ...         "pin_bore": 0.9517,
        ...         "width_at_boss": 2.75,
        ...         "retainer_thickness": 0.08,
        ...         "top_land": 0.28,
        ...         "second_land": 0.17,
        ...     },
        ...     bore=3.892,
        ...     speed="6000 rpm",
        ...     gasket={"thickness": "0.040 in ± 0.001 in"},
        ...     duty={"aspiration": "boost", "service": "street"},
        ... )
        >>> print(answer.deck_clearance)
        0.02 in
        """
        return self._calculate(
            answers.AssemblyFitAnswer,
            "/v1/assembly-fit",
            {
                "block": block,
                "crank": crank,
                "rod": rod,
                "piston": piston,
                "bore": bore,
                "speed": speed,
                "pin_offset": pin_offset,
                "gasket": gasket,
                "skirt_clearance": skirt_clearance,
                "original": original,
                "duty": duty,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def bearing_clearance(
        self,
        *,
        kind: parts.Kind,
        journal: parts.JournalPart | None = None,
        housing: parts.HousingPart | None = None,
        shell: parts.ShellPart | None = None,
        bearings: Sequence[parts.BearingPart] | None = None,
        shells: Sequence[parts.OfferedShellPart] | None = None,
        duty: parts.CylinderDutyPart | None = None,
        housing_material: parts.HousingMaterial | None = None,
        width: Quantity | None = None,
        side_clearance: Quantity | None = None,
        end_float: Quantity | None = None,
        temperatures: parts.BearingTemperaturesPart | None = None,
        oil: parts.OilPart | None = None,
        running: parts.RunningPart | None = None,
        limits: parts.BearingLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.BearingClearanceAnswer:
        """Bearing clearance: asks /v1/bearing-clearance.

        The oil clearance of main or rod bearings from journal, housing and shell, cold and hot; which shells or undersizes bring it
        in; side clearance, end float, out-of-round and taper of journals; and the thinnest oil film under the highest load.

        kind : main bearings, or the rods' big ends
        journal : the journal, where all are alike
        housing : the housing, where all are alike
        shell : the shells, where all are alike
        bearings : the bearings one by one; each may leave out what is stated for all
        shells : the shells on offer: undersizes, or select walls
        duty : what the engine is for
        housing_material : what the housing is made of, out of the materials table; left out, gray iron for mains and steel for rods
        width : of the shell, across which it carries; the oil film needs it
        side_clearance : between the rods of one pin and its cheeks, as measured
        end_float : of the crankshaft in its thrust bearing, as measured
        temperatures : temperatures; left out, those of common practice for the duty
        oil : the oil; the film needs it
        running : speed and load; the film needs them
        limits : the caller's own limits, say from the instructions that came with the shells
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.bearing_clearance(
        ...     units="inch",
        ...     kind="rod",
        ...     housing={"bore": "2.2110 in ± 0.0001 in"},
        ...     shell={"thickness": "0.0618 in"},
        ...     bearings=[
        ...         {"name": "1", "journal": {"diameter": "2.0860 in ± 0.0001 in"}},
        ...         {
        ...             "name": "2",
        ...             "journal": {
        ...                 "readings": [
        ...                     {"position": 0.2, "vertical": 2.0852, "horizontal": 2.0859},
        ...                     {"position": 0.7, "vertical": 2.085, "horizontal": 2.0858},
        ...                 ],
        ...             },
        ...         },
        ...     ],
        ...     shells=[
        ...         {"name": "standard", "undersize": 0},
        ...         {"name": "one under", "undersize": 0.001},
        ...         {"name": "ten under", "undersize": 0.01},
        ...     ],
        ...     duty={"aspiration": "natural", "service": "street"},
        ...     side_clearance=0.014,
        ...     width=0.78,
        ...     oil={"grade": "sae_30"},
        ...     running={
        ...         "speed": "5800 rpm",
        ...         "peak_pressure": "950 psi",
        ...         "bore": 3.892,
        ...         "stroke": 3.36,
        ...         "rod_length": 5.86,
        ...         "reciprocating_mass": "760 g",
        ...         "rotating_mass": "430 g",
        ...     },
        ... )
        >>> print(answer.tightest_clearance)
        0.0014 in
        """
        return self._calculate(
            answers.BearingClearanceAnswer,
            "/v1/bearing-clearance",
            {
                "kind": kind,
                "journal": journal,
                "housing": housing,
                "shell": shell,
                "bearings": bearings,
                "shells": shells,
                "duty": duty,
                "housing_material": housing_material,
                "width": width,
                "side_clearance": side_clearance,
                "end_float": end_float,
                "temperatures": temperatures,
                "oil": oil,
                "running": running,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def bearing_clearance_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Bearing clearance, many rows: asks /v1/bearing-clearance/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be kind, journal.diameter,
            housing.bore, shell.thickness, duty.aspiration, duty.service, duty.fuel, housing_material, width, side_clearance,
            end_float, temperatures.journal, temperatures.housing, temperatures.assembly, oil.viscosity, oil.grade, oil.temperature,
            running.speed, running.peak_load, running.peak_pressure, running.bore, running.stroke, running.rod_length,
            running.reciprocating_mass, running.rotating_mass, limits.clearance.low, limits.clearance.high, limits.side_clearance.low,
            limits.side_clearance.high, limits.end_float.low, limits.end_float.high, limits.out_of_round.low,
            limits.out_of_round.high, limits.taper.low, limits.taper.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.bearing_clearance_batch(
        ...     units="inch",
        ...     common={
        ...         "kind": "rod",
        ...         "housing": {"bore": "2.2110 in"},
        ...         "shell": {"thickness": "0.0618 in"},
        ...         "bearings": [
        ...             {"name": "1", "journal": {"diameter": "2.0860 in"}},
        ...             {
        ...                 "name": "2",
        ...                 "journal": {
        ...                     "readings": [
        ...                         {
        ...                             "position": 0.2,
        ...                             "vertical": 2.0852,
        ...                             "horizontal": 2.0859,
        ...                         },
        ...                         {
        ...                             "position": 0.7,
        ...                             "vertical": 2.085,
        ...                             "horizontal": 2.0858,
        ...                         },
        ...                     ],
        ...                 },
        ...             },
        ...         ],
        ...         "shells": [
        ...             {"name": "standard", "undersize": 0},
        ...             {"name": "one under", "undersize": 0.001},
        ...             {"name": "ten under", "undersize": 0.01},
        ...         ],
        ...         "duty": {"aspiration": "natural", "service": "street"},
        ...         "side_clearance": 0.014,
        ...         "oil": {"grade": "sae_30"},
        ...         "running": {
        ...             "speed": "5800 rpm",
        ...             "peak_pressure": "950 psi",
        ...             "bore": 3.892,
        ...             "stroke": 3.36,
        ...             "rod_length": 5.86,
        ...             "reciprocating_mass": "760 g",
        ...             "rotating_mass": "430 g",
        ...         },
        ...     },
        ...     columns={"width": [0.78, 0.78]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["tightest_clearance"]]
        ['0.0014', '0.0014']
        """
        return self._batch("bearing-clearance", {"columns": columns, "common": common, "units": units}, options)

    def bench_volumes(
        self,
        *,
        bore: Quantity,
        bench: parts.BenchPart,
        top_land: parts.TopLandPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.BenchVolumesAnswer:
        """Bench volumes: asks /v1/bench-volumes.

        The volume of a piston's crown from the bench: by a pour with the piston down a known depth, by the diameters and depths of
        dishes and valve pockets, or by both, with the dome that they leave; as the recess and dome that the other calculations take.

        bore : diameter of the cylinder
        bench : what was measured of the crown: a pour, the sizes of dishes and pockets, or both
        top_land : the crevice above the top ring, which an unsealed pour fills as well
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.bench_volumes(
        ...     units="inch",
        ...     bore="3.892 in ± 0.0005 in",
        ...     bench={
        ...         "pour": {"depth": "0.500 in ± 0.001 in", "volume": "109.3 cm3 ± 0.2 cm3"},
        ...         "dishes": [{"diameter": 3.0, "depth": 0.1, "corner_radius": 0.05}],
        ...         "pockets": [{"diameter": 2.2, "depth": 0.08, "angle": "18 deg", "count": 2}],
        ...     },
        ... )
        >>> print(answer.crown_volume)
        11.822 cm3
        """
        return self._calculate(
            answers.BenchVolumesAnswer,
            "/v1/bench-volumes",
            {
                "bore": bore,
                "bench": bench,
                "top_land": top_land,
                "units": units,
            },
            options,
        )

    def bench_volumes_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Bench volumes, many rows: asks /v1/bench-volumes/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, bench.pour.depth,
            bench.pour.volume, bench.pour.dome_height, bench.pour.sealed, bench.domed, top_land.height, top_land.diameter
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.bench_volumes_batch(
        ...     units="inch",
        ...     common={
        ...         "bench": {
        ...             "pour": {"depth": "0.500 in", "volume": "109.3 cm3"},
        ...             "dishes": [{"diameter": 3.0, "depth": 0.1, "corner_radius": 0.05}],
        ...             "pockets": [{"diameter": 2.2, "depth": 0.08, "angle": "18 deg", "count": 2}],
        ...         },
        ...     },
        ...     columns={"bore": ["3.892 in", "3.892 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["crown_volume"]]
        ['11.822', '11.822']
        """
        return self._batch("bench-volumes", {"columns": columns, "common": common, "units": units}, options)

    def bore_cleanup(
        self,
        *,
        nominal_bore: Quantity,
        readings: Sequence[parts.LevelReadingPart],
        bored: Sequence[parts.BoredPart] | None = None,
        sizes: Sequence[Quantity] | None = None,
        oversizes: Sequence[Quantity] | None = None,
        minimum_stock: Quantity | None = None,
        centring: parts.Centring | None = None,
        walls: Sequence[parts.WallPart] | None = None,
        minimum_wall: Quantity | None = None,
        limits: parts.CleanupLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.BoreCleanupAnswer:
        """Bore clean-up: asks /v1/bore-cleanup.

        Out-of-round, taper and wear of each cylinder, the smallest size that cleans them all up, and the cylinders that alone force
        it.

        nominal_bore : size the cylinders were last bored to
        readings : what the gauge says, two or more levels a cylinder
        bored : cylinders that were last bored, or sleeved, to another size
        sizes : bore sizes that pistons are on offer for
        oversizes : oversizes on offer, over the nominal bore; 0 is the standard size
        minimum_stock : left on the wall for the hone, a side (default '0.0015 in')
        centring : whether the new bore stands where the old one was made, or follows the wear (default 'original')
        walls : sonic-check readings of walls
        minimum_wall : wall that must be left
        limits : the caller's own limits of wear, say from the instructions that came with the rings
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        Give exactly one of: sizes; oversizes.

        >>> answer = client.bore_cleanup(
        ...     units="inch",
        ...     nominal_bore=3.862,
        ...     readings=[
        ...         {
        ...             "cylinder": 1,
        ...             "depth": "0.5 in",
        ...             "thrust": "3.8662 in ± 0.0002 in",
        ...             "axial": "3.8641 in ± 0.0002 in",
        ...         },
        ...         {
        ...             "cylinder": 1,
        ...             "depth": "4.0 in",
        ...             "thrust": "3.8632 in ± 0.0002 in",
        ...             "axial": "3.8629 in ± 0.0002 in",
        ...         },
        ...         {
        ...             "cylinder": 2,
        ...             "depth": "0.5 in",
        ...             "thrust": "3.8668 in ± 0.0002 in",
        ...             "axial": "3.8645 in ± 0.0002 in",
        ...         },
        ...         {
        ...             "cylinder": 2,
        ...             "depth": "4.0 in",
        ...             "thrust": "3.8634 in ± 0.0002 in",
        ...             "axial": "3.863 in ± 0.0002 in",
        ...         },
        ...         {
        ...             "cylinder": 3,
        ...             "depth": "0.5 in",
        ...             "thrust": "3.8771 in ± 0.0002 in",
        ...             "axial": "3.8652 in ± 0.0002 in",
        ...         },
        ...         {
        ...             "cylinder": 3,
        ...             "depth": "4.0 in",
        ...             "thrust": "3.8636 in ± 0.0002 in",
        ...             "axial": "3.8631 in ± 0.0002 in",
        ...         },
        ...         {
        ...             "cylinder": 4,
        ...             "depth": "0.5 in",
        ...             "thrust": "3.8664 in ± 0.0002 in",
        ...             "axial": "3.8642 in ± 0.0002 in",
        ...         },
        ...         {
        ...             "cylinder": 4,
        ...             "depth": "4.0 in",
        ...             "thrust": "3.8633 in ± 0.0002 in",
        ...             "axial": "3.863 in ± 0.0002 in",
        ...         },
        ...     ],
        ...     oversizes=[0.02, 0.03, 0.04, 0.06],
        ...     walls=[
        ...         {"cylinder": 3, "thickness": "0.190 in ± 0.003 in", "side": "thrust"},
        ...         {"cylinder": 2, "thickness": "0.182 in ± 0.003 in", "side": "rear"},
        ...     ],
        ...     minimum_wall=0.14,
        ... )
        >>> print(answer.smallest_clean_size)
        3.902 in
        """
        return self._calculate(
            answers.BoreCleanupAnswer,
            "/v1/bore-cleanup",
            {
                "nominal_bore": nominal_bore,
                "readings": readings,
                "bored": bored,
                "sizes": sizes,
                "oversizes": oversizes,
                "minimum_stock": minimum_stock,
                "centring": centring,
                "walls": walls,
                "minimum_wall": minimum_wall,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def compression(
        self,
        *,
        bore: Quantity,
        stroke: Quantity,
        cylinders: int,
        chamber_volume: Quantity,
        gasket: parts.GasketPart,
        deck_clearance: Quantity | None = None,
        stack: parts.StackPart | None = None,
        crown: parts.CrownPart | None = None,
        top_land: parts.TopLandPart | None = None,
        rod_length: Quantity | None = None,
        pin_offset: Quantity | None = None,
        intake_closing: Quantity | None = None,
        duty: parts.CylinderDutyPart | None = None,
        limits: parts.CompressionLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.CompressionAnswer:
        """Compression: asks /v1/compression.

        The compression ratio of a cylinder as it stands, the parts of its clearance volume, squish, and the ratio from intake
        closing.

        bore : diameter of the cylinder
        stroke : twice the crank throw
        cylinders : number of cylinders
        chamber_volume : chamber in the head, as poured
        gasket : the head gasket as compressed; 0 mm where the head seats without one
        deck_clearance : piston below the deck at top dead center; negative where it stands above
        stack : deck height, rod length and compression height, instead of the deck clearance
        crown : the piston crown
        top_land : the crevice above the top ring; left out, it counts as nothing
        rod_length : connecting rod, center to center
        pin_offset : pin offset from the cylinder axis (default '0 mm')
        intake_closing : intake valve closing after bottom dead center
        duty : what the engine is for: adds a check of the ratio against common practice
        limits : the caller's own limits, which replace those of common practice
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        Give exactly one of: deck_clearance; stack.

        >>> answer = client.compression(
        ...     units="inch",
        ...     bore="3.892 in ± 0.0005 in",
        ...     stroke="3.360 in",
        ...     cylinders=8,
        ...     chamber_volume="57 cm3 ± 0.5 cm3",
        ...     gasket={"bore": "3.962 in", "thickness": "0.040 in ± 0.001 in"},
        ...     deck_clearance="0.005 in ± 0.002 in",
        ...     crown={"recess": "5 cm3 ± 0.3 cm3"},
        ... )
        >>> print(answer.compression_ratio)
        10.2188
        """
        return self._calculate(
            answers.CompressionAnswer,
            "/v1/compression",
            {
                "bore": bore,
                "stroke": stroke,
                "cylinders": cylinders,
                "chamber_volume": chamber_volume,
                "gasket": gasket,
                "deck_clearance": deck_clearance,
                "stack": stack,
                "crown": crown,
                "top_land": top_land,
                "rod_length": rod_length,
                "pin_offset": pin_offset,
                "intake_closing": intake_closing,
                "duty": duty,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def compression_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Compression, many rows: asks /v1/compression/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, stroke, cylinders,
            chamber_volume, gasket.bore, gasket.area, gasket.thickness, gasket.volume, deck_clearance, stack.deck_height,
            stack.rod_length, stack.compression_height, crown.dome, crown.recess, top_land.height, top_land.diameter, rod_length,
            pin_offset, intake_closing, duty.aspiration, duty.service, duty.fuel, limits.squish.low, limits.squish.high,
            limits.compression_ratio.low, limits.compression_ratio.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.compression_batch(
        ...     units="inch",
        ...     common={
        ...         "stroke": "3.360 in",
        ...         "cylinders": 8,
        ...         "chamber_volume": "57 cm3",
        ...         "gasket": {"bore": "3.962 in", "thickness": "0.040 in"},
        ...         "deck_clearance": "0.005 in",
        ...         "crown": {"recess": "5 cm3"},
        ...     },
        ...     columns={"bore": ["3.892 in", "3.892 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["compression_ratio"]]
        ['10.2188', '10.2188']
        """
        return self._batch("compression", {"columns": columns, "common": common, "units": units}, options)

    def compression_target(
        self,
        *,
        bore: Quantity,
        stroke: Quantity,
        cylinders: int,
        chamber_volume: Quantity,
        gasket: parts.GasketPart,
        levers: parts.LeversPart,
        deck_clearance: Quantity | None = None,
        stack: parts.StackPart | None = None,
        crown: parts.CrownPart | None = None,
        top_land: parts.TopLandPart | None = None,
        rod_length: Quantity | None = None,
        pin_offset: Quantity | None = None,
        intake_closing: Quantity | None = None,
        duty: parts.CylinderDutyPart | None = None,
        target: Quantity | None = None,
        target_dynamic: Quantity | None = None,
        bank_angle: Quantity | None = None,
        intake_face_angle: Quantity | None = None,
        rank_by: parts.RankBy | None = None,
        top: int | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.CompressionTargetAnswer:
        """Compression target: asks /v1/compression-target.

        How to reach a compression ratio: what each lever alone would have to be, and the combinations of them, ranked.

        bore : diameter of the cylinder
        stroke : twice the crank throw
        cylinders : number of cylinders
        chamber_volume : chamber in the head, as poured
        gasket : the head gasket as compressed; 0 mm where the head seats without one
        levers : what may be changed
        deck_clearance : piston below the deck at top dead center; negative where it stands above
        stack : deck height, rod length and compression height, instead of the deck clearance
        crown : the piston crown
        top_land : the crevice above the top ring; left out, it counts as nothing
        rod_length : connecting rod, center to center
        pin_offset : pin offset from the cylinder axis (default '0 mm')
        intake_closing : intake valve closing after bottom dead center
        duty : what the engine is for: adds a check of the ratio against common practice
        target : compression ratio wanted; its tolerance is the window that counts as reached
        target_dynamic : ratio counted from intake closing that is wanted instead; needs intake_closing and the rod's length
        bank_angle : angle between the banks of a V engine; with intake_face_angle it gives the intake cuts
        intake_face_angle : angle between a head's deck face and its intake face, through the metal; 90 deg where they are square
        rank_by : what decides between plans: the work, or what they cost by the prices and hours given with the levers (default
            'work')
        top : most plans to answer (default 10)
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        Give exactly one of: deck_clearance; stack.
        Give exactly one of: target; target_dynamic.

        >>> answer = client.compression_target(
        ...     units="inch",
        ...     bore=3.892,
        ...     stroke=3.36,
        ...     cylinders=8,
        ...     chamber_volume="57 cm3 ± 0.5 cm3",
        ...     gasket={"bore": 3.962, "thickness": "0.040 in ± 0.001 in"},
        ...     deck_clearance="0.015 in ± 0.002 in",
        ...     crown={"recess": "5 cm3"},
        ...     target="10.5 ± 0.1",
        ...     levers={
        ...         "head_mill": {"max": 0.03, "chamber_area": "68 cm2"},
        ...         "deck_cut": {"max": 0.015},
        ...         "gaskets": [
        ...             {"name": "thin", "bore": 3.962, "thickness": 0.027},
        ...             {"name": "wide", "bore": 4.028, "thickness": 0.039},
        ...         ],
        ...         "crowns": [{"name": "flat top", "recess": "3 cm3"}, {"name": "small dome", "dome": "2 cm3"}],
        ...         "limits": {"squish": {"low": 0.035, "high": 0.055}},
        ...     },
        ...     bank_angle="90 deg",
        ...     intake_face_angle="80 deg",
        ...     top=5,
        ... )
        >>> print(answer.now.compression_ratio)
        9.97263
        """
        return self._calculate(
            answers.CompressionTargetAnswer,
            "/v1/compression-target",
            {
                "bore": bore,
                "stroke": stroke,
                "cylinders": cylinders,
                "chamber_volume": chamber_volume,
                "gasket": gasket,
                "levers": levers,
                "deck_clearance": deck_clearance,
                "stack": stack,
                "crown": crown,
                "top_land": top_land,
                "rod_length": rod_length,
                "pin_offset": pin_offset,
                "intake_closing": intake_closing,
                "duty": duty,
                "target": target,
                "target_dynamic": target_dynamic,
                "bank_angle": bank_angle,
                "intake_face_angle": intake_face_angle,
                "rank_by": rank_by,
                "top": top,
                "units": units,
            },
            options,
        )

    def crank_balance(
        self,
        *,
        masses: parts.MassesPart,
        weighed: Sequence[parts.WeighedPart] | None = None,
        balance_factor: Quantity | None = None,
        layout: parts.Layout | None = None,
        throws: Sequence[parts.CrankThrowPart] | None = None,
        cylinders: Sequence[parts.CrankCylinderPart] | None = None,
        rods_per_journal: int | None = None,
        stroke: Quantity | None = None,
        rod_length: Quantity | None = None,
        speed: Quantity | None = None,
        cylinder_spacing: Quantity | None = None,
        bank_angle: Quantity | None = None,
        limits: parts.BalanceLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.CrankBalanceAnswer:
        """Crank balance: asks /v1/crank-balance.

        The bobweight for balancing a crank, how well its parts match, and the primary and secondary forces and moments at a speed:
        calculated from the angles of throws and bores, with what the counterweights leave of them. Rods that share a pin are taken to
        lie in one plane, and orders beyond the second are left out.

        masses : what hangs on the crank: one piston's, one rod's and one journal's share
        weighed : the parts of each cylinder on the scale, to see how they match
        balance_factor : share of the reciprocating mass in the bobweight: 50 %, or 0.5 (default '50 %')
        layout : how throws and bores stand; the answer's throws show it in angles
        throws : a crank of one's own, throw by throw, in place of a layout
        cylinders : the cylinders on these throws, one by one
        rods_per_journal : rods on one crank journal; left out, as the layout has them
        stroke : twice the crank throw
        rod_length : connecting rod, center to center
        speed : speed of the crank at which forces and moments are given
        cylinder_spacing : along the crank, from a throw to the next: the bore spacing of a bank, half of it in a flat engine; with
            throws of one's own left out, as their positions have it
        bank_angle : angle between the banks where it is not the layout's; the crank stays as it is
        limits : the caller's own limits
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        Give exactly one of: layout; throws with cylinders.

        >>> answer = client.crank_balance(
        ...     units="inch",
        ...     masses={
        ...         "piston": "540 g ± 0.5 g",
        ...         "pin": "150 g",
        ...         "rings": "60 g",
        ...         "locks": "3 g",
        ...         "rod_small_end": "187 g ± 1 g",
        ...         "rod_big_end": "430 g ± 1 g",
        ...         "bearings": "45 g",
        ...         "oil": "5 g",
        ...     },
        ...     balance_factor="50 %",
        ...     layout="v8-90-cross-plane",
        ...     rods_per_journal=2,
        ...     stroke=3.36,
        ...     rod_length=6.16,
        ...     speed=6500,
        ...     cylinder_spacing=4.31,
        ...     weighed=[
        ...         {"cylinder": 1, "piston": "540.0 g", "rod_big_end": "430.4 g"},
        ...         {"cylinder": 2, "piston": "541.6 g", "rod_big_end": "430.0 g"},
        ...         {"cylinder": 3, "piston": "540.3 g", "rod_big_end": "430.8 g"},
        ...     ],
        ... )
        >>> print(answer.bob_weight)
        1895 g
        """
        return self._calculate(
            answers.CrankBalanceAnswer,
            "/v1/crank-balance",
            {
                "masses": masses,
                "weighed": weighed,
                "balance_factor": balance_factor,
                "layout": layout,
                "throws": throws,
                "cylinders": cylinders,
                "rods_per_journal": rods_per_journal,
                "stroke": stroke,
                "rod_length": rod_length,
                "speed": speed,
                "cylinder_spacing": cylinder_spacing,
                "bank_angle": bank_angle,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def cylinder_spread(
        self,
        *,
        bore: Quantity,
        stroke: Quantity,
        cylinders: int,
        gasket: parts.GasketPart,
        by_cylinder: Sequence[parts.CylinderPart],
        chamber_volume: Quantity | None = None,
        deck_clearance: Quantity | None = None,
        stack: parts.StackPart | None = None,
        crown: parts.CrownPart | None = None,
        duty: parts.CylinderDutyPart | None = None,
        top_land: parts.TopLandPart | None = None,
        rod_length: Quantity | None = None,
        pin_offset: Quantity | None = None,
        limits: parts.CylinderSpreadLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.CylinderSpreadAnswer:
        """Cylinder spread: asks /v1/cylinder-spread.

        Chamber, deck clearance, squish, ring gaps, piston weight and compression cylinder by cylinder in one answer: how far they lie
        apart, what to open, cut or take off each to even them, how much of the spread each piece of work leaves, and which piston or
        rod goes into which cylinder so that least is left before any metal is cut.

        bore : diameter of the cylinder
        stroke : twice the crank throw
        cylinders : number of cylinders
        gasket : the head gasket as compressed
        by_cylinder : the cylinders one by one, with what was measured in each
        chamber_volume : chamber in the head, as poured
        deck_clearance : piston below the deck at top dead center; negative where it stands above
        stack : deck height, rod length and compression height, for cylinders without a deck clearance of their own
        crown : the piston crown, where all are alike
        duty : what the engine is for: a diesel has a squish of its own
        top_land : the crevice above the top ring; left out, it counts as nothing
        rod_length : connecting rod, center to center
        pin_offset : pin offset from the cylinder axis (default '0 mm')
        limits : the caller's own limits, which replace those of common practice
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.cylinder_spread(
        ...     units="inch",
        ...     bore=3.892,
        ...     stroke=3.36,
        ...     cylinders=4,
        ...     gasket={"bore": 3.962, "thickness": "0.040 in ± 0.001 in"},
        ...     crown={"recess": "5 cm3"},
        ...     by_cylinder=[
        ...         {
        ...             "cylinder": 1,
        ...             "chamber_volume": "64.2 cm3 ± 0.2 cm3",
        ...             "deck_clearance": 0.006,
        ...             "piston": "548.6 g",
        ...             "compression_height": 1.561,
        ...         },
        ...         {
        ...             "cylinder": 2,
        ...             "chamber_volume": "63.8 cm3 ± 0.2 cm3",
        ...             "deck_clearance": 0.005,
        ...             "piston": "548.9 g",
        ...             "compression_height": 1.563,
        ...         },
        ...         {
        ...             "cylinder": 3,
        ...             "chamber_volume": "64.9 cm3 ± 0.2 cm3",
        ...             "deck_clearance": 0.007,
        ...             "piston": "550.4 g",
        ...             "compression_height": 1.562,
        ...         },
        ...         {
        ...             "cylinder": 4,
        ...             "chamber_volume": "64.0 cm3 ± 0.2 cm3",
        ...             "deck_clearance": 0.009,
        ...             "piston": "548.5 g",
        ...             "compression_height": 1.56,
        ...         },
        ...     ],
        ... )
        >>> print(answer.ratio.spread)
        0.157986
        """
        return self._calculate(
            answers.CylinderSpreadAnswer,
            "/v1/cylinder-spread",
            {
                "bore": bore,
                "stroke": stroke,
                "cylinders": cylinders,
                "gasket": gasket,
                "by_cylinder": by_cylinder,
                "chamber_volume": chamber_volume,
                "deck_clearance": deck_clearance,
                "stack": stack,
                "crown": crown,
                "duty": duty,
                "top_land": top_land,
                "rod_length": rod_length,
                "pin_offset": pin_offset,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def detonation_margin(
        self,
        *,
        bore: Quantity,
        stroke: Quantity,
        cylinders: int,
        speed: Quantity,
        fuel: parts.FuelPart,
        injection: parts.Injection | None = None,
        cooling: parts.Cooling | None = None,
        rod_length: Quantity | None = None,
        pin_offset: Quantity | None = None,
        duty: parts.DutyPart | None = None,
        boost: parts.BoostPart | None = None,
        nitrous: parts.NitrousPart | None = None,
        intake_closing: Quantity | None = None,
        exhaust_opening: Quantity | None = None,
        ambient: parts.AmbientPart | None = None,
        volumetric_efficiency: Quantity | None = None,
        compression_ratio: Quantity | None = None,
        chamber_volume: Quantity | None = None,
        gasket: parts.GasketPart | None = None,
        deck_clearance: Quantity | None = None,
        stack: parts.StackPart | None = None,
        crown: parts.CrownPart | None = None,
        top_land: parts.TopLandPart | None = None,
        speeds: parts.SpeedsPart | None = None,
        torque_curve: Sequence[parts.CurvePointPart] | None = None,
        limits: parts.DetonationLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.DetonationMarginAnswer:
        """Detonation margin: asks /v1/detonation-margin.

        Whether the fuel stands the build: octane number required and margin, peak pressure, the retard that lets it live and what
        that costs, and the compression and boost at which the fuel is used up, each as a band with what drives it.

        bore : diameter of the cylinder
        stroke : twice the crank throw
        cylinders : number of cylinders
        speed : speed of the crank, at full load
        fuel : what it burns
        injection : where the fuel joins the air; port where nothing is said
        cooling : what cools the cylinders; liquid where nothing is said
        rod_length : connecting rod, center to center
        pin_offset : pin offset from the cylinder axis; 0 where nothing is said
        duty : what the engine is for
        boost : a compressor; left out, there is none
        nitrous : nitrous oxide; left out, there is none
        intake_closing : intake valve closing after bottom dead center
        exhaust_opening : exhaust valve opening before bottom dead center
        ambient : the air that it draws
        volumetric_efficiency : gas drawn in over what the swept volume holds at the manifold's density
        compression_ratio : (swept + clearance) / clearance, where it is known
        chamber_volume : chamber in the head, as poured
        gasket : the head gasket as compressed
        deck_clearance : piston below the deck at top dead center; negative where it stands above
        stack : deck height, rod length and compression height, instead of the deck clearance
        crown : the piston crown
        top_land : the crevice above the top ring; left out, it counts as nothing
        speeds : the range of speeds; left out, from where such an engine is pulled at full load to the speed asked
        torque_curve : how it fills and is boosted over the speeds; straight between the points, held beyond them
        limits : the caller's own limits, which replace those of common practice
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        Give exactly one of: compression_ratio; chamber_volume with gasket with deck_clearance; chamber_volume with gasket with stack.

        >>> answer = client.detonation_margin(
        ...     units="inch",
        ...     bore="3.892 in",
        ...     stroke="3.360 in",
        ...     cylinders=8,
        ...     rod_length="5.860 in",
        ...     compression_ratio="9.2 ± 0.1",
        ...     speed="4500 rpm",
        ...     fuel={"octane": {"rating": 93, "scale": "aki"}},
        ...     duty={"aspiration": "boost", "service": "street"},
        ...     boost={"pressure": "6 psi", "intercooler_effectiveness": 0.6},
        ... )
        >>> print(answer.octane_margin.value)
        -5.58903
        """
        return self._calculate(
            answers.DetonationMarginAnswer,
            "/v1/detonation-margin",
            {
                "bore": bore,
                "stroke": stroke,
                "cylinders": cylinders,
                "speed": speed,
                "fuel": fuel,
                "injection": injection,
                "cooling": cooling,
                "rod_length": rod_length,
                "pin_offset": pin_offset,
                "duty": duty,
                "boost": boost,
                "nitrous": nitrous,
                "intake_closing": intake_closing,
                "exhaust_opening": exhaust_opening,
                "ambient": ambient,
                "volumetric_efficiency": volumetric_efficiency,
                "compression_ratio": compression_ratio,
                "chamber_volume": chamber_volume,
                "gasket": gasket,
                "deck_clearance": deck_clearance,
                "stack": stack,
                "crown": crown,
                "top_land": top_land,
                "speeds": speeds,
                "torque_curve": torque_curve,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def detonation_margin_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Detonation margin, many rows: asks /v1/detonation-margin/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, stroke, cylinders,
            injection, cooling, rod_length, pin_offset, speed, fuel.name, fuel.blend.gasoline, fuel.blend.ethanol,
            fuel.blend.methanol, fuel.octane_weight, fuel.octane.rating, fuel.octane.scale, fuel.octane.ron, fuel.octane.mon,
            fuel.equivalence_ratio, duty.aspiration, duty.service, duty.fuel, boost.pressure, boost.compressor_efficiency,
            boost.intercooler_effectiveness, boost.drive, nitrous.power, nitrous.mass_flow, nitrous.bottle_temperature,
            intake_closing, exhaust_opening, ambient.pressure, ambient.altitude, ambient.temperature, volumetric_efficiency,
            compression_ratio, chamber_volume, gasket.bore, gasket.area, gasket.thickness, gasket.volume, deck_clearance,
            stack.deck_height, stack.rod_length, stack.compression_height, crown.dome, crown.recess, top_land.height,
            top_land.diameter, speeds.low, speeds.high, limits.octane_margin.low, limits.peak_pressure.high, limits.spark_retard.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.detonation_margin_batch(
        ...     units="inch",
        ...     common={
        ...         "stroke": "3.360 in",
        ...         "cylinders": 8,
        ...         "rod_length": "5.860 in",
        ...         "compression_ratio": "9.2",
        ...         "speed": "4500 rpm",
        ...         "fuel": {"octane": {"rating": 93, "scale": "aki"}},
        ...         "duty": {"aspiration": "boost", "service": "street"},
        ...         "boost": {"pressure": "6 psi", "intercooler_effectiveness": 0.6},
        ...     },
        ...     columns={"bore": ["3.892 in", "3.892 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["octane_margin.value"]]
        ['-5.58903', '-5.58903']
        """
        return self._batch("detonation-margin", {"columns": columns, "common": common, "units": units}, options)

    def displacement(
        self,
        *,
        bore: Quantity,
        stroke: Quantity,
        cylinders: int,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.DisplacementAnswer:
        """Displacement: asks /v1/displacement.

        The volume an engine sweeps, from its bore, its stroke and the number of its cylinders.

        bore : diameter of the cylinder
        stroke : twice the crank throw
        cylinders : number of cylinders
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.displacement(units="inch", bore="3.892 in ± 0.0005 in", stroke=3.36, cylinders=8)
        >>> print(answer.displacement)
        319.79 in3
        """
        return self._calculate(
            answers.DisplacementAnswer,
            "/v1/displacement",
            {
                "bore": bore,
                "stroke": stroke,
                "cylinders": cylinders,
                "units": units,
            },
            options,
        )

    def displacement_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Displacement, many rows: asks /v1/displacement/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, stroke, cylinders
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.displacement_batch(
        ...     units="inch",
        ...     common={"stroke": 3.36, "cylinders": 8},
        ...     columns={"bore": ["3.892 in", "3.892 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["displacement"]]
        ['319.79', '319.79']
        """
        return self._batch("displacement", {"columns": columns, "common": common, "units": units}, options)

    def fuel_air_supply(
        self,
        *,
        target_power: Quantity,
        duty: parts.DutyPart | None = None,
        fuel: parts.SuppliedFuelPart | None = None,
        brake_specific_fuel_consumption: Quantity | None = None,
        injectors: parts.InjectorsPart | None = None,
        jets: parts.JetsPart | None = None,
        fuel_pump: parts.FuelPumpPart | None = None,
        throttle: parts.ThrottlePart | None = None,
        ambient: parts.SupplyAmbientPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.FuelAirSupplyAnswer:
        """Fuel and air supply: asks /v1/fuel-air-supply.

        What the power aimed at takes in fuel and air, and what injectors or jets, fuel pump and throttle it asks for.

        target_power : power aimed at, at the crank
        duty : what the engine is for
        fuel : what it burns
        brake_specific_fuel_consumption : fuel for the power at full load; left out, what is usual for the duty
        injectors : injectors
        jets : main jets
        fuel_pump : the fuel pump there is
        throttle : the throttle
        ambient : the air that it draws
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.fuel_air_supply(
        ...     units="inch",
        ...     target_power="500 hp",
        ...     injectors={"count": 8, "flow": "36 lb/h", "fuel_pressure": "58 psi"},
        ...     fuel_pump={"flow": "67 gal/h"},
        ...     throttle={"count": 1, "diameter": "3.54 in"},
        ... )
        >>> print(answer.fuel_flow)
        250 lb/h
        """
        return self._calculate(
            answers.FuelAirSupplyAnswer,
            "/v1/fuel-air-supply",
            {
                "target_power": target_power,
                "duty": duty,
                "fuel": fuel,
                "brake_specific_fuel_consumption": brake_specific_fuel_consumption,
                "injectors": injectors,
                "jets": jets,
                "fuel_pump": fuel_pump,
                "throttle": throttle,
                "ambient": ambient,
                "units": units,
            },
            options,
        )

    def part_selection(
        self,
        *,
        block: parts.SelectionBlockPart,
        cranks: Sequence[parts.CandidateCrankPart],
        rods: Sequence[parts.CandidateRodPart],
        pistons: Sequence[parts.CandidatePistonPart],
        gaskets: Sequence[parts.CandidateGasketPart],
        heads: Sequence[parts.CandidateHeadPart],
        target_compression: parts.TargetCompressionPart | None = None,
        machining: parts.SelectionMachiningPart | None = None,
        limits: parts.SelectionLimitsPart | None = None,
        duty: parts.CylinderDutyPart | None = None,
        prefer: Sequence[parts.Prefer] | None = None,
        each_part: bool | None = None,
        top: int | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.PartSelectionAnswer:
        """Part selection: asks /v1/part-selection.

        Which crankshaft, rods, pistons, gaskets and heads out of the caller's lists go together in a block and reach a compression
        ratio: the best choices by machining, cost and closeness, exactly as if every combination were tried, with every combination
        that does not fit counted under its reason. With one part in each list this is the call that answers whether a piston fits a
        block, rod and head and what the compression is, naming every rule that the combination breaks.

        block : the block in hand
        cranks : crankshafts to choose from
        rods : rods to choose from
        pistons : pistons to choose from
        gaskets : head gaskets to choose from
        heads : cylinder heads to choose from
        target_compression : the compression ratio wanted; it can only be left out with one part in each list, where it is calculated,
            or with each_part
        machining : the work on offer, its limits and prices; left out, none
        limits : the caller's own limits, which replace those of common practice
        duty : what the engine is for
        prefer : what the choices are ranked by, the first key first; keys left out follow in the order operations, cost, closeness
        each_part : judge every part of the lists too: which of them fit with anything on offer, with a verdict and a reason
        top : most choices to answer (default 10)
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.part_selection(
        ...     units="inch",
        ...     target_compression={"value": 9.5, "low": 9.3, "high": 9.7},
        ...     block={
        ...         "deck_height": "9.140 in ± 0.002 in",
        ...         "bore": 3.862,
        ...         "cleanup_bore": 3.88,
        ...         "maximum_bore": 3.922,
        ...         "cylinders": 8,
        ...     },
        ...     cranks=[
        ...         {"id": "in hand", "stroke": 3.36, "rod_journal_diameter": 2.072, "counterweight_radius": 3.25},
        ...         {
        ...             "id": "long",
        ...             "stroke": 3.63,
        ...             "rod_journal_diameter": 2.072,
        ...             "counterweight_radius": 3.35,
        ...             "price": 620,
        ...         },
        ...     ],
        ...     rods=[
        ...         {
        ...             "id": "pressed",
        ...             "length": 5.86,
        ...             "small_end_bore": 0.9499,
        ...             "pin_retention": "press",
        ...             "journal_diameter": 2.072,
        ...         },
        ...         {"id": "forged", "length": 6.16, "small_end_bore": 0.9519, "journal_diameter": 2.072, "price": 480},
        ...     ],
        ...     pistons=[
        ...         {
        ...             "id": "P-1",
        ...             "bore": 3.892,
        ...             "compression_height": "1.275 in ± 0.001 in",
        ...             "recess": "16 cm3 ± 0.5 cm3",
        ...             "top_land": 0.29,
        ...             "second_land": 0.17,
        ...             "pin_diameter": 0.951,
        ...             "pin_length": 2.5,
        ...             "retainer_thickness": 0.08,
        ...             "pin_retentions": ["floating"],
        ...             "boss_below_pin": 0.75,
        ...             "price": 690,
        ...         },
        ...         {
        ...             "id": "P-2",
        ...             "bore": 3.892,
        ...             "compression_height": "1.140 in ± 0.001 in",
        ...             "recess": "21 cm3 ± 0.5 cm3",
        ...             "top_land": 0.28,
        ...             "second_land": 0.17,
        ...             "pin_diameter": 0.951,
        ...             "pin_length": 2.5,
        ...             "retainer_thickness": 0.08,
        ...             "boss_below_pin": 0.75,
        ...             "price": 720,
        ...         },
        ...         {
        ...             "id": "P-3",
        ...             "bore": 3.882,
        ...             "compression_height": 1.275,
        ...             "recess": "12 cm3",
        ...             "top_land": 0.2,
        ...             "second_land": 0.15,
        ...             "pin_diameter": 0.951,
        ...             "aspirations": ["natural"],
        ...             "price": 410,
        ...         },
        ...     ],
        ...     gaskets=[
        ...         {"id": "thin", "bore": 3.962, "thickness": "0.027 in ± 0.001 in", "price": 55},
        ...         {"id": "thick", "bore": 3.962, "thickness": "0.040 in ± 0.001 in", "price": 60},
        ...     ],
        ...     heads=[
        ...         {
        ...             "id": "closed",
        ...             "chamber_volume": "57 cm3 ± 0.5 cm3",
        ...             "chamber_area": "68 cm2",
        ...             "mill_max": 0.03,
        ...             "price": 900,
        ...         },
        ...         {"id": "open", "chamber_volume": "68 cm3 ± 0.5 cm3", "chamber_area": "72 cm2", "mill_max": 0.03},
        ...     ],
        ...     machining={
        ...         "bore": {"price": 280},
        ...         "deck_cut": {"max": 0.02, "price": 180},
        ...         "head_mill": {"max": 0.03, "price": 140},
        ...         "small_end_hone": {"max": 0.004, "price": 90},
        ...     },
        ...     duty={"aspiration": "boost"},
        ...     top=5,
        ... )
        >>> print(answer.choices[0].results.compression_ratio)
        9.38229
        """
        return self._calculate(
            answers.PartSelectionAnswer,
            "/v1/part-selection",
            {
                "block": block,
                "cranks": cranks,
                "rods": rods,
                "pistons": pistons,
                "gaskets": gaskets,
                "heads": heads,
                "target_compression": target_compression,
                "machining": machining,
                "limits": limits,
                "duty": duty,
                "prefer": prefer,
                "each_part": each_part,
                "top": top,
                "units": units,
            },
            options,
        )

    def power_gain(
        self,
        *,
        before: Quantity | parts.BeforePart,
        after: Quantity | parts.AfterPart,
        baseline_power: Quantity,
        bore: Quantity | None = None,
        stroke: Quantity | None = None,
        cylinders: int | None = None,
        injection: parts.Injection | None = None,
        cooling: parts.Cooling | None = None,
        rod_length: Quantity | None = None,
        pin_offset: Quantity | None = None,
        speed: Quantity | None = None,
        fuel: parts.FuelPart | None = None,
        duty: parts.DutyPart | None = None,
        boost: parts.BoostPart | None = None,
        nitrous: parts.NitrousPart | None = None,
        intake_closing: Quantity | None = None,
        exhaust_opening: Quantity | None = None,
        ambient: parts.AmbientPart | None = None,
        volumetric_efficiency: Quantity | None = None,
        moving: parts.MovingPart | None = None,
        spin_up: parts.SpinUpPart | None = None,
        limits: parts.PowerLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.PowerGainAnswer:
        """Power gain: asks /v1/power-gain.

        What a change of a build is worth in power and torque: by the trade's rule, by the air-standard and the fuel-air cycle, and by
        the cylinder cycle at the timing the fuel allows; and what lighter moving parts free while the engine gains speed.

        before : before the change: a compression ratio, or an object with the build's state
        after : after the change: a compression ratio, or an object with what changes of the build
        baseline_power : power before the change
        bore : diameter of the cylinder
        stroke : twice the crank throw
        cylinders : number of cylinders
        injection : where the fuel joins the air; port where nothing is said
        cooling : what cools the cylinders; liquid where nothing is said
        rod_length : connecting rod, center to center
        pin_offset : pin offset from the cylinder axis; 0 where nothing is said
        speed : speed of the crank, at full load
        fuel : what it burns
        duty : what the engine is for
        boost : a compressor; left out, there is none
        nitrous : nitrous oxide; left out, there is none
        intake_closing : intake valve closing after bottom dead center
        exhaust_opening : exhaust valve opening before bottom dead center
        ambient : the air that it draws
        volumetric_efficiency : gas drawn in over what the swept volume holds at the manifold's density
        moving : what has to be spun up
        spin_up : how fast the engine gains speed, for the power that its own moving masses take
        limits : the caller's own limits, which replace those of common practice
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.power_gain(units="inch", before="10 ± 0.1", after="11 ± 0.1", baseline_power="500 hp")
        >>> print(answer.estimate.value.gain)
        3.11047 %
        """
        return self._calculate(
            answers.PowerGainAnswer,
            "/v1/power-gain",
            {
                "before": before,
                "after": after,
                "baseline_power": baseline_power,
                "bore": bore,
                "stroke": stroke,
                "cylinders": cylinders,
                "injection": injection,
                "cooling": cooling,
                "rod_length": rod_length,
                "pin_offset": pin_offset,
                "speed": speed,
                "fuel": fuel,
                "duty": duty,
                "boost": boost,
                "nitrous": nitrous,
                "intake_closing": intake_closing,
                "exhaust_opening": exhaust_opening,
                "ambient": ambient,
                "volumetric_efficiency": volumetric_efficiency,
                "moving": moving,
                "spin_up": spin_up,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def power_gain_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Power gain, many rows: asks /v1/power-gain/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, stroke, cylinders,
            injection, cooling, rod_length, pin_offset, speed, fuel.name, fuel.blend.gasoline, fuel.blend.ethanol,
            fuel.blend.methanol, fuel.octane_weight, fuel.octane.rating, fuel.octane.scale, fuel.octane.ron, fuel.octane.mon,
            fuel.equivalence_ratio, duty.aspiration, duty.service, duty.fuel, boost.pressure, boost.compressor_efficiency,
            boost.intercooler_effectiveness, boost.drive, nitrous.power, nitrous.mass_flow, nitrous.bottle_temperature,
            intake_closing, exhaust_opening, ambient.pressure, ambient.altitude, ambient.temperature, volumetric_efficiency, before,
            after, baseline_power, moving.reciprocating_mass, moving.rotating_mass, moving.crank_inertia, moving.flywheel_inertia,
            spin_up.rate, spin_up.acceleration, spin_up.overall_ratio, spin_up.tire_radius, limits.spark_retard.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.power_gain_batch(
        ...     units="inch",
        ...     common={"before": "10", "after": "11"},
        ...     columns={"baseline_power": ["500 hp", "500 hp"]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["estimate.value.gain"]]
        ['3.11047', '3.11047']
        """
        return self._batch("power-gain", {"columns": columns, "common": common, "units": units}, options)

    def ring_gap(
        self,
        *,
        bore: Quantity,
        duty: parts.CylinderDutyPart | None = None,
        boost: parts.BoostLevelPart | None = None,
        nitrous: parts.NitrousPart | None = None,
        cylinders: int | None = None,
        cooling: parts.Cooling | None = None,
        alloy: parts.Alloy | None = None,
        rings: parts.RingsPart | None = None,
        bore_material: parts.BoreMaterial | None = None,
        temperatures: parts.RingTemperaturesPart | None = None,
        measured: Sequence[parts.MeasuredGapsPart] | None = None,
        limits: parts.GapLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.RingGapAnswer:
        """Ring gap: asks /v1/ring-gap.

        The end gap each ring wants, by common practice for the duty and by how much the heat closes it, and what to file off the gaps
        that were measured.

        bore : diameter of the cylinder
        duty : what the engine is for
        boost : how much boost there is; left out, the usual of a boosted duty
        nitrous : how much nitrous oxide the whole engine gets; left out, the usual of such a duty
        cylinders : number of cylinders
        cooling : what cools the cylinders (default 'liquid')
        alloy : what the pistons are made of, out of the materials table; left out, a forging
        rings : what the rings are made of
        bore_material : what the cylinder wall is made of, out of the materials table (default 'gray_iron')
        temperatures : temperatures; left out, those of common practice for the duty
        measured : the gaps as measured, cylinder by cylinder
        limits : the caller's own limits, say from the instructions that came with the rings
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.ring_gap(
        ...     units="inch",
        ...     bore="3.892 in",
        ...     duty={"aspiration": "boost", "service": "street", "fuel": "gasoline"},
        ...     rings={"top": {"material": "steel_4140"}, "second": {"material": "gray_iron"}},
        ...     measured=[
        ...         {"cylinder": 1, "top": "0.0205 in ± 0.0005 in", "second": "0.024 in"},
        ...         {"cylinder": 2, "top": "0.014 in", "second": "0.021 in"},
        ...     ],
        ... )
        >>> print(answer.top.recommended_gap)
        0.0196437 in
        """
        return self._calculate(
            answers.RingGapAnswer,
            "/v1/ring-gap",
            {
                "bore": bore,
                "duty": duty,
                "boost": boost,
                "nitrous": nitrous,
                "cylinders": cylinders,
                "cooling": cooling,
                "alloy": alloy,
                "rings": rings,
                "bore_material": bore_material,
                "temperatures": temperatures,
                "measured": measured,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def ring_gap_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Ring gap, many rows: asks /v1/ring-gap/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, duty.aspiration,
            duty.service, duty.fuel, boost.pressure, nitrous.power, nitrous.mass_flow, nitrous.bottle_temperature, cylinders, cooling,
            alloy, rings.top.material, rings.second.material, rings.oil_rail.material, bore_material, temperatures.ring,
            temperatures.second_ring, temperatures.oil_rail, temperatures.bore, temperatures.assembly, limits.top.low,
            limits.top.high, limits.second.low, limits.second.high, limits.oil_rail.low, limits.oil_rail.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.ring_gap_batch(
        ...     units="inch",
        ...     common={
        ...         "duty": {"aspiration": "boost", "service": "street", "fuel": "gasoline"},
        ...         "rings": {"top": {"material": "steel_4140"}, "second": {"material": "gray_iron"}},
        ...         "measured": [
        ...             {"cylinder": 1, "top": "0.0205 in", "second": "0.024 in"},
        ...             {"cylinder": 2, "top": "0.014 in", "second": "0.021 in"},
        ...         ],
        ...     },
        ...     columns={"bore": ["3.892 in", "3.892 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["top.recommended_gap"]]
        ['0.0196437', '0.0196437']
        """
        return self._batch("ring-gap", {"columns": columns, "common": common, "units": units}, options)

    def skirt_clearance(
        self,
        *,
        alloy: parts.Alloy,
        bore: Quantity | None = None,
        bores: Sequence[parts.BoreReadingPart] | None = None,
        bore_material: parts.BoreMaterial | None = None,
        duty: parts.CylinderDutyPart | None = None,
        boost: parts.BoostLevelPart | None = None,
        nitrous: parts.NitrousPart | None = None,
        cylinders: int | None = None,
        cooling: parts.Cooling | None = None,
        skirt: Quantity | None = None,
        skirts: Sequence[parts.SkirtReadingPart] | None = None,
        coating_thickness: Quantity | None = None,
        coating_measured: parts.CoatingMeasured | None = None,
        temperatures: parts.SkirtTemperaturesPart | None = None,
        limits: parts.SkirtLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.SkirtClearanceAnswer:
        """Skirt clearance: asks /v1/skirt-clearance.

        The cold clearance a piston's skirt wants for its alloy and duty, what is left of it when hot, which piston suits which
        cylinder, and what to hone. Clearances are to the metal of the skirt; a coating counts on both sides.

        alloy : what the pistons are made of, out of the materials table
        bore : diameter of the cylinder
        bores : the bores as measured, instead of one bore for all
        bore_material : what the cylinder wall is made of, out of the materials table (default 'gray_iron')
        duty : what the engine is for
        boost : how much boost there is; left out, the usual of a boosted duty
        nitrous : how much nitrous oxide the whole engine gets; left out, the usual of such a duty
        cylinders : number of cylinders
        cooling : what cools the cylinders (default 'liquid')
        skirt : diameter of the skirt at its gauge point, across the thrust faces
        skirts : the skirts as measured; with bores, one for each of them, or more to pick from: eight of ten
        coating_thickness : coating on each side of the skirt (default '0 mm')
        coating_measured : whether the skirts were measured over the coating or before it was put on (default 'over')
        temperatures : temperatures; left out, those of common practice for the duty
        limits : the caller's own limits, say from the instructions that came with the pistons
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        Give exactly one of: bore; bores.

        >>> answer = client.skirt_clearance(
        ...     units="inch",
        ...     bore="3.892 in ± 0.0002 in",
        ...     alloy="4032",
        ...     duty={"aspiration": "natural", "service": "street", "fuel": "gasoline"},
        ...     skirt="3.8893 in ± 0.0001 in",
        ... )
        >>> print(answer.hot_clearance)
        0.00021331 in
        """
        return self._calculate(
            answers.SkirtClearanceAnswer,
            "/v1/skirt-clearance",
            {
                "alloy": alloy,
                "bore": bore,
                "bores": bores,
                "bore_material": bore_material,
                "duty": duty,
                "boost": boost,
                "nitrous": nitrous,
                "cylinders": cylinders,
                "cooling": cooling,
                "skirt": skirt,
                "skirts": skirts,
                "coating_thickness": coating_thickness,
                "coating_measured": coating_measured,
                "temperatures": temperatures,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def skirt_clearance_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Skirt clearance, many rows: asks /v1/skirt-clearance/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, alloy, bore_material,
            duty.aspiration, duty.service, duty.fuel, boost.pressure, nitrous.power, nitrous.mass_flow, nitrous.bottle_temperature,
            cylinders, cooling, skirt, coating_thickness, coating_measured, temperatures.skirt, temperatures.bore,
            temperatures.assembly, limits.clearance.low, limits.clearance.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.skirt_clearance_batch(
        ...     units="inch",
        ...     common={
        ...         "alloy": "4032",
        ...         "duty": {"aspiration": "natural", "service": "street", "fuel": "gasoline"},
        ...         "skirt": "3.8893 in",
        ...     },
        ...     columns={"bore": ["3.892 in", "3.892 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["hot_clearance"]]
        ['0.00021331', '0.00021331']
        """
        return self._batch("skirt-clearance", {"columns": columns, "common": common, "units": units}, options)

    def strength(
        self,
        *,
        bore: Quantity,
        stroke: Quantity,
        cylinders: int,
        speed: Quantity,
        piston: parts.StrengthPistonPart,
        pin: parts.StrengthPinPart,
        rod: parts.StrengthRodPart,
        injection: parts.Injection | None = None,
        cooling: parts.Cooling | None = None,
        rod_length: Quantity | None = None,
        pin_offset: Quantity | None = None,
        fuel: parts.FuelPart | None = None,
        duty: parts.DutyPart | None = None,
        boost: parts.BoostPart | None = None,
        nitrous: parts.NitrousPart | None = None,
        intake_closing: Quantity | None = None,
        exhaust_opening: Quantity | None = None,
        ambient: parts.AmbientPart | None = None,
        volumetric_efficiency: Quantity | None = None,
        compression_ratio: Quantity | None = None,
        chamber_volume: Quantity | None = None,
        gasket: parts.GasketPart | None = None,
        deck_clearance: Quantity | None = None,
        stack: parts.StackPart | None = None,
        crown: parts.CrownPart | None = None,
        top_land: parts.TopLandPart | None = None,
        temperatures: parts.StrengthTemperaturesPart | None = None,
        strengths: parts.StrengthsPart | None = None,
        exposure: parts.Exposure | None = None,
        factor_of_safety: Quantity | None = None,
        limits: parts.StrengthLimitsPart | None = None,
        peak_pressure: Quantity | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.StrengthAnswer:
        """Strength: asks /v1/strength.

        What piston, pin and rod bear of gas and inertia, their stresses against what the material stands at its temperature, the
        weakest of them, and how much boost or nitrous oxide brings it down to the factor of safety wanted.

        bore : diameter of the cylinder
        stroke : twice the crank throw
        cylinders : number of cylinders
        speed : speed of the crank, at full load
        piston : the piston
        pin : the piston pin
        rod : the connecting rod
        injection : where the fuel joins the air; port where nothing is said
        cooling : what cools the cylinders; liquid where nothing is said
        rod_length : connecting rod, center to center
        pin_offset : pin offset from the cylinder axis; 0 where nothing is said
        fuel : what it burns
        duty : what the engine is for
        boost : a compressor; left out, there is none
        nitrous : nitrous oxide; left out, there is none
        intake_closing : intake valve closing after bottom dead center
        exhaust_opening : exhaust valve opening before bottom dead center
        ambient : the air that it draws
        volumetric_efficiency : gas drawn in over what the swept volume holds at the manifold's density
        compression_ratio : (swept + clearance) / clearance, where it is known
        chamber_volume : chamber in the head, as poured
        gasket : the head gasket as compressed
        deck_clearance : piston below the deck at top dead center; negative where it stands above
        stack : deck height, rod length and compression height, instead of the deck clearance
        crown : the piston crown
        top_land : the crevice above the top ring; left out, it counts as nothing
        temperatures : how hot the parts run; left out, as common practice for the duty
        strengths : the caller's own strengths of the materials as hot as they run; they replace those of the tables
        exposure : how long a piston is as hot as that: long for an engine's life at full load, short for runs of minutes (default
            'long')
        factor_of_safety : factor of safety wanted of every part; left out, practice's by material and method
        limits : the caller's own limits, which replace those of common practice
        peak_pressure : highest pressure in the cylinder, absolute, where it is known: instead of the compression
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        Give exactly one of: peak_pressure; compression_ratio; chamber_volume with gasket with deck_clearance; chamber_volume with
        gasket with stack.

        >>> answer = client.strength(
        ...     bore="84.3 mm",
        ...     stroke="85.3 mm",
        ...     cylinders=4,
        ...     rod_length="142.35 mm",
        ...     compression_ratio="10.0 ± 0.1",
        ...     speed="7000 rpm",
        ...     duty={"aspiration": "natural", "service": "sport", "fuel": "gasoline"},
        ...     volumetric_efficiency="0.95 ± 0.03",
        ...     piston={
        ...         "mass": "420 g",
        ...         "alloy": "2618",
        ...         "top_land": "7 mm",
        ...         "second_land": "4.5 mm",
        ...         "land_groove_root": "76.8 mm",
        ...         "crown_thickness": "8 mm",
        ...         "crown_span": "32 mm",
        ...     },
        ...     pin={
        ...         "outer": "22 mm",
        ...         "inner": "12 mm",
        ...         "length": "60 mm",
        ...         "mass": "125 g",
        ...         "boss_span": "25 mm",
        ...         "material": "steel_4340",
        ...     },
        ...     rod={
        ...         "mass": "560 g",
        ...         "small_end_mass": "175 g",
        ...         "small_end_width": "22 mm",
        ...         "material": "steel_4340",
        ...         "shank": {"height": "24 mm", "width": "17 mm", "web": "4.5 mm", "flange": "4.5 mm"},
        ...     },
        ... )
        >>> print(answer.least_factor)
        3.25869
        """
        return self._calculate(
            answers.StrengthAnswer,
            "/v1/strength",
            {
                "bore": bore,
                "stroke": stroke,
                "cylinders": cylinders,
                "speed": speed,
                "piston": piston,
                "pin": pin,
                "rod": rod,
                "injection": injection,
                "cooling": cooling,
                "rod_length": rod_length,
                "pin_offset": pin_offset,
                "fuel": fuel,
                "duty": duty,
                "boost": boost,
                "nitrous": nitrous,
                "intake_closing": intake_closing,
                "exhaust_opening": exhaust_opening,
                "ambient": ambient,
                "volumetric_efficiency": volumetric_efficiency,
                "compression_ratio": compression_ratio,
                "chamber_volume": chamber_volume,
                "gasket": gasket,
                "deck_clearance": deck_clearance,
                "stack": stack,
                "crown": crown,
                "top_land": top_land,
                "temperatures": temperatures,
                "strengths": strengths,
                "exposure": exposure,
                "factor_of_safety": factor_of_safety,
                "limits": limits,
                "peak_pressure": peak_pressure,
                "units": units,
            },
            options,
        )

    def valve_clearance(
        self,
        *,
        stroke: Quantity,
        gasket: parts.FittedGasketPart,
        lift: Sequence[parts.LiftPart],
        deck_clearance: Quantity | None = None,
        rod_length: Quantity | None = None,
        stack: parts.StackPart | None = None,
        pin_offset: Quantity | None = None,
        bore: Quantity | None = None,
        relief: parts.ReliefPart | None = None,
        valve_angle: Quantity | None = None,
        valve_angles: parts.ValveAnglesPart | None = None,
        valve_drop: Quantity | None = None,
        valve_drops: parts.ValveDropsPart | None = None,
        radial: parts.RadialsPart | None = None,
        head_mill: Quantity | None = None,
        deck_cut: Quantity | None = None,
        new_gasket_thickness: Quantity | None = None,
        limits: parts.ValveLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.ValveClearanceAnswer:
        """Valve clearance: asks /v1/valve-clearance.

        The clearance between each valve and its piston through the overlap, along the valve's axis and at its edge: how small it
        gets, at which crank angle, before and after milling the head, cutting the deck or fitting another gasket, and how much more
        may be cut.

        stroke : twice the crank throw
        gasket : the head gasket as compressed
        lift : lift through the overlap, every few degrees from before to after it
        deck_clearance : piston below the deck at top dead center; negative where it stands above
        rod_length : connecting rod, center to center
        stack : deck height, rod length and compression height, instead of deck clearance and rod length
        pin_offset : pin offset from the cylinder axis (default '0 mm')
        bore : diameter of the cylinder
        relief : how deep the reliefs are
        valve_angle : of both valves' axes to the bore's
        valve_angles : the angle of each valve, instead of one for both
        valve_drop : head's face to the closed valves' faces, along the bore; negative where they hang out
        valve_drops : the drop of each valve, instead of one for both
        radial : sizes across, for the clearance at the valves' edges
        head_mill : to be milled off the head (default '0 mm')
        deck_cut : to be cut off the deck (default '0 mm')
        new_gasket_thickness : thickness, as compressed, of another gasket to be fitted
        limits : the caller's own limits, which replace those of common practice
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        Give exactly one of: deck_clearance with rod_length; stack.
        Give exactly one of: valve_angle; valve_angles.
        Give exactly one of: valve_drop; valve_drops.

        >>> answer = client.valve_clearance(
        ...     units="inch",
        ...     stroke=3.36,
        ...     deck_clearance="0.005 in ± 0.002 in",
        ...     rod_length=5.86,
        ...     gasket={"thickness": "0.040 in ± 0.001 in"},
        ...     lift=[
        ...         {"crank": "-20 deg", "intake": 0.02, "exhaust": 0.19},
        ...         {"crank": "-10 deg", "intake": 0.045, "exhaust": 0.125},
        ...         {"crank": "-5 deg", "intake": 0.062, "exhaust": 0.1},
        ...         {"crank": "0 deg", "intake": "0.081 in ± 0.003 in", "exhaust": "0.078 in ± 0.003 in"},
        ...         {"crank": "5 deg", "intake": 0.104, "exhaust": 0.06},
        ...         {"crank": "10 deg", "intake": "0.130 in ± 0.003 in", "exhaust": 0.044},
        ...         {"crank": "20 deg", "intake": 0.192, "exhaust": 0.019},
        ...     ],
        ...     relief={"intake": "0.120 in ± 0.005 in", "exhaust": "0.130 in ± 0.005 in"},
        ...     valve_angle="18 deg",
        ...     valve_drop=0.06,
        ...     radial={"intake": {"valve_diameter": 1.965, "relief_diameter": 2.12, "center_offset": 0.01}},
        ...     head_mill=0.03,
        ... )
        >>> print(answer.intake.minimum)
        0.0862077 in
        """
        return self._calculate(
            answers.ValveClearanceAnswer,
            "/v1/valve-clearance",
            {
                "stroke": stroke,
                "gasket": gasket,
                "lift": lift,
                "deck_clearance": deck_clearance,
                "rod_length": rod_length,
                "stack": stack,
                "pin_offset": pin_offset,
                "bore": bore,
                "relief": relief,
                "valve_angle": valve_angle,
                "valve_angles": valve_angles,
                "valve_drop": valve_drop,
                "valve_drops": valve_drops,
                "radial": radial,
                "head_mill": head_mill,
                "deck_cut": deck_cut,
                "new_gasket_thickness": new_gasket_thickness,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def valve_train(
        self,
        *,
        camshaft: parts.Camshaft,
        head_mill: Quantity | None = None,
        deck_cut: Quantity | None = None,
        gasket: parts.FittedGasketPart | None = None,
        new_gasket_thickness: Quantity | None = None,
        stem_rise: Quantity | None = None,
        base_circle_loss: Quantity | None = None,
        valve_lift: Quantity | None = None,
        pushrod: parts.PushrodPart | None = None,
        rocker: parts.RockerPart | None = None,
        lifter: parts.LifterPart | None = None,
        spring: parts.SpringPart | None = None,
        retainer_to_seal: Quantity | None = None,
        stem_diameter: Quantity | None = None,
        cam_drive: parts.CamDrivePart | None = None,
        limits: parts.ValveTrainLimitsPart | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> answers.ValveTrainAnswer:
        """Valve train: asks /v1/valve-train.

        What milling, decking, another gasket, valve work or a reground cam does to the valve train: the pushrod that keeps its
        geometry, lifter preload or lash, the rocker's sweep, coil bind and retainer room, and how far an overhead cam lags.

        camshaft : in the block, with pushrods, or over the head
        head_mill : milled off the head (default '0 mm')
        deck_cut : cut off the deck (default '0 mm')
        gasket : the head gasket as compressed, where another is fitted
        new_gasket_thickness : thickness, as compressed, of another gasket that is fitted
        stem_rise : how much higher the stem's tip stands after work on valves and seats (default '0 mm')
        base_circle_loss : how much smaller the radius of the cam's base circle is than it was, say of a reground cam (default '0 mm')
        valve_lift : highest lift of the valve; coil bind, retainer and sweep need it
        pushrod : the pushrod
        rocker : the rocker
        lifter : the lifter
        spring : the valve spring
        retainer_to_seal : retainer to the guide's seal with the valve closed, before the work
        stem_diameter : of the valve's stem; the sweep is held against it
        cam_drive : the drive of an overhead cam
        limits : the caller's own limits, which replace those of common practice
        units : What a bare number means, and the units of the answer.
        options : for this call alone

        >>> answer = client.valve_train(
        ...     units="inch",
        ...     camshaft="block",
        ...     head_mill="0.030 in ± 0.001 in",
        ...     deck_cut=0.01,
        ...     stem_rise=0.01,
        ...     valve_lift=0.52,
        ...     pushrod={"length": 7.8, "lean": "6 deg"},
        ...     rocker={"ratio": 1.6, "arm_length": 1.45, "mounting": "fixed"},
        ...     lifter={"preload": "0.035 in ± 0.005 in"},
        ...     spring={"installed_height": 1.8, "coil_bind_height": 1.15},
        ...     retainer_to_seal=0.62,
        ...     stem_diameter=0.341,
        ... )
        >>> print(answer.lifter.preload)
        0.0810297 in
        """
        return self._calculate(
            answers.ValveTrainAnswer,
            "/v1/valve-train",
            {
                "camshaft": camshaft,
                "head_mill": head_mill,
                "deck_cut": deck_cut,
                "gasket": gasket,
                "new_gasket_thickness": new_gasket_thickness,
                "stem_rise": stem_rise,
                "base_circle_loss": base_circle_loss,
                "valve_lift": valve_lift,
                "pushrod": pushrod,
                "rocker": rocker,
                "lifter": lifter,
                "spring": spring,
                "retainer_to_seal": retainer_to_seal,
                "stem_diameter": stem_diameter,
                "cam_drive": cam_drive,
                "limits": limits,
                "units": units,
            },
            options,
        )

    def valve_train_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
        options: Options | None = None,
    ) -> BatchAnswer:
        """Valve train, many rows: asks /v1/valve-train/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be camshaft, head_mill, deck_cut,
            gasket.thickness, gasket.bore, gasket.area, gasket.volume, new_gasket_thickness, stem_rise, base_circle_loss, valve_lift,
            pushrod.length, pushrod.lean, pushrod.fitted_length, rocker.ratio, rocker.mounting, rocker.arm_length, rocker.off_square,
            lifter.preload, lifter.lash, spring.installed_height, spring.coil_bind_height, retainer_to_seal, stem_diameter,
            cam_drive.pitch_diameter, cam_drive.teeth, cam_drive.pitch, cam_drive.drive, cam_drive.lean, limits.preload.low,
            limits.preload.high, limits.coil_bind.low, limits.coil_bind.high, limits.retainer.low, limits.retainer.high,
            limits.cam_shift.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer
        options : for this call alone

        >>> answer = client.valve_train_batch(
        ...     units="inch",
        ...     common={
        ...         "camshaft": "block",
        ...         "head_mill": "0.030 in",
        ...         "deck_cut": 0.01,
        ...         "stem_rise": 0.01,
        ...         "pushrod": {"length": 7.8, "lean": "6 deg"},
        ...         "rocker": {"ratio": 1.6, "arm_length": 1.45, "mounting": "fixed"},
        ...         "lifter": {"preload": "0.035 in"},
        ...         "spring": {"installed_height": 1.8, "coil_bind_height": 1.15},
        ...         "retainer_to_seal": 0.62,
        ...         "stem_diameter": 0.341,
        ...     },
        ...     columns={"valve_lift": [0.52, 0.52]},
        ... )
        >>> [f"{value:.6g}" for value in answer.columns["lifter.preload"]]
        ['0.0810297', '0.0810297']
        """
        return self._batch("valve-train", {"columns": columns, "common": common, "units": units}, options)
