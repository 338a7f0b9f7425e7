"""What the service is measured beside: a bare Flask echo, and the compression question as one would write it at first go.

The second is FastAPI, pydantic and pint used the plain way: a model of the body, quantities read by pint, the formula in floats, a loop
over the corners of the tolerances. It refuses less, judges less and explains nothing; it says compression, displacement and squish.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import Any

import pint
from fastapi import FastAPI, HTTPException
from flask import Flask, Response, request
from pydantic import BaseModel, ConfigDict

echo = Flask("echo")


@echo.post("/v1/compression")
def _echo() -> Response:
    return Response(request.get_data(), mimetype="application/json")


naive = FastAPI()
registry = pint.UnitRegistry()
KINDS = {
    "length": ("meter", {"inch": "inch", "metric": "millimeter"}),
    "volume": ("meter**3", {"inch": "centimeter**3", "metric": "centimeter**3"}),
}
Size = str | float


class Gasket(BaseModel):
    model_config = ConfigDict(extra="forbid")
    bore: Size
    thickness: Size


class Crown(BaseModel):
    model_config = ConfigDict(extra="forbid")
    dome: Size = "0 cm**3"
    recess: Size = "0 cm**3"


class Question(BaseModel):
    model_config = ConfigDict(extra="forbid")
    units: str = "metric"
    bore: Size
    stroke: Size
    cylinders: int
    chamber_volume: Size
    gasket: Gasket
    deck_clearance: Size
    crown: Crown = Crown()


def read(given: Size, kind: str, units: str) -> tuple[float, float]:
    """A quantity in SI and the half-width of its tolerance."""
    si, bare = KINDS[kind]
    if isinstance(given, str):
        value, _, tolerance = given.partition("±")
        try:
            found = registry.Quantity(value.strip()).to(si).magnitude
            width = registry.Quantity(tolerance.strip()).to(si).magnitude if tolerance else 0.0
        except pint.PintError as error:
            raise HTTPException(422, str(error)) from None
        return float(found), float(width)
    return float(registry.Quantity(given, bare[units]).to(si).magnitude), 0.0


def ratio(B: float, S: float, chamber: float, gasket_bore: float, gasket: float, deck: float, dome: float, recess: float) -> float:
    swept = math.pi / 4.0 * B**2 * S
    clearance = chamber + math.pi / 4.0 * gasket_bore**2 * gasket + math.pi / 4.0 * B**2 * deck + recess - dome
    return (swept + clearance) / clearance


def swept(B: float, S: float, *_: float) -> float:
    return math.pi / 4.0 * B**2 * S


def squish(B: float, S: float, chamber: float, gasket_bore: float, gasket: float, deck: float, dome: float, recess: float) -> float:
    return gasket + deck


def figure(function: Callable[..., float], sizes: list[tuple[float, float]], unit: str, si: str) -> dict[str, Any]:
    """A result with its bounds over the corners and its uncertainty (k = 2) from differences."""
    nominal = [value for value, _ in sizes]

    def shown(value: float) -> float:
        return float(registry.Quantity(value, si).to(unit).magnitude)

    answer: dict[str, Any] = {"value": shown(function(*nominal)), "unit": unit}
    loose = [index for index, (_, width) in enumerate(sizes) if width]
    if loose:
        found = []
        for signs in itertools.product((-1.0, 1.0), repeat=len(loose)):
            corner = list(nominal)
            for sign, index in zip(signs, loose, strict=True):
                corner[index] += sign * sizes[index][1]
            found.append(function(*corner))
        variance = 0.0
        for index in loose:
            up, down = list(nominal), list(nominal)
            up[index] += 0.02 * sizes[index][1]
            down[index] -= 0.02 * sizes[index][1]
            variance += ((function(*up) - function(*down)) / 0.04) ** 2 / 3.0
        answer |= {"low": shown(min(found)), "high": shown(max(found)), "uncertainty": shown(2.0 * math.sqrt(variance))}
    return answer


@naive.post("/v1/compression")
def _compression(question: Question) -> dict[str, Any]:
    units = question.units
    sizes = [
        read(question.bore, "length", units),
        read(question.stroke, "length", units),
        read(question.chamber_volume, "volume", units),
        read(question.gasket.bore, "length", units),
        read(question.gasket.thickness, "length", units),
        read(question.deck_clearance, "length", units),
        read(question.crown.dome, "volume", units),
        read(question.crown.recess, "volume", units),
    ]
    length, volume = ("inch", "inch**3") if units == "inch" else ("millimeter", "centimeter**3")
    return {
        "compression_ratio": figure(ratio, sizes, "dimensionless", "dimensionless"),
        "swept_volume": figure(swept, sizes, volume, "meter**3"),
        "displacement": figure(lambda *given: question.cylinders * swept(*given), sizes, volume, "meter**3"),
        "squish": figure(squish, sizes, length, "meter"),
    }
