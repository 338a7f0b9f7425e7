"""Quantities: what a caller writes, what SI says, what a tolerance does."""

from borewright.quantities.propagation import AdditivePlan, Propagated, Summaries, TolerancePlan
from borewright.quantities.reading import BARE_KINDS, QuantityError, Reading, TooLargeError, read_quantity, spelling_pattern
from borewright.quantities.rounding import rounded, significant
from borewright.quantities.thorough import ThoroughPlan
from borewright.quantities.units import KINDS, SYSTEMS, Kind, System, Unit, from_si, to_si

__all__ = [
    "BARE_KINDS",
    "KINDS",
    "SYSTEMS",
    "AdditivePlan",
    "Kind",
    "Propagated",
    "QuantityError",
    "Reading",
    "Summaries",
    "System",
    "ThoroughPlan",
    "TolerancePlan",
    "TooLargeError",
    "Unit",
    "from_si",
    "read_quantity",
    "rounded",
    "significant",
    "spelling_pattern",
    "to_si",
]
