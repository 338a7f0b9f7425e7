"""Tolerances: the service's corners and stencil beside the `uncertainties` package and a Monte Carlo run of the same formula."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np
from batches import medians
from questions import compression
from uncertainties import ufloat

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

DRAWS = 100_000
INCH = 0.0254
SIZES = {"B": (3.892 * INCH, 0.0005 * INCH), "chamber": (57e-6, 0.5e-6), "gasket": (0.040 * INCH, 0.001 * INCH)}


def ratio(B: Any, chamber: Any, gasket: Any) -> Any:
    """The compression ratio of the question, for floats, arrays and uncertain numbers."""
    swept = math.pi / 4.0 * B**2 * (3.360 * INCH)
    clearance = chamber + math.pi / 4.0 * (3.962 * INCH) ** 2 * gasket + math.pi / 4.0 * B**2 * (0.005 * INCH) + 5e-6
    return (swept + clearance) / clearance


def measure(quick: bool) -> Iterator[tuple[str, str, float]]:
    """What is compared, the times, and the ratio."""
    calculation, asked = calculations()["compression"], compression(True)
    draw = np.random.default_rng(1)

    def carlo() -> tuple[float, float]:
        found = ratio(*(draw.uniform(value - width, value + width, DRAWS) for value, width in SIZES.values()))
        return float(found.mean()), 2.0 * float(found.std())

    def package() -> tuple[float, float]:
        found = ratio(*(ufloat(value, width / math.sqrt(3.0)) for value, width in SIZES.values()))
        return float(found.n), 2.0 * float(found.s)

    ours = answer(calculation, asked)["compression_ratio"]
    for _, expanded in (carlo(), package()):
        if abs(expanded / ours["uncertainty"] - 1.0) > 0.02:
            raise SystemExit(f"uncertainty {ours['uncertainty']} against {expanded}")
    repeats = 20 if quick else 100
    ask = partial(answer, calculation, asked)
    for said, other in ((f"Monte Carlo of {DRAWS:,} draws, one result", carlo), ("`uncertainties`, one result", package)):
        taken, whole = medians((other, ask), repeats)
        yield f"tolerances: {said} / ours, the whole answer", f"{taken * 1e3:.3f} ms, ours {whole * 1e3:.3f} ms", taken / whole
