"""A keyword-only method for each calculation of the service.

Generated from the calculations: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from collections.abc import Mapping, Sequence
from typing import cast

from borewright_client import answers, parts
from borewright_client._transport import Transport
from borewright_client._types import BatchAnswer, Quantity, Units


class Operations(Transport):
    """The calculations as methods; arguments left at None are not sent."""

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
        duty: parts.DutyPart | None = None,
        units: Units | None = None,
    ) -> answers.CompressionAnswer:
        """Compression: asks /v1/compression.

        The compression ratio of a cylinder as it stands, the parts of its clearance volume, squish, and the ratio from intake
        closing.

        bore : diameter of the cylinder
        stroke : twice the crank throw
        cylinders : number of cylinders
        chamber_volume : chamber in the head, as poured
        gasket : the head gasket as compressed
        deck_clearance : piston below the deck at top dead centre; negative where it stands above
        stack : deck height, rod length and compression height, instead of the deck clearance
        crown : the piston crown
        top_land : the crevice above the top ring; left out, it counts as nothing
        rod_length : connecting rod, centre to centre
        pin_offset : pin offset from the cylinder axis (default '0 mm')
        intake_closing : intake valve closing after bottom dead centre
        duty : what the engine is for: adds a check of the ratio against common practice
        units : what a bare number means, and the units of the answer; left out, bare numbers are refused and the answer is metric

        Give exactly one of: deck_clearance; stack.

        >>> answer = client.compression(
        ...     units="inch",
        ...     bore="4.030 in ± 0.0005 in",
        ...     stroke="3.480 in",
        ...     cylinders=8,
        ...     chamber_volume="64 cm3 ± 0.5 cm3",
        ...     gasket={"bore": "4.100 in", "thickness": "0.040 in ± 0.001 in"},
        ...     deck_clearance="0.005 in ± 0.002 in",
        ...     crown={"recess": "5 cm3 ± 0.3 cm3"},
        ... )
        >>> figure = answer["compression_ratio"]
        >>> print(f"{figure['value']:.6g}")
        10.2429
        """
        return cast(
            answers.CompressionAnswer,
            self._calculate(
                "compression",
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
                    "units": units,
                },
            ),
        )

    def compression_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
    ) -> BatchAnswer:
        """Compression, many rows: asks /v1/compression/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, stroke, cylinders,
            chamber_volume, gasket.bore, gasket.area, gasket.thickness, gasket.volume, deck_clearance, stack.deck_height,
            stack.rod_length, stack.compression_height, crown.dome, crown.recess, top_land.height, top_land.diameter, rod_length,
            pin_offset, intake_closing, duty.aspiration, duty.service, duty.fuel
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer

        >>> answer = client.compression_batch(
        ...     units="inch",
        ...     common={
        ...         "stroke": "3.480 in",
        ...         "cylinders": 8,
        ...         "chamber_volume": "64 cm3",
        ...         "gasket": {"bore": "4.100 in", "thickness": "0.040 in"},
        ...         "deck_clearance": "0.005 in",
        ...         "crown": {"recess": "5 cm3"},
        ...     },
        ...     columns={"bore": ["4.030 in", "4.030 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer["columns"]["compression_ratio"]]
        ['10.2429', '10.2429']
        """
        return self._batch("compression", {"columns": columns, "common": common, "units": units})

    def displacement(
        self,
        *,
        bore: Quantity,
        stroke: Quantity,
        cylinders: int,
        units: Units | None = None,
    ) -> answers.DisplacementAnswer:
        """Displacement: asks /v1/displacement.

        The volume an engine sweeps, from its bore, its stroke and the number of its cylinders.

        bore : diameter of the cylinder
        stroke : twice the crank throw
        cylinders : number of cylinders
        units : what a bare number means, and the units of the answer; left out, bare numbers are refused and the answer is metric

        >>> answer = client.displacement(units="inch", bore="4.030 in ± 0.0005 in", stroke=3.48, cylinders=8)
        >>> figure = answer["displacement"]
        >>> print(f"{figure['value']:.6g} {figure['unit']}")
        355.115 in3
        """
        return cast(
            answers.DisplacementAnswer,
            self._calculate(
                "displacement",
                {
                    "bore": bore,
                    "stroke": stroke,
                    "cylinders": cylinders,
                    "units": units,
                },
            ),
        )

    def displacement_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
    ) -> BatchAnswer:
        """Displacement, many rows: asks /v1/displacement/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, stroke, cylinders
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer

        >>> answer = client.displacement_batch(
        ...     units="inch",
        ...     common={"stroke": 3.48, "cylinders": 8},
        ...     columns={"bore": ["4.030 in", "4.030 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer["columns"]["displacement"]]
        ['355.115', '355.115']
        """
        return self._batch("displacement", {"columns": columns, "common": common, "units": units})

    def power_gain(
        self,
        *,
        to: Quantity,
        baseline_power: Quantity,
        from_: Quantity,
        units: Units | None = None,
    ) -> answers.PowerGainAnswer:
        """Power gain: asks /v1/power-gain.

        What a change of compression is worth in power: by the trade's rule, by the air-standard cycle and by the fuel-air cycle.

        to : compression ratio after the change
        baseline_power : power before the change
        from_ : compression ratio before the change
        units : what a bare number means, and the units of the answer; left out, bare numbers are refused and the answer is metric

        >>> answer = client.power_gain(units="inch", from_="10 ± 0.1", to="11 ± 0.1", baseline_power="500 hp")
        >>> figure = answer["estimate"]["value"]["gain"]
        >>> print(f"{figure['value']:.6g} {figure['unit']}")
        3.11047 %
        """
        return cast(
            answers.PowerGainAnswer,
            self._calculate(
                "power-gain",
                {
                    "to": to,
                    "baseline_power": baseline_power,
                    "from": from_,
                    "units": units,
                },
            ),
        )

    def power_gain_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
    ) -> BatchAnswer:
        """Power gain, many rows: asks /v1/power-gain/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be to, baseline_power, from
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer

        >>> answer = client.power_gain_batch(
        ...     units="inch",
        ...     common={"from": "10", "baseline_power": "500 hp"},
        ...     columns={"to": ["11", "11"]},
        ... )
        >>> [f"{value:.6g}" for value in answer["columns"]["estimate.value.gain"]]
        ['3.11047', '3.11047']
        """
        return self._batch("power-gain", {"columns": columns, "common": common, "units": units})

    def ring_gap(
        self,
        *,
        bore: Quantity,
        duty: parts.DutyPart | None = None,
        rings: parts.RingsPart | None = None,
        bore_material: parts.BoreMaterial | None = None,
        temperatures: parts.RingTemperaturesPart | None = None,
        measured: Sequence[parts.MeasuredGapsPart] | None = None,
        limits: parts.GapLimitsPart | None = None,
        units: Units | None = None,
    ) -> answers.RingGapAnswer:
        """Ring gap: asks /v1/ring-gap.

        The end gap each ring wants, by common practice for the duty and by how much the heat closes it, and what to file off the gaps
        that were measured.

        bore : diameter of the cylinder
        duty : what the engine is for
        rings : what the rings are made of
        bore_material : what the cylinder wall is made of, out of the materials table (default 'grey_iron')
        temperatures : temperatures; left out, those of common practice for the duty
        measured : the gaps as measured, cylinder by cylinder
        limits : the caller's own limits, say from the instructions that came with the rings
        units : what a bare number means, and the units of the answer; left out, bare numbers are refused and the answer is metric

        >>> answer = client.ring_gap(
        ...     units="inch",
        ...     bore="4.030 in",
        ...     duty={"aspiration": "boost", "service": "street", "fuel": "gasoline"},
        ...     rings={"top": {"material": "steel_4140"}, "second": {"material": "grey_iron"}},
        ...     measured=[
        ...         {"cylinder": 1, "top": "0.0205 in ± 0.0005 in", "second": "0.024 in"},
        ...         {"cylinder": 2, "top": "0.014 in", "second": "0.021 in"},
        ...     ],
        ... )
        >>> figure = answer["top"]["recommended_gap"]
        >>> print(f"{figure['value']:.6g} {figure['unit']}")
        0.0202693 in
        """
        return cast(
            answers.RingGapAnswer,
            self._calculate(
                "ring-gap",
                {
                    "bore": bore,
                    "duty": duty,
                    "rings": rings,
                    "bore_material": bore_material,
                    "temperatures": temperatures,
                    "measured": measured,
                    "limits": limits,
                    "units": units,
                },
            ),
        )

    def ring_gap_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
    ) -> BatchAnswer:
        """Ring gap, many rows: asks /v1/ring-gap/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, duty.aspiration,
            duty.service, duty.fuel, rings.top.material, rings.second.material, rings.oil_rail.material, bore_material,
            temperatures.ring, temperatures.second_ring, temperatures.oil_rail, temperatures.bore, temperatures.assembly,
            limits.top.low, limits.top.high, limits.second.low, limits.second.high, limits.oil_rail.low, limits.oil_rail.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer

        >>> answer = client.ring_gap_batch(
        ...     units="inch",
        ...     common={
        ...         "duty": {"aspiration": "boost", "service": "street", "fuel": "gasoline"},
        ...         "rings": {"top": {"material": "steel_4140"}, "second": {"material": "grey_iron"}},
        ...         "measured": [
        ...             {"cylinder": 1, "top": "0.0205 in", "second": "0.024 in"},
        ...             {"cylinder": 2, "top": "0.014 in", "second": "0.021 in"},
        ...         ],
        ...     },
        ...     columns={"bore": ["4.030 in", "4.030 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer["columns"]["top.recommended_gap"]]
        ['0.0202693', '0.0202693']
        """
        return self._batch("ring-gap", {"columns": columns, "common": common, "units": units})

    def skirt_clearance(
        self,
        *,
        alloy: parts.Alloy,
        bore: Quantity | None = None,
        bores: Sequence[parts.BoreReadingPart] | None = None,
        bore_material: parts.BoreMaterial | None = None,
        duty: parts.DutyPart | None = None,
        skirt: Quantity | None = None,
        skirts: Sequence[parts.SkirtReadingPart] | None = None,
        coating_thickness: Quantity | None = None,
        coating_measured: parts.CoatingMeasured | None = None,
        temperatures: parts.SkirtTemperaturesPart | None = None,
        limits: parts.SkirtLimitsPart | None = None,
        units: Units | None = None,
    ) -> answers.SkirtClearanceAnswer:
        """Skirt clearance: asks /v1/skirt-clearance.

        The cold clearance a piston's skirt wants for its alloy and duty, what is left of it when hot, which piston suits which
        cylinder, and what to hone. Clearances are to the metal of the skirt; a coating counts on both sides.

        alloy : what the pistons are made of, out of the materials table
        bore : diameter of the cylinder
        bores : the bores as measured, instead of one bore for all
        bore_material : what the cylinder wall is made of, out of the materials table (default 'grey_iron')
        duty : what the engine is for
        skirt : diameter of the skirt at its gauge point, across the thrust faces
        skirts : the skirts as measured; with bores, one for each of them
        coating_thickness : coating on each side of the skirt (default '0 mm')
        coating_measured : whether the skirts were measured over the coating or before it was put on (default 'over')
        temperatures : temperatures; left out, those of common practice for the duty
        limits : the caller's own limits, say from the instructions that came with the pistons
        units : what a bare number means, and the units of the answer; left out, bare numbers are refused and the answer is metric

        Give exactly one of: bore; bores.

        >>> answer = client.skirt_clearance(
        ...     units="inch",
        ...     bore="4.030 in ± 0.0002 in",
        ...     alloy="4032",
        ...     duty={"aspiration": "natural", "service": "street", "fuel": "gasoline"},
        ...     skirt="4.0272 in ± 0.0001 in",
        ... )
        >>> figure = answer["hot_clearance"]
        >>> print(f"{figure['value']:.6g} {figure['unit']}")
        0.000225146 in
        """
        return cast(
            answers.SkirtClearanceAnswer,
            self._calculate(
                "skirt-clearance",
                {
                    "alloy": alloy,
                    "bore": bore,
                    "bores": bores,
                    "bore_material": bore_material,
                    "duty": duty,
                    "skirt": skirt,
                    "skirts": skirts,
                    "coating_thickness": coating_thickness,
                    "coating_measured": coating_measured,
                    "temperatures": temperatures,
                    "limits": limits,
                    "units": units,
                },
            ),
        )

    def skirt_clearance_batch(
        self,
        *,
        columns: Mapping[str, Sequence[object]],
        common: Mapping[str, object] | None = None,
        units: Units | None = None,
    ) -> BatchAnswer:
        """Skirt clearance, many rows: asks /v1/skirt-clearance/batch.

        A row that fails is None in every column and listed in `failures`; it fails no other.

        columns : equally long lists by the name of the field, None where a row has none; they can be bore, alloy, bore_material,
            duty.aspiration, duty.service, duty.fuel, skirt, coating_thickness, coating_measured, temperatures.skirt,
            temperatures.bore, temperatures.assembly, limits.clearance.low, limits.clearance.high
        common : the fields that all rows share, as in the single request; no tolerances
        units : what a bare number means, and the units of the answer

        >>> answer = client.skirt_clearance_batch(
        ...     units="inch",
        ...     common={
        ...         "alloy": "4032",
        ...         "duty": {"aspiration": "natural", "service": "street", "fuel": "gasoline"},
        ...         "skirt": "4.0272 in",
        ...     },
        ...     columns={"bore": ["4.030 in", "4.030 in"]},
        ... )
        >>> [f"{value:.6g}" for value in answer["columns"]["hot_clearance"]]
        ['0.000225146', '0.000225146']
        """
        return self._batch("skirt-clearance", {"columns": columns, "common": common, "units": units})
