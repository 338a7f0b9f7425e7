"""How hot the parts run: as given, or as practice has it for how far the engine is forced."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.calculations.common.duty import between, forced
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import table

PLACES = ("crown", "top_land", "second_land", "pin_boss", "pin", "rod")
MOST = 2.0
"""Twice the heat of the usual boost: beyond it parts that live are cooled by oil jets, and get no hotter."""
KNOTS = np.array([0.0, 1.0, MOST])


def forced_shares(request: Mapping[str, Any], duty: Mapping[str, Any], bore: FloatArray, outcome: Outcome) -> dict[str, FloatArray]:
    """How far boost and nitrous oxide heat the parts, in units of the duty's row, together at most `MOST`.

    >>> from borewright.calculations.base.outcome import Outcome
    >>> duty = {"aspiration": "natural", "service": "street"}
    >>> found = forced_shares({"boost": {"pressure": np.array([400e3])}}, duty, np.array([0.1]), Outcome({}))
    >>> float(found["boost"][0])
    2.0
    """
    shares = forced(request, outcome, duty, bore)
    boost = np.minimum(shares["boost"], MOST)
    return {"boost": boost, "nitrous": np.minimum(shares["nitrous"], MOST - boost)}


def running_hot(given: Mapping[str, Any], service: str, shares: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
    """Temperature of each place [K]: given, or that of practice.

    >>> hot = running_hot({}, "race", {"boost": np.array([0.0, 1.0]), "nitrous": np.array([0.0, 0.0])})
    >>> hot["crown"].round(2).tolist()
    [533.15, 553.15]
    """
    found = {}
    for place in PLACES:
        at = between("strength", service, f"{place}_temperature", shares)
        found[place] = np.asarray(given[place]) + 0.0 * at if place in given else at
    return found


def assume_hot(given: Mapping[str, Any], found: Mapping[str, FloatArray], service: str, outcome: Outcome) -> None:
    """List the temperatures that were not given.

    >>> outcome = Outcome({})
    >>> nothing = {"boost": np.zeros(1), "nitrous": np.zeros(1)}
    >>> assume_hot({"crown": 500.0}, running_hot({}, "street", nothing), "street", outcome)
    >>> len(outcome.assumptions)
    5
    """
    source = table("strength").row(f"natural_{service}").source
    for place in PLACES:
        if place not in given:
            outcome.assumptions.append(Assumption(f"temperatures.{place}", found[place], "common practice", source, "temperature"))
