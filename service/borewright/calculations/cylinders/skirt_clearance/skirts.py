"""Bores and skirts in a request: as measured, how hot they run, where the coating counts, the caller's own limits."""

from __future__ import annotations

from borewright.calculations.base.fields import Label, Quantity, RequestPart
from borewright.calculations.common.engine import bore
from borewright.calculations.common.temperatures import measuring_temperature, part_temperature


def skirt_diameter(*, required: bool = False) -> Quantity:
    """The diameter of a piston's skirt, measured cold at its gauge point.

    >>> skirt_diameter().required
    False
    """
    return Quantity("length", "4 mm", "500 mm", "diameter of the skirt at its gauge point, across the thrust faces", required=required)


class BoreReadingPart(RequestPart):
    """One bore as measured."""

    cylinder = Label(1, 24, "number of the cylinder", required=True)
    diameter = bore()


class SkirtReadingPart(RequestPart):
    """One skirt as measured."""

    piston = Label(1, 999, "number of the piston", required=True)
    diameter = skirt_diameter(required=True)


class SkirtTemperaturesPart(RequestPart):
    """How hot skirt and bore run, and how warm they were when measured."""

    skirt = part_temperature("of the skirt at its gauge point, when hot")
    bore = part_temperature("of the cylinder wall where the skirt runs, when hot")
    assembly = measuring_temperature()


class ClearanceRangePart(RequestPart):
    """The caller's own range for the cold clearance to the metal of the skirt."""

    low = Quantity("length", "0 mm", "5 mm", "smallest cold clearance wanted", required=True)
    high = Quantity("length", "0 mm", "5 mm", "largest cold clearance wanted", required=True)
