"""Quantities: what a caller writes, what SI says, what a tolerance does."""

from borewright.quantities.propagation import AdditivePlan, Propagated, Summaries, TolerancePlan
from borewright.quantities.reading import (
    BARE_KINDS,
    MAX_SPELLING,
    NoUnitError,
    OtherKindError,
    QuantityError,
    Reading,
    SpellingTooLongError,
    TooLargeError,
    UnknownUnitError,
    plain_name,
    read_quantity,
    spelling_pattern,
)
from borewright.quantities.rounding import rounded, significant
from borewright.quantities.thorough import ThoroughPlan
from borewright.quantities.units import KINDS, SYSTEMS, Kind, System, Unit, from_si, to_si

__all__ = [
    "BARE_KINDS",
    "KINDS",
    "MAX_SPELLING",
    "SYSTEMS",
    "AdditivePlan",
    "Kind",
    "NoUnitError",
    "OtherKindError",
    "Propagated",
    "QuantityError",
    "Reading",
    "SpellingTooLongError",
    "Summaries",
    "System",
    "ThoroughPlan",
    "TolerancePlan",
    "TooLargeError",
    "Unit",
    "UnknownUnitError",
    "from_si",
    "plain_name",
    "read_quantity",
    "rounded",
    "significant",
    "spelling_pattern",
    "to_si",
]
