"""The levers on compression: what may be milled, cut or exchanged, and the build that comes of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.fields import Many, Part, Price, Quantity, RequestPart, Text
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Outcome
from borewright.calculations.common.engine import CrownPart, GasketPart
from borewright.physics.arrays import FloatArray
from borewright.physics.mechanism.milling import piecewise_linear
from borewright.physics.mechanism.volumes import circle_area

SAME = 1e-9  # m: lengths nearer than this are the same


class PourPart(RequestPart):
    """The chamber volume at one milling depth."""

    depth = Quantity("length", "0 mm", "10 mm", "milled off the head", required=True)
    volume = Quantity("volume", "0 cm3", "5000 cm3", "chamber volume as poured at this depth", required=True)


def work_price() -> Price:
    """What a piece of work costs.

    >>> work_price().required
    False
    """
    return Price("price of this work for the whole engine, in the caller's own currency; left out, nothing")


def work_hours() -> Quantity:
    """How long a piece of work takes.

    >>> work_hours().kind
    'time'
    """
    return Quantity("time", "0 h", "500 h", "time of this work for the whole engine, charged at the shop's labor rate; left out, none")


class HeadMillPart(RequestPart):
    """How far the heads may be milled, and what the chamber loses by it."""

    alternatives = ((("chamber_area",), ("volume_per_depth",), ("profile",)),)

    max = Quantity("length", "0 mm", "10 mm", "most that may come off each head", required=True)
    chamber_area = Quantity("area", "1 cm2", "2200 cm2", "area of the chamber's opening at the head's deck face, with straight walls")
    volume_per_depth = Quantity("volume_per_length", "0.1 cm3/mm", "220 cm3/mm", "chamber volume lost per depth milled")
    profile = Many(
        Part(PourPart, "one pour"),
        "chamber volumes poured at rising depths, straight lines between them; without one at depth 0 the chamber_volume is the first",
        longest=50,
    )
    price = work_price()
    hours = work_hours()


class DeckCutPart(RequestPart):
    """How far the block's decks may be cut."""

    max = Quantity("length", "0 mm", "10 mm", "most that may come off each deck", required=True)
    price = work_price()
    hours = work_hours()


class CrownCutPart(RequestPart):
    """How deep the crowns may be cut, and over how much of them; the flat around the cut stays, and with it squish."""

    alternatives = ((("diameter",), ("area",)),)

    max = Quantity("length", "0 mm", "30 mm", "most that may be cut into each crown, by what its thickness leaves", required=True)
    diameter = Quantity("length", "1 mm", "500 mm", "of a round cut")
    area = Quantity("area", "1 mm2", "2000 cm2", "of a cut that is not round: over a dome, or in a reversed dome")
    price = work_price()
    hours = work_hours()


class NamedGasketPart(GasketPart):
    """A head gasket on offer."""

    name = Text(80, "what the gasket is called", required=True)
    price = Price("price of the set of gaskets, in the caller's own currency; left out, nothing, as for a part in hand")


class NamedCrownPart(CrownPart):
    """A piston crown on offer, on the same compression height."""

    name = Text(80, "what the piston is called", required=True)
    price = Price("price of the set of pistons, in the caller's own currency; left out, nothing, as for a part in hand")


class ChamberRangePart(RequestPart):
    """The chamber volumes that can be had, by choosing heads or opening up chambers."""

    min = Quantity("volume", "0 cm3", "5000 cm3", "smallest chamber volume", required=True)
    max = Quantity("volume", "0 cm3", "5000 cm3", "largest chamber volume", required=True)
    price = work_price()
    hours = work_hours()


class SquishLimitsPart(RequestPart):
    """The caller's own limits of squish."""

    low = Quantity("length", "0 mm", "30 mm", "tightest squish")
    high = Quantity("length", "0 mm", "30 mm", "widest squish")


class LeverLimitsPart(RequestPart):
    """The caller's own limits: no plan leaves them."""

    squish = Part(SquishLimitsPart, "limits of squish")


class LeversPart(RequestPart):
    """What may be changed; what is left out stays as it is."""

    head_mill = Part(HeadMillPart, "milling the heads")
    deck_cut = Part(DeckCutPart, "cutting the decks of the block")
    crown_cut = Part(CrownCutPart, "cutting the crowns of the pistons that are in it")
    gaskets = Many(Part(NamedGasketPart, "a gasket"), "head gaskets on offer", longest=30)
    crowns = Many(Part(NamedCrownPart, "a crown"), "piston crowns on offer", longest=30)
    chamber_volume = Part(ChamberRangePart, "chamber volumes that can be had")
    labor_rate = Price("price of an hour of the shop, in the caller's own currency, for work whose hours are given")
    limits = Part(LeverLimitsPart, "limits that no plan leaves")


def check_levers(levers: Mapping[str, Any], chamber_volume: FloatArray, bore: FloatArray, outcome: Outcome) -> dict[str, Any]:
    """The levers with what can't exist refused and replaced by something harmless.

    >>> outcome = Outcome({})
    >>> levers = {"chamber_volume": {"min": np.array([60e-6]), "max": np.array([55e-6])}}
    >>> sorted(check_levers(levers, np.array([58e-6]), np.array([0.1]), outcome)), outcome.impossible[0].pointer
    (['chamber_volume'], '#/levers/chamber_volume/min')
    """
    checked = dict(levers)
    for kind in ("gaskets", "crowns"):
        names = [entry["name"] for entry in levers.get(kind, [])]
        for index, name in enumerate(names):
            outcome.refuse_where(
                name in names[:index], f"#/levers/{kind}/{index}/name", "this name stands twice: give each its own", Code.GIVEN_TWICE
            )
    squish = levers.get("limits", {}).get("squish", {})
    if "low" in squish and "high" in squish:
        outcome.refuse_where(
            squish["low"] > squish["high"],
            "#/levers/limits/squish/low",
            "the tightest squish is above the widest: exchange them",
            Code.WRONG_ORDER,
        )
    chamber = levers.get("chamber_volume")
    if chamber is not None:
        outcome.refuse_where(
            chamber["min"] > chamber["max"],
            "#/levers/chamber_volume/min",
            "the smallest chamber is above the largest: exchange them",
            Code.WRONG_ORDER,
        )
    _cuts_within(levers.get("crown_cut"), bore, outcome)
    mill = levers.get("head_mill")
    if mill is not None and "profile" in mill and not _profile_holds(mill, chamber_volume, outcome):
        checked["head_mill"] = {"max": mill["max"], "volume_per_depth": np.full(1, 1e-3)}
    return checked


def _cuts_within(cut: Mapping[str, Any] | None, bore: FloatArray, outcome: Outcome) -> None:
    if cut is not None:
        wide = "this is wider than the bore: check the size and its unit"
        name = "diameter" if "diameter" in cut else "area"
        outcome.refuse_where(crown_cut_area(cut) > circle_area(bore), f"#/levers/crown_cut/{name}", wide, Code.IMPOSSIBLE)


def crown_cut_area(cut: Mapping[str, Any]) -> FloatArray:
    """Area over which a crown is cut [m²].

    >>> crown_cut_area({"area": np.array([0.004])})
    array([0.004])
    """
    return np.asarray(cut["area"]) if "area" in cut else circle_area(cut["diameter"])


def _profile_holds(mill: Mapping[str, Any], chamber_volume: FloatArray, outcome: Outcome) -> bool:
    where = "#/levers/head_mill/profile"
    depths, volumes = profile_points(mill, chamber_volume)
    if depths.shape[-1] < 2:
        outcome.refuse_where(True, where, "one pour at depth 0 says nothing of milling: add a pour at a greater depth", Code.MISSING)
        return False
    unordered = (np.diff(depths, axis=-1) <= 0).any(axis=-1)
    growing = (np.diff(volumes, axis=-1) >= 0).any(axis=-1)
    short = mill["max"] > depths[..., -1] + SAME
    outcome.refuse_where(unordered, where, "the depths must rise from pour to pour", Code.WRONG_ORDER)
    outcome.refuse_where(
        growing, where, "the chamber must get smaller with each depth, from the chamber as it stands on: pour it again", Code.IMPOSSIBLE
    )
    outcome.refuse_where(
        short,
        "#/levers/head_mill/max",
        "the profile ends before this depth: pour the chamber that deep or lower the most that may come off",
        Code.WRONG_LENGTH,
    )
    return not bool((unordered | growing).any())


def profile_points(mill: Mapping[str, Any], chamber_volume: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Depths [m] and chamber volumes [m³] of a profile, each of shape (states, points), beginning at depth 0.

    >>> depths, volumes = profile_points({"profile": [{"depth": np.array([1e-3]), "volume": np.array([55e-6])}]}, np.array([60e-6]))
    >>> depths.tolist(), volumes.tolist()
    ([[0.0, 0.001]], [[6e-05, 5.5e-05]])
    """
    depths = [pour["depth"] for pour in mill["profile"]]
    volumes = [pour["volume"] for pour in mill["profile"]]
    if depths[0][0] > SAME:
        depths, volumes = [np.zeros(1), *depths], [chamber_volume, *volumes]
    return np.stack(np.broadcast_arrays(*depths), axis=-1), np.stack(np.broadcast_arrays(*volumes), axis=-1)


def milled_volume(mill: Mapping[str, Any], chamber_volume: FloatArray, depth: npt.ArrayLike) -> FloatArray:
    """Volume a chamber loses at one milling depth [m³] in every state, or at many in a single state.

    >>> float(milled_volume({"chamber_area": np.array([0.007])}, np.array([60e-6]), 0.001)[0])
    7e-06
    """
    if "profile" not in mill:
        return np.asarray(_area(mill) * np.asarray(depth))
    depths, volumes = profile_points(mill, chamber_volume)
    return volumes[..., 0] - piecewise_linear(depth, depths, volumes)


def milling_depth(mill: Mapping[str, Any], chamber_volume: FloatArray, lost: FloatArray) -> FloatArray:
    """Depth at which a chamber has lost a volume [m], in the nominal state; NaN where that is beyond the profile or less than nothing.

    >>> float(milling_depth({"chamber_area": np.array([0.007])}, np.array([60e-6]), np.array(7e-6)))
    0.001
    """
    if "profile" not in mill:
        return np.where(lost >= 0, lost / _area(mill)[0], np.nan)
    depths, volumes = profile_points(mill, chamber_volume)
    gone = volumes[0, 0] - volumes[0]
    inside = (lost >= 0) & (lost <= gone[-1] * (1 + 1e-12))
    return np.where(inside, piecewise_linear(lost, gone, depths[0]), np.nan)


def milling_limit(mill: Mapping[str, Any], chamber_volume: FloatArray) -> tuple[float, str]:
    """How far the heads can be milled [m] and what stops it, in the nominal state.

    >>> milling_limit({"max": np.array([0.02]), "chamber_area": np.array([0.01])}, np.array([1e-4]))
    (0.01, 'chamber')
    """
    most = float(mill["max"][0])
    if "profile" in mill:
        return most, "max"
    emptied = float(chamber_volume[0] / _area(mill)[0])
    return (most, "max") if most <= emptied else (emptied, "chamber")


def _area(mill: Mapping[str, Any]) -> FloatArray:
    return np.asarray(mill["chamber_area"] if "chamber_area" in mill else mill["volume_per_depth"])


def changed_build(
    request: Mapping[str, Any],
    *,
    head_mill: float = 0.0,
    deck_cut: float = 0.0,
    gasket: Mapping[str, Any] | None = None,
    crown: Mapping[str, Any] | None = None,
    chamber_change: float = 0.0,
    crown_cut: float = 0.0,
) -> dict[str, Any]:
    """The request of the build after the work: the same tree, so that the same arithmetic answers it.

    head_mill, deck_cut : taken off [m]
    crown_cut : cut into the crowns that are in it [m]
    gasket, crown : what is fitted instead, None where it stays
    chamber_change : added to the chamber [m³]; its tolerance stays, as the pour is as good as the one before

    >>> request = {"chamber_volume": np.array([60e-6]), "deck_clearance": np.array([0.5e-3]), "levers": {}}
    >>> changed = changed_build(request, deck_cut=0.2e-3, chamber_change=-2e-6)
    >>> round(float(changed["deck_clearance"][0]) * 1e3, 6), round(float(changed["chamber_volume"][0]) * 1e6, 6)
    (0.3, 58.0)
    """
    changed = dict(request)
    if head_mill:
        chamber = request["chamber_volume"]
        changed["chamber_volume"] = chamber - milled_volume(request["levers"]["head_mill"], chamber, head_mill)
    if chamber_change:
        changed["chamber_volume"] = request["chamber_volume"] + chamber_change
    if deck_cut and "stack" in request:
        changed["stack"] = {**request["stack"], "deck_height": request["stack"]["deck_height"] - deck_cut}
    elif deck_cut:
        changed["deck_clearance"] = request["deck_clearance"] - deck_cut
    if gasket is not None:
        changed["gasket"] = gasket
    if crown is not None:
        changed["crown"] = crown
    if crown_cut:
        whole = changed.get("crown", {"dome": np.zeros(1), "recess": np.zeros(1)})
        changed["crown"] = {**whole, "recess": whole["recess"] + crown_cut_area(request["levers"]["crown_cut"]) * crown_cut}
    return changed
