"""What may still be refused of a body that the document admits, told by the codes of the refusal."""

from typing import Any

from borewright.calculations.base.loading import load
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import Refusal
from borewright.calculations.base.registry import calculations

BY_READING = {Code.NO_UNIT, Code.OUT_OF_RANGE}
"""The reading of a body goes by the same schema as the document: a bare number that wants `units` beside it, and how large a quantity
may be, are all that it says besides. What stands twice or is lacking for another field is only found by calculating."""


def codes_of_reading(path: str, body: Any) -> set[Code]:
    """The codes of what the reading of a calculation's body refuses; none for other operations."""
    calculation = calculations().get(path.removeprefix("/v1/"))
    if calculation is None:
        return set()
    try:
        load(calculation.request_schema, body)
    except Refusal as refusal:
        return {error.code for error in refusal.errors}
    return set()
