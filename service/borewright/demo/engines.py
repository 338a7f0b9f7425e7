"""The invented engines whose sizes the examples, the tests and the demo use."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any


@cache
def _sheets() -> dict[str, dict[str, Any]]:
    return tomllib.loads((resources.files("borewright.demo") / "engines.toml").read_text(encoding="utf-8"))


def engine(name: str) -> dict[str, Any]:
    """Sheet of an invented engine by its name, "eight" (inches) or "four" (millimeters); volumes of chambers are in cm3.

    Raises KeyError where there is no such engine.

    >>> engine("eight")["description"], engine("eight")["bore"], engine("eight")["stroke"]
    ('invented V8, sizes in inches', 3.862, 3.36)
    >>> round(engine("four")["bore"] ** 2 * engine("four")["stroke"] * engine("four")["cylinders"] * 0.7854e-3), "cm3"
    (1904, 'cm3')
    """
    return dict(_sheets()[name])
