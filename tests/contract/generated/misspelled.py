"""Each line that ends in `# wrong` has to be an error of mypy's, and no other: what openapi-python-client makes has types that hold."""

from borewright_generated.models import (
    Aspiration,
    CompressionAnswer,
    DetonationMarginBatchRequest,
    DetonationMarginBatchRequestColumns,
    DisplacementBatchAnswer,
    LengthFigure,
    RingGapBatchRequestColumns,
    RingGapFields,
    Value,
)


def figures(answer: CompressionAnswer, batch: DisplacementBatchAnswer) -> list[object]:
    """Members of answers."""
    clearance: LengthFigure = answer.deck_clearance
    swept: LengthFigure = answer.swept_volume  # wrong
    return [
        clearance.value,
        clearance.valeu,  # wrong
        swept,
        answer.compression_ration,  # wrong
        answer.verdict.value,
        answer.verdcit,  # wrong
        batch.columns.displacement,
        batch.columns.displacment,  # wrong
        answer.checks[0].limits.low,
        answer.checks[0].limits.lwo,  # wrong
    ]


def columns() -> list[object]:
    """Columns of requests."""
    return [
        RingGapBatchRequestColumns(bore=[94.0, "94.5 mm", Value(value=3.7, unit="in"), None], duty_aspiration=[Aspiration.BOOST, None]),
        RingGapBatchRequestColumns(bores=[94.0, 94.5]),  # wrong
        RingGapBatchRequestColumns(boost_presure=["50 kPa"]),  # wrong
        RingGapBatchRequestColumns(duty_aspiration=[1.0, 2.0]),  # wrong
        RingGapBatchRequestColumns(duty_aspiration=["blown"]),  # wrong
        RingGapBatchRequestColumns(cylinders=["four"]),  # wrong
        RingGapBatchRequestColumns(bore=94.0),  # wrong
        DetonationMarginBatchRequest(columns=DetonationMarginBatchRequestColumns(speed=["5500 rpm"])),
        DetonationMarginBatchRequest(columns={"speed": ["5500 rpm"]}),  # wrong
        DetonationMarginBatchRequest(),  # wrong
        RingGapFields(bore_material=3),  # wrong
    ]
