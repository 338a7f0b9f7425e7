"""A keyword-only method for each calculation of the service."""

from collections.abc import Mapping, Sequence
from typing import cast

from borewright_client._transport import Transport
from borewright_client._types import Answer, BatchAnswer, Measured, Quantity, Units


class DisplacementAnswer(Answer):
    """What `displacement` answers."""

    displacement: Measured
    swept_volume: Measured
    bore_area: Measured
    bore_stroke_ratio: Measured


class Operations(Transport):
    """The calculations as methods; fields left at None are not sent."""

    def displacement(self, *, bore: Quantity, stroke: Quantity, cylinders: int, units: Units | None = None) -> DisplacementAnswer:
        """Calculate the displacement of an engine from its bore, stroke and number of cylinders.

        >>> answer = client.displacement(bore="4.030 in", stroke="3.480 in", cylinders=8, units="inch")
        >>> answer["displacement"]
        {'value': 355.115153209, 'unit': 'in3'}
        """
        return cast(
            DisplacementAnswer,
            self._calculate("displacement", {"bore": bore, "stroke": stroke, "cylinders": cylinders, "units": units}),
        )

    def displacement_batch(
        self, *, columns: Mapping[str, Sequence[object]], common: Mapping[str, object] | None = None, units: Units | None = None
    ) -> BatchAnswer:
        """Calculate `displacement` for many rows in one request; `common` holds what all rows share.

        >>> answer = client.displacement_batch(common={"stroke": 3.480, "cylinders": 8}, columns={"bore": [4.000, 4.030]}, units="inch")
        >>> answer["columns"]["displacement"]
        [349.847757904, 355.115153209]
        """
        return self._batch("displacement", {"columns": columns, "common": common, "units": units})
