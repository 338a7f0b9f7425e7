"""A program over the client that openapi-python-client makes of the document: python use_generated.py <address>."""

import sys
from typing import TypeVar

from borewright_generated import Client
from borewright_generated.api.batches import displacement_batch
from borewright_generated.api.calculations import build_sheet, compression, displacement
from borewright_generated.api.reference import reference_units
from borewright_generated.models import (
    BuildSheetRequest,
    CompressionRequest,
    DisplacementBatchRequest,
    DisplacementBatchRequestColumns,
    DisplacementFields,
    DisplacementRequest,
    GasketPart,
    Problem,
    Units,
)

Answer = TypeVar("Answer")


def answered(found: Answer | Problem | None) -> Answer:
    """The answer.

    Raises SystemExit where it is a problem.
    """
    if found is None or isinstance(found, Problem):
        raise SystemExit(f"refused: {found}")
    return found


def main(address: str) -> None:
    """Ask a few operations of a service."""
    with Client(base_url=address) as client:
        volume = answered(displacement.sync(client=client, body=DisplacementRequest(bore="94 mm", stroke="88 mm", cylinders=4)))
        print("displacement", volume.displacement.value, volume.displacement.unit.value, volume.verdict.value)
        request = CompressionRequest(
            units=Units.METRIC,
            bore=94.0,
            stroke=88.0,
            cylinders=4,
            chamber_volume="52 cm3 ± 0.5 cm3",
            gasket=GasketPart(bore=95.0, thickness=1.0),
            deck_clearance=0.3,
        )
        ratio = answered(compression.sync(client=client, body=request))
        print("compression", ratio.compression_ratio.value, [check.name.value for check in ratio.checks], ratio.sensitivity[0].input_)
        rows = DisplacementBatchRequest(
            units=Units.METRIC,
            common=DisplacementFields(stroke=88.0, cylinders=4),
            columns=DisplacementBatchRequestColumns(bore=[94.0, "94.5 mm", None]),
        )
        batch = answered(displacement_batch.sync(client=client, body=rows))
        print("batch", batch.columns.displacement, [failure.row for failure in batch.failures])
        order = {"order": {"id": "HL-0001"}, "build": {"bore": "94 mm", "stroke": "88 mm", "cylinders": 4}}
        sheet = answered(build_sheet.sync(client=client, body=BuildSheetRequest.from_dict(order)))
        print("sheet", sheet.verdict.value, sheet.input_digest[:8])
        units = answered(reference_units.sync(client=client))
        print("units", units.source)


if __name__ == "__main__":
    main(sys.argv[1])
