"""Finding the calculations: each module or package of a room that defines CALCULATION is one, and so is a room that defines it."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator, Mapping
from functools import cache
from types import MappingProxyType, ModuleType

import borewright.calculations as package
from borewright.calculations.base.calculation import Calculation


@cache
def calculations() -> Mapping[str, Calculation]:
    """Every calculation by its name, in alphabetical order.

    >>> "displacement" in calculations()
    True
    """
    found: dict[str, Calculation] = {}
    for room in _inside(package):
        for place in [room] if hasattr(room, "CALCULATION") else _inside(room):
            if hasattr(place, "CALCULATION"):
                found[place.CALCULATION.name] = place.CALCULATION
    return MappingProxyType(dict(sorted(found.items())))


def _inside(place: ModuleType) -> Iterator[ModuleType]:
    """The modules and packages that a package holds."""
    for module in pkgutil.iter_modules(place.__path__):
        yield importlib.import_module(f"{place.__name__}.{module.name}")
