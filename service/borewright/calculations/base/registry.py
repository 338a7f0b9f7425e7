"""Finding the calculations: each module of the package that defines CALCULATION is one."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

import borewright.calculations as package
from borewright.calculations.base.calculation import Calculation


@cache
def calculations() -> Mapping[str, Calculation]:
    """Every calculation by its name, in alphabetical order.

    >>> "displacement" in calculations()
    True
    """
    found: dict[str, Calculation] = {}
    for module in pkgutil.iter_modules(package.__path__):
        if not module.ispkg:
            calculation = importlib.import_module(f"{package.__name__}.{module.name}").CALCULATION
            found[calculation.name] = calculation
    return MappingProxyType(dict(sorted(found.items())))
