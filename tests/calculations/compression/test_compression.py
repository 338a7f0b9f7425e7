"""Compression against its closed forms, for any spelling of its inputs, and against itself at the corners of tolerances."""

import copy
import itertools
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from borewright.calculations.base.problems import InvalidRequest, Refusal
from borewright.calculations.base.single import answer
from borewright.calculations.compression.compression import CALCULATION
from borewright.quantities import KINDS, from_si, to_si

LENGTHS = list(KINDS["length"].units)
VOLUMES = list(KINDS["volume"].units)
AREAS = list(KINDS["area"].units)
ANGLES = list(KINDS["angle"].units)
CUBIC_CENTIMETER = 1e-6


@st.composite
def spelled(draw: st.DrawFn, kind: str, low: float, high: float) -> tuple[float, str]:
    """A size in SI and one of its spellings."""
    size = draw(st.floats(low, high))
    unit = draw(st.sampled_from(list(KINDS[kind].units)))
    return size, f"{from_si(size, unit, kind)!r} {unit}"


@st.composite
def engines(draw: st.DrawFn) -> tuple[dict[str, float], dict[str, Any]]:
    """An engine in SI and a request that spells it, by one way or another."""
    sizes: dict[str, float] = {}

    def size(name: str, kind: str, low: float, high: float) -> str:
        sizes[name], text = draw(spelled(kind, low, high))
        return text

    request: dict[str, Any] = {
        "bore": size("bore", "length", 0.06, 0.13),
        "stroke": size("stroke", "length", 0.05, 0.11),
        "cylinders": draw(st.integers(1, 12)),
        "chamber_volume": size("chamber", "volume", 40e-6, 120e-6),
        "pin_offset": size("offset", "length", -0.003, 0.003),
        "intake_closing": size("closing", "angle", 0.0, 2.0),
        "top_land": {"height": size("land_height", "length", 0.003, 0.012)},
        "crown": {"dome": size("dome", "volume", 0, 10e-6), "recess": size("recess", "volume", 0, 20e-6)},
    }
    sizes["cylinders"] = request["cylinders"]
    sizes["land_diameter"] = sizes["bore"] - draw(st.floats(0.0003, 0.001))
    request["top_land"]["diameter"] = f"{sizes['land_diameter']!r} m"
    way = draw(st.sampled_from(["bore", "area", "volume"]))
    if way == "volume":
        request["gasket"] = {"volume": size("gasket", "volume", 3e-6, 15e-6)}
    else:
        request["gasket"] = {"thickness": size("thickness", "length", 0.0005, 0.002)}
        if way == "bore":
            request["gasket"]["bore"] = size("opening", "length", 0.06, 0.14)
            sizes["gasket"] = math.pi / 4 * sizes["opening"] ** 2 * sizes["thickness"]
        else:
            request["gasket"]["area"] = size("opening", "area", 0.003, 0.015)
            sizes["gasket"] = sizes["opening"] * sizes["thickness"]
    rod = size("rod", "length", 0.12, 0.2)
    lowest = -sizes.get("thickness", 0.0)  # the piston may stand up to the head
    if draw(st.booleans()):
        request["rod_length"] = rod
        request["deck_clearance"] = size("deck", "length", lowest * 0.9, 0.005)
    else:
        sizes["deck"] = draw(st.floats(lowest * 0.9, 0.005))
        height = size("compression_height", "length", 0.025, 0.045)
        top = math.sqrt((sizes["rod"] + sizes["stroke"] / 2) ** 2 - sizes["offset"] ** 2)
        request["stack"] = {"rod_length": rod, "compression_height": height}
        request["stack"]["deck_height"] = f"{sizes['deck'] + top + sizes['compression_height']!r} m"
    return sizes, request


def closed_form(s: dict[str, float]) -> dict[str, float]:
    """Everything the calculation answers, from plane geometry alone [SI]."""
    area, r, L, e = math.pi / 4 * s["bore"] ** 2, s["stroke"] / 2, s["rod"], s["offset"]
    travel = math.sqrt((L + r) ** 2 - e**2) - math.sqrt((L - r) ** 2 - e**2)
    swept = area * travel
    land = math.pi / 4 * (s["bore"] ** 2 - s["land_diameter"] ** 2) * s["land_height"]
    clearance = s["chamber"] + s["gasket"] + area * s["deck"] + s["recess"] - s["dome"] + land
    # the crank pin seen from its axis, x across and y along the bore, the piston pin at x = −e: a triangle of throw and rod
    theta = math.pi - math.asin(e / (L - r)) + s["closing"]
    x, y = r * math.sin(theta), r * math.cos(theta)
    depth = math.sqrt((L + r) ** 2 - e**2) - (y + math.sqrt(L**2 - (x + e) ** 2))
    return {
        "compression_ratio": (swept + clearance) / clearance,
        "displacement": swept * s["cylinders"],
        "swept_volume": swept,
        "clearance_volume": clearance,
        "deck_clearance": s["deck"],
        "dynamic_compression_ratio": (clearance + area * depth) / clearance,
        "clearance_parts.chamber": s["chamber"],
        "clearance_parts.gasket": s["gasket"],
        "clearance_parts.deck": area * s["deck"],
        "clearance_parts.crown": s["recess"] - s["dome"],
        "clearance_parts.top_land": land,
    }


FIGURES = {
    "compression_ratio": "ratio",
    "displacement": "displacement",
    "swept_volume": "displacement",
    "clearance_volume": "volume",
    "deck_clearance": "length",
    "dynamic_compression_ratio": "ratio",
    **{f"clearance_parts.{part}": "volume" for part in ("chamber", "gasket", "deck", "crown", "top_land")},
}


def si(answered: dict[str, Any], name: str) -> float:
    """A figure of an answer in SI, by its dotted name."""
    figure: Any = answered
    for step in name.split("."):
        figure = figure[step]
    return to_si(figure["value"], figure["unit"], FIGURES[name])


@given(engine=engines(), system=st.sampled_from(["metric", "inch"]))
def test_closed_forms(engine: tuple[dict[str, float], dict[str, Any]], system: str) -> None:
    """Every figure equals its closed form, whichever way and in whichever units the engine is described."""
    sizes, request = engine
    expected = closed_form(sizes)
    assume(1 < expected["compression_ratio"] < 90)
    assume(sizes["deck"] + sizes.get("thickness", 0.0) > 1e-9)
    found = answer(CALCULATION, {**request, "units": system})
    for name, value in expected.items():
        # differences of volumes (deck, crown) carry the rounding of what they are taken from
        slack = 1e-9 * (CUBIC_CENTIMETER if name.startswith("clearance_parts") else 1e-3 if name == "deck_clearance" else 0)
        assert si(found, name) == pytest.approx(value, rel=1e-9, abs=slack), name
    if "thickness" in sizes:
        assert to_si(found["squish"]["value"], found["squish"]["unit"], "length") == pytest.approx(
            sizes["deck"] + sizes["thickness"], rel=1e-9, abs=1e-12
        )
    else:
        assert found["squish"] is None
    assert (found["displacement"]["unit"], found["clearance_volume"]["unit"]) == (("in3", "cm3") if system == "inch" else ("cm3", "cm3"))


BASE: dict[str, Any] = {
    "bore": "96 mm",
    "stroke": "92 mm",
    "cylinders": 8,
    "chamber_volume": "57 cm3",
    "gasket": {"bore": "98 mm", "thickness": "1.0 mm"},
    "deck_clearance": "0.3 mm",
    "crown": {"dome": "2 cm3", "recess": "6 cm3"},
    "top_land": {"height": "7 mm", "diameter": "95.4 mm"},
    "rod_length": "152 mm",
    "pin_offset": "1 mm",
    "intake_closing": "60 deg",
}


def changed(path: str, value: Any) -> dict[str, Any]:
    """The base engine with one value changed; None takes it out."""
    request = copy.deepcopy(BASE)
    holder, steps = request, path.split(".")
    for step in steps[:-1]:
        holder = holder[step]
    if value is None:
        del holder[steps[-1]]
    else:
        holder[steps[-1]] = value
    return request


def ratio(request: dict[str, Any]) -> float:
    """The compression ratio."""
    return float(answer(CALCULATION, request)["compression_ratio"]["value"])


@pytest.mark.parametrize(
    ("path", "unit", "low", "high", "rises"),
    [
        ("stroke", "mm", 60, 110, True),
        ("bore", "mm", 96, 110, True),
        ("crown.dome", "cm3", 0, 20, True),
        ("chamber_volume", "cm3", 40, 120, False),
        ("gasket.bore", "mm", 90, 110, False),
        ("gasket.thickness", "mm", 0.2, 3, False),
        ("deck_clearance", "mm", -0.9, 5, False),
        ("crown.recess", "cm3", 0, 40, False),
        ("top_land.height", "mm", 1, 20, False),
        ("top_land.diameter", "mm", 94, 96, True),
    ],
)
@given(ends=st.tuples(st.floats(0, 1), st.floats(0, 1)))
def test_monotone_in_each_part(path: str, unit: str, low: float, high: float, rises: bool, ends: tuple[float, float]) -> None:
    """More swept volume raises the ratio, more clearance lowers it, whatever part it is in."""
    small, large = sorted(low + share * (high - low) for share in ends)
    assume(large - small > 1e-6 * high)
    less, more = ratio(changed(path, f"{small!r} {unit}")), ratio(changed(path, f"{large!r} {unit}"))
    assert (more > less) == rises
    assert more != less


@given(closing=st.tuples(st.floats(0, 150), st.floats(0, 150)))
def test_later_closing_lowers_the_dynamic_ratio(closing: tuple[float, float]) -> None:
    """It falls from the static ratio at the piston's bottom toward one, and never rises."""
    early, late = sorted(closing)
    first, second = (
        answer(CALCULATION, changed("intake_closing", f"{angle!r} deg"))["dynamic_compression_ratio"]["value"] for angle in (early, late)
    )
    assert 1 < second <= first <= ratio(BASE) + 1e-9


def test_closing_at_the_bottom_is_the_static_ratio() -> None:
    """With or without a pin offset."""
    for offset in ("-2 mm", "0 mm", "2 mm"):
        found = answer(CALCULATION, {**changed("intake_closing", "0 deg"), "pin_offset": offset})
        assert found["dynamic_compression_ratio"]["value"] == pytest.approx(found["compression_ratio"]["value"], rel=1e-11)


def test_dynamic_ratio_by_scanning_the_turn() -> None:
    """With a pin offset the angle counts from the piston's own bottom, found here by a fine scan of the pin's height."""
    r, L, e = 0.046, 0.152, 0.001
    theta = np.linspace(np.pi - 0.05, np.pi + 0.05, 2_000_001)
    lowest = theta[np.argmin(r * np.cos(theta) + np.sqrt(L**2 - (r * np.sin(theta) + e) ** 2))]
    closing = lowest + np.pi / 3
    depth = np.sqrt((L + r) ** 2 - e**2) - (r * np.cos(closing) + np.sqrt(L**2 - (r * np.sin(closing) + e) ** 2))
    found = answer(CALCULATION, BASE)
    clearance = found["clearance_volume"]["value"] * CUBIC_CENTIMETER
    expected = 1 + math.pi / 4 * 0.096**2 * depth / clearance
    assert found["dynamic_compression_ratio"]["value"] == pytest.approx(expected, rel=1e-7)


TOLERANCES = {
    "bore": "96 mm ± 0.02 mm",
    "stroke": "92 mm ± 0.05 mm",
    "chamber_volume": "57 cm3 ± 0.5 cm3",
    "gasket.thickness": "1.0 mm ± 0.03 mm",
    "deck_clearance": "0.3 mm ± 0.05 mm",
    "crown.dome": "2 cm3 ± 0.3 cm3",
    "top_land.diameter": "95.4 mm ± 0.1 mm",
    "intake_closing": "60 deg ± 2 deg",
}


def test_corners_are_single_answers() -> None:
    """The bounds of every figure equal the extremes of the single answers at all 256 corners, one request each."""
    request = copy.deepcopy(BASE)
    for path, text in TOLERANCES.items():
        request = merge(request, path, text)
    found = answer(CALCULATION, request)
    corners = []
    for signs in itertools.product((-1, 1), repeat=len(TOLERANCES)):
        corner = copy.deepcopy(BASE)
        for sign, (path, text) in zip(signs, TOLERANCES.items(), strict=True):
            value, unit, _, width, _ = text.split()
            corner = merge(corner, path, f"{float(value) + sign * float(width)!r} {unit}")
        corners.append(answer(CALCULATION, corner))
    for name in FIGURES:
        steps = name.split(".")

        def figure(tree: Any, steps: list[str] = steps) -> Any:
            for step in steps:
                tree = tree[step]
            return tree

        values = [figure(corner)["value"] for corner in corners]
        bounds = figure(found)
        assert (bounds["low"], bounds["high"]) == pytest.approx((min(values), max(values)), rel=1e-10, abs=1e-10), name
        assert bounds["low"] <= bounds["value"] <= bounds["high"]
        assert bounds["uncertainty"] <= (bounds["high"] - bounds["low"]) * 1.2 + 1e-12  # 2/√3 for one input, less for several
    contributions = [entry["contribution"] for entry in found["sensitivity"]]
    assert sum(contributions) == pytest.approx(1, rel=1e-11)
    assert {entry["input"] for entry in found["sensitivity"]} == {"#/" + path.replace(".", "/") for path in TOLERANCES}
    assert {entry["input"]: entry["contribution"] for entry in found["sensitivity"]}["#/intake_closing"] == 0.0


def merge(request: dict[str, Any], path: str, value: Any) -> dict[str, Any]:
    """A copy of a request with one value set."""
    changed_ = copy.deepcopy(request)
    holder, steps = changed_, path.split(".")
    for step in steps[:-1]:
        holder = holder[step]
    holder[steps[-1]] = value
    return changed_


class TestImpossible:
    """What can't exist, each with the field to blame."""

    @pytest.mark.parametrize(
        ("path", "value", "pointer"),
        [
            ("rod_length", "46 mm", "#/rod_length"),
            ("rod_length", None, "#/rod_length"),  # with an offset
            ("deck_clearance", "-1.1 mm", "#/deck_clearance"),
            ("crown.dome", "90 cm3", "#/chamber_volume"),
            ("crown.dome", "85 cm3", "#/chamber_volume"),
            ("top_land.diameter", "97 mm", "#/top_land/diameter"),
        ],
    )
    def test_refused(self, path: str, value: Any, pointer: str) -> None:
        """Refused with that pointer alone."""
        with pytest.raises(Refusal) as refused:
            answer(CALCULATION, changed(path, value))
        assert {error.pointer for error in refused.value.errors} == {pointer}

    def test_two_rod_lengths(self) -> None:
        """The same twice is fine; two different ones are not."""
        request = changed("deck_clearance", None)
        request["stack"] = {"deck_height": "232 mm", "rod_length": "152 mm", "compression_height": "33 mm"}
        assert answer(CALCULATION, request)["deck_clearance"]["value"] == pytest.approx(1.0 + 198 - math.sqrt(198**2 - 1), rel=1e-9)
        request["stack"]["rod_length"] = "153 mm"
        with pytest.raises(InvalidRequest, match="give it once"):
            answer(CALCULATION, request)

    def test_deck_clearance_or_stack(self) -> None:
        """One of the two."""
        with pytest.raises(InvalidRequest, match=r"one of these is needed: \{deck_clearance\} or \{stack\}"):
            answer(CALCULATION, changed("deck_clearance", None))


class TestChecks:
    """Squish, overhang and duty."""

    @staticmethod
    def verdicts(request: dict[str, Any]) -> dict[str, str]:
        """Verdicts by name."""
        return {check["name"]: check["verdict"] for check in answer(CALCULATION, request)["checks"]}

    @pytest.mark.parametrize(
        ("thickness", "deck", "verdict"),
        [
            ("0.9 mm", "0 mm", "pass"),
            ("0.85 mm", "0 mm", "fail"),
            ("1.5 mm", "0 mm", "pass"),
            ("1.5 mm", "0.1 mm", "watch"),
            ("1 mm ± 0.2 mm", "0 mm", "watch"),
        ],
    )
    def test_squish(self, thickness: str, deck: str, verdict: str) -> None:
        """Common practice's 0.035 to 0.060 in (0.889 to 1.524 mm); tighter the piston can meet the head, wider is watched."""
        request = merge(changed("gasket.thickness", thickness), "deck_clearance", deck)
        assert self.verdicts(request)["squish"] == verdict

    def test_squish_unknown(self) -> None:
        """A gasket by volume alone has no thickness: not guessed."""
        assert self.verdicts(changed("gasket", {"volume": "7 cm3"})) == {"squish": "unknown", "bore-to-gasket-clearance": "unknown"}

    def test_overhang(self) -> None:
        """An opening smaller than the bore fails; within the tolerance it is watched."""
        assert self.verdicts(BASE)["bore-to-gasket-clearance"] == "pass"
        assert self.verdicts(changed("gasket.bore", "95 mm"))["bore-to-gasket-clearance"] == "fail"
        assert self.verdicts(changed("gasket.bore", "96.5 mm ± 1 mm"))["bore-to-gasket-clearance"] == "watch"
        assert self.verdicts(changed("gasket", {"area": "75 cm2", "thickness": "1 mm"}))["bore-to-gasket-clearance"] == "pass"
        assert self.verdicts(changed("gasket", {"area": "70 cm2", "thickness": "1 mm"}))["bore-to-gasket-clearance"] == "fail"

    @pytest.mark.parametrize(
        ("aspiration", "fuel", "verdict"),
        [("natural", "gasoline", "pass"), ("boost", "gasoline", "watch"), ("natural", "methanol", "unknown")],
    )
    def test_duty(self, aspiration: str, fuel: str, verdict: str) -> None:
        """Between 9.75 and 11.5 to 1: within practice without boost, above it with; other fuels are not guessed."""
        request = {**BASE, "chamber_volume": "60 cm3", "duty": {"aspiration": aspiration, "fuel": fuel}}
        assert 9.75 < ratio(request) < 11.5
        assert self.verdicts(request)["compression-for-duty"] == verdict

    def test_without_a_duty_there_is_no_such_check(self) -> None:
        """Nothing is judged for a duty nobody named."""
        assert "compression-for-duty" not in self.verdicts(BASE)


def test_own_limits_replace_those_of_practice() -> None:
    """A squish and a ratio that practice would pass, and the caller does not."""
    usual = changed("duty", {"aspiration": "natural"})
    limits = {"squish": {"high": "0.5 mm"}, "compression_ratio": {"low": 5, "high": 6}}
    before = {check["name"]: check for check in answer(CALCULATION, usual)["checks"]}
    after = {check["name"]: check for check in answer(CALCULATION, {**usual, "limits": limits})["checks"]}
    for name in ("squish", "compression-for-duty"):
        assert (before[name]["basis"], after[name]["basis"], after[name]["verdict"]) == ("common practice", "caller", "fail")
    assert after["squish"]["limits"] == {"low": None, "high": {"value": 0.5, "unit": "mm"}}
    without_duty = answer(CALCULATION, {**BASE, "limits": limits})["checks"]
    assert [check["verdict"] for check in without_duty if check["name"] == "compression-for-duty"] == ["fail"]


def test_crossed_limits_are_refused() -> None:
    with pytest.raises(InvalidRequest) as refused:
        answer(CALCULATION, changed("limits", {"squish": {"low": "1 mm", "high": "0.5 mm"}}))
    assert [error.pointer for error in refused.value.errors] == ["#/limits/squish/high"]


def test_dynamic_ratio_is_null_without_a_rod_length() -> None:
    """The angle alone does not say where the piston stands; the answer says that it is not known."""
    request = {
        "units": "metric",
        "bore": 84.3,
        "stroke": 85.3,
        "cylinders": 4,
        "chamber_volume": 41,
        "gasket": {"bore": 85.3, "thickness": 1.1},
        "deck_clearance": 0.2,
        "intake_closing": 60,
    }
    assert answer(CALCULATION, request)["dynamic_compression_ratio"] is None
    assert answer(CALCULATION, {**request, "rod_length": 142.35})["dynamic_compression_ratio"]["value"] > 5


def test_assumptions() -> None:
    """A pin on the axis and a crown without dome or recess are named where they were assumed."""
    request = {name: BASE[name] for name in ("bore", "stroke", "cylinders", "chamber_volume", "gasket", "deck_clearance")}
    found = {each["name"]: each["value"] for each in answer(CALCULATION, {**request, "crown": {"dome": "2 cm3"}})["assumptions"]}
    assert found == {"crown.recess": {"value": 0.0, "unit": "cm3"}, "pin_offset": {"value": 0.0, "unit": "mm"}}
    found = {each["name"]: each["value"] for each in answer(CALCULATION, request)["assumptions"]}
    assert {"crown.dome", "crown.recess", "pin_offset"} <= set(found)
