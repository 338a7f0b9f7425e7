"""Temperatures of parts when cold and when hot: the caller's, or practice's with its assumption listed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.fields import Quantity
from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.physics.arrays import FloatArray
from borewright.quantities import read_quantity

ASSEMBLY = read_quantity("20 degC", "temperature").value
ASSEMBLY_SOURCE = "ISO 1, standard reference temperature for the specification of geometrical and dimensional properties"


def part_temperature(text: str) -> Quantity:
    """A field for how hot a part runs.

    >>> part_temperature("of the ring").kind
    'temperature'
    """
    return Quantity("temperature", "-60 degC", "600 degC", text)


def measuring_temperature() -> Quantity:
    """A field for how warm the parts were when they were measured.

    >>> measuring_temperature().required
    False
    """
    return Quantity("temperature", "-60 degC", "100 degC", "of the parts when they were measured")


def assembly_temperature(given: Mapping[str, Any], outcome: Outcome) -> FloatArray:
    """Temperature at which the parts were measured [K]: given, or the reference temperature, which is then listed as assumed.

    >>> float(assembly_temperature({}, Outcome({}))[0])
    293.15
    """
    if "assembly" in given:
        return np.asarray(given["assembly"])
    value = np.array([ASSEMBLY])
    outcome.assumptions.append(Assumption("temperatures.assembly", value, "published", ASSEMBLY_SOURCE, "temperature"))
    return value


def hot_or_usual(given: Mapping[str, Any], outcome: Outcome, name: str, usual: FloatArray, source: str) -> FloatArray:
    """Temperature of a part when hot [K]: given, or practice's, which is then listed as assumed.

    name : the part, as in `temperatures` of the request

    >>> float(hot_or_usual({}, Outcome({}), "ring", np.array([463.15]), "common practice")[0])
    463.15
    """
    if name in given:
        return np.asarray(given[name])
    outcome.assumptions.append(Assumption(f"temperatures.{name}", usual, "common practice", source, "temperature"))
    return usual
