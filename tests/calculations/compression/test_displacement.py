"""Displacement against its closed form, for any spelling of its inputs."""

import itertools
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.calculations.base.single import answer
from borewright.calculations.compression.displacement import CALCULATION
from borewright.quantities import KINDS, from_si, to_si
from borewright.rules.cautions import ESTIMATE

UNITS = st.sampled_from(list(KINDS["length"].units))
SYSTEMS = st.sampled_from([None, "metric", "inch"])
BORES = st.floats(0.021, 0.48)
STROKES = st.floats(0.021, 0.58)
CYLINDERS = st.integers(1, 24)


def request(bore: float, stroke: float, cylinders: int, unit: str = "m", system: str | None = None) -> dict[str, Any]:
    """A request from SI sizes, spelled in a unit."""
    sizes = {name: f"{from_si(size, unit, 'length')!r} {unit}" for name, size in (("bore", bore), ("stroke", stroke))}
    return {**sizes, "cylinders": cylinders, **({"units": system} if system else {})}


def si(figure: dict[str, Any], kind: str) -> float:
    """A figure of the answer in SI."""
    return to_si(figure["value"], figure["unit"], kind)


@given(bore=BORES, stroke=STROKES, cylinders=CYLINDERS, unit=UNITS, system=SYSTEMS)
def test_closed_form(bore: float, stroke: float, cylinders: int, unit: str, system: str | None) -> None:
    """π/4·B²·S·n whatever the units of the request and of the answer."""
    found = answer(CALCULATION, request(bore, stroke, cylinders, unit, system))
    area = math.pi / 4 * bore**2
    assert si(found["bore_area"], "area") == pytest.approx(area, rel=1e-9)
    assert si(found["swept_volume"], "displacement") == pytest.approx(area * stroke, rel=1e-9)
    assert si(found["displacement"], "displacement") == pytest.approx(area * stroke * cylinders, rel=1e-9)
    assert found["bore_stroke_ratio"] == {"value": pytest.approx(bore / stroke, rel=1e-9), "unit": "1"}
    inch = system == "inch"
    assert (found["displacement"]["unit"], found["bore_area"]["unit"]) == (("in3", "in2") if inch else ("cm3", "cm2"))
    assert (found["checks"], found["assumptions"], found["sensitivity"], found["cautions"]) == ([], [], [], [ESTIMATE])


@given(bore=BORES, stroke=STROKES, cylinders=st.integers(1, 23), more=st.floats(1.001, 1.02))
def test_more_of_anything_is_more(bore: float, stroke: float, cylinders: int, more: float) -> None:
    """Displacement rises with each of its parts: with the square of the bore, and in proportion to stroke and cylinders."""

    def displaced(*sizes: Any) -> float:
        return float(answer(CALCULATION, request(*sizes))["displacement"]["value"])

    base = displaced(bore, stroke, cylinders)
    assert displaced(bore * more, stroke, cylinders) == pytest.approx(base * more**2, rel=1e-9)
    assert displaced(bore, stroke * more, cylinders) == pytest.approx(base * more, rel=1e-9)
    assert displaced(bore, stroke, cylinders + 1) - base == pytest.approx(base / cylinders, rel=1e-9)


@given(sizes=st.tuples(st.floats(0.05, 0.2), st.floats(0.05, 0.2)), shares=st.tuples(st.floats(1e-5, 0.01), st.floats(1e-5, 0.01)))
def test_corners_are_single_answers(sizes: tuple[float, float], shares: tuple[float, float]) -> None:
    """Bounds equal the extremes of the exact answers at every corner; the uncertainty is the closed form's."""
    widths = [size * share for size, share in zip(sizes, shares, strict=True)]
    spelled = {n: f"{s!r} m ± {w!r} m" for n, s, w in zip(("bore", "stroke"), sizes, widths, strict=True)}
    found = answer(CALCULATION, {**spelled, "cylinders": 8})
    corners = [
        answer(CALCULATION, request(bore, stroke, 8))
        for bore, stroke in itertools.product(*((s - w, s + w) for s, w in zip(sizes, widths, strict=True)))
    ]
    for name in ("displacement", "swept_volume", "bore_area", "bore_stroke_ratio"):
        values = [corner[name]["value"] for corner in corners]
        assert (found[name]["low"], found[name]["high"]) == pytest.approx((min(values), max(values)), rel=1e-11)
    relative = math.sqrt((2 * shares[0]) ** 2 + shares[1] ** 2) / math.sqrt(3)
    assert found["displacement"]["uncertainty"] == pytest.approx(2 * relative * found["displacement"]["value"], rel=1e-7)
    contributions = {entry["input"]: entry["contribution"] for entry in found["sensitivity"]}
    total = (2 * shares[0]) ** 2 + shares[1] ** 2
    assert contributions == pytest.approx({"#/bore": (2 * shares[0]) ** 2 / total, "#/stroke": shares[1] ** 2 / total}, rel=1e-6)


@pytest.mark.parametrize("bore", ["0 mm", "4.9 mm", "501 mm", "4 m"])
def test_absurd_bores(bore: str) -> None:
    """They can't be, with the range there is."""
    with pytest.raises(ImpossibleBuild, match=r"#/bore: this is outside what can be: the allowed range is 5 to 500 mm"):
        answer(CALCULATION, {"bore": bore, "stroke": "85.3 mm", "cylinders": 4})


def test_nothing_given() -> None:
    """All that is missing is told at once."""
    with pytest.raises(InvalidRequest) as refused:
        answer(CALCULATION, {})
    assert [error.pointer for error in refused.value.errors] == ["#/bore", "#/stroke", "#/cylinders"]
