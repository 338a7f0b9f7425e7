"""Speeds tried at two timings against the same tried at all of them, and what stands in their grid."""

from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.outcome import Outcome
from borewright.calculations.combustion.knock_speeds import OverSpeed, over_speed
from borewright.calculations.combustion.knock_trials import SpeedTrials, try_speeds
from borewright.calculations.common.cylinder_state import engine
from borewright.physics.cycle.state import CylinderState, state_columns
from borewright.physics.cycle.timing import TRIALS, mbt_angle, through_trials, try_timings


def reach(curve: list[tuple[float, float, float]], **changes: Any) -> OverSpeed:
    """An engine over its speeds [rad/s]; points of its curve are speed, volumetric efficiency and boost [Pa]."""
    body: dict[str, Any] = {"bore": 0.0843, "stroke": 0.0853, "cylinders": 4.0, "compression_ratio": 9.5, "speed": 650.0, **changes}
    request: dict[str, Any] = {name: np.atleast_1d(value) if isinstance(value, float) else value for name, value in body.items()}
    if curve:
        names = ("speed", "volumetric_efficiency", "boost")
        request["torque_curve"] = [dict(zip(names, (np.array([each]) for each in point), strict=True)) for point in curve]
    outcome = Outcome({})
    return over_speed(request, engine(request, outcome), outcome)


def random_curve(points: int, seed: int) -> list[tuple[float, float, float]]:
    rng = np.random.default_rng(seed)
    speeds = np.sort(rng.uniform(130.0, 640.0, points))
    return [(float(speed), float(rng.uniform(0.65, 1.05)), float(rng.uniform(0.0, 8e4))) for speed in speeds]


def nitrous(power: float) -> dict[str, Any]:
    return {"nitrous": {"power": np.array([power]), "bottle_temperature": np.array([298.15])}}


CASES: list[tuple[list[tuple[float, float, float]], dict[str, Any]]] = [
    *((random_curve(points, points), {}) for points in (2, 4, 7, 15)),
    ([], {}),
    ([], {"boost": {"pressure": np.array([6e4])}, "speed": 800.0}),
    ([], nitrous(60e3)),
    (random_curve(6, 3), nitrous(40e3)),
]


def plainly(over: OverSpeed, found: SpeedTrials) -> tuple[Any, Any, Any]:
    """Work and the logarithms of knock integral and peak pressure of every speed at every trial timing."""
    speed = found.grid.speed[0]
    tried = try_timings(state_columns(CylinderState(**over.at(np.zeros(speed.size, dtype=np.intp), speed), fuel=over.engine.state.fuel)))
    return tried.work, tried.log_integral, np.log(tried.cycles.peak_pressure).reshape(-1, TRIALS.size)


@pytest.mark.parametrize("case", CASES)
def test_two_timings_tell_what_five_do(case: tuple[list[tuple[float, float, float]], dict[str, Any]]) -> None:
    over = reach(case[0], **case[1])
    found = try_speeds(over, np.arange(1))
    work, log_integral, log_peak = plainly(over, found)
    best, exact = mbt_angle(found.work[0]), mbt_angle(work)
    assert np.degrees(best) == pytest.approx(np.degrees(exact), abs=0.06)
    for later in (0.0, np.radians(10.0)):
        ours, plain = through_trials(found.log_integral[0], best + later), through_trials(log_integral, exact + later)
        assert ours == pytest.approx(plain, abs=0.006)  # an eighth of an octane number; the worst is then solved in full
    assert through_trials(found.work[0], best) == pytest.approx(through_trials(work, exact), rel=2e-3)
    assert through_trials(found.log_peak[0], best) == pytest.approx(through_trials(log_peak, exact), abs=2e-3)


def test_every_other_node_of_an_engine_without_corners_is_tried_in_full() -> None:
    over = reach([])
    found = try_speeds(over, np.arange(1))
    for ours, plain in zip((found.work, found.log_integral, found.log_peak), plainly(over, found), strict=True):
        assert ours[0, ::2] == pytest.approx(plain[::2], rel=1e-12)
    assert found.held.shape[0] == 3 * TRIALS.size + 2 * 2


def test_speeds_that_coincide_are_tried_once() -> None:
    node = float(reach([]).nodes()[0, 2])
    curve = [(node, 0.9, 1e4), (node, 0.9, 1e4), (650.0, 0.8, 2e4)]
    doubled, once = (
        try_speeds(reach(each, speeds={"low": np.array([200.0]), "high": np.array([650.0])}), np.arange(1)) for each in (curve, curve[1:])
    )
    assert doubled.held.shape == once.held.shape
    alone = try_speeds(reach([], speeds={"low": np.array([400.0]), "high": np.array([400.0])}), np.arange(1))
    assert alone.held.shape[0] == TRIALS.size


def test_the_grid_rises_and_says_where_it_turns() -> None:
    over = reach(random_curve(5, 1))
    grid = try_speeds(over, np.arange(1)).grid
    assert np.all(np.diff(grid.speed[0, : grid.last[0] + 1]) > 0.0)
    assert np.all(grid.speed[0, grid.last[0] :] == grid.speed[0, -1])
    points = [point["speed"][0] for point in over.curve]
    assert grid.speed[0][grid.corner[0]] == pytest.approx([*sorted(points)])


def test_rows_are_what_they_are_alone() -> None:
    """Whatever stands beside them, and however many of their speeds coincide."""
    curve = random_curve(5, 2)
    together = reach(curve, speeds={"low": np.array([130.0, curve[0][0], 300.0]), "high": np.array([650.0, 640.0, 300.0])})
    found = try_speeds(together, np.arange(3))
    for row in range(3):
        alone = try_speeds(together, np.array([row]))
        for name in ("work", "log_integral", "log_peak", "residual"):
            assert getattr(found, name)[row] == pytest.approx(getattr(alone, name)[0], rel=1e-11), name


def test_what_can_not_be_solved_says_why() -> None:
    found = try_speeds(reach([(300.0, 0.9, 0.0)], rod_length=0.03), np.arange(1))
    assert not found.solved[0]
    assert "rod" in found.reason[0]
