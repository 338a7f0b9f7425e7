"""What a formula can't answer becomes a refusal by the frame: at its input, in its words, in a batch as in a request."""

from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.answers import Answer, Figure
from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Quantity, Request
from borewright.calculations.base.outcome import Outcome
from borewright.calculations.base.problems import ImpossibleBuild
from borewright.calculations.base.single import answer
from borewright.physics.mechanism.piston_motion import mean_piston_speed
from borewright.physics.mechanism.volumes import annulus_volume, circle_area


class TubeRequest(Request):
    """A tube that may be impossible."""

    outer = Quantity("length", "0 mm", "1 m", "outer diameter", required=True)
    inner = Quantity("length", "0 mm", "1 m", "inner diameter", required=True)
    height = Quantity("length", "0 mm", "1 m", "height", required=True)


class TubeAnswer(Answer):
    """Its metal."""

    metal = Figure("volume", "the metal")
    speed = Figure("speed", "how fast it goes", nullable=True)
    hole = Figure("area", "the hole")


def _compute(request: dict[str, Any]) -> Outcome:
    metal = annulus_volume(request["outer"], request["inner"], request["height"])
    return Outcome({"metal": metal, "speed": mean_piston_speed(request["height"], 100.0), "hole": circle_area(request["inner"])})


TUBE = Calculation(
    name="tube",
    title="Tube",
    text="A tube.",
    request=TubeRequest,
    answer=TubeAnswer,
    compute=_compute,
    headline=("metal",),
    examples={},
    sources=(),
    published=(),
    batch=True,
)
IMPOSSIBLE = [("#/outer", "an annulus needs 0 <= inner <= outer and height >= 0")]


def refusal(body: dict[str, Any]) -> list[tuple[str, str]]:
    with pytest.raises(ImpossibleBuild) as found:
        answer(TUBE, body)
    return [(error.pointer, error.detail) for error in found.value.errors]


def test_the_refusal_is_the_formulas_at_its_input() -> None:
    assert refusal({"outer": "20 mm", "inner": "21 mm", "height": "10 mm"}) == IMPOSSIBLE


def test_a_result_that_may_be_null_refuses_nothing() -> None:
    found = answer(TUBE, {"outer": "20 mm", "inner": "10 mm", "height": "0 mm"})
    assert found["speed"] is None
    assert found["metal"] == {"value": 0.0, "unit": "cm3"}


def test_a_corner_of_the_tolerances_is_refused_as_well() -> None:
    [(pointer, detail)] = refusal({"outer": "20 mm ± 0.1 mm", "inner": "19.95 mm ± 0.1 mm", "height": "10 mm"})
    assert (pointer, detail) == ("#/outer", f"at a corner of the stated tolerances: {IMPOSSIBLE[0][1]}")
    assert answer(TUBE, {"outer": "20 mm ± 0.1 mm", "inner": "19.8 mm ± 0.1 mm", "height": "10 mm"})["metal"]["low"] == 0.0


def test_a_row_of_a_batch_fails_as_the_single_request() -> None:
    columns = {"outer": [20.0, 20.0, 20.0], "inner": [19.0, 21.0, 18.0], "height": [10.0, 10.0, 0.0]}
    found = answer_batch(TUBE, {"units": "metric", "columns": columns}, most_rows=10)
    expected = [{"pointer": pointer, "detail": detail, "code": "impossible"} for pointer, detail in IMPOSSIBLE]
    assert found["failures"] == [{"row": 1, "errors": expected}]
    np.testing.assert_array_equal(np.isnan(found["columns"]["metal"]), [False, True, False])
    np.testing.assert_array_equal(np.isnan(found["columns"]["hole"]), [False, True, False])
    np.testing.assert_array_equal(np.isnan(found["columns"]["speed"]), [False, True, True])
