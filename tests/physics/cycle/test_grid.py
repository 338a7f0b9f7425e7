"""Steps of the closed cycle: half of what burns has burned at the angle asked for, volumes and walls are those of a cylinder."""

import numpy as np
import pytest

from borewright.physics.cycle.grid import CycleGrid, cycle_grid
from borewright.physics.cycle.state import CylinderState, state_columns
from borewright.physics.mechanism.crank import piston_travel
from borewright.physics.mechanism.piston_motion import piston_speed

BORE, STROKE, ROD = 0.0843, 0.09, 0.15


def grid_of(half_burn: float, refine: float = 1.0, **changes: float) -> CycleGrid:
    return cycle_grid(state_columns(CylinderState(BORE, STROKE, ROD, 10.0, 300.0, **changes)), np.array([half_burn]), refine)


@pytest.mark.parametrize("half_burn", [0.05, 0.2, 0.5])
def test_half_of_what_burns_has_burned_at_the_angle_asked_for(half_burn: float) -> None:
    grid = grid_of(half_burn, 8.0, combustion_efficiency=0.9)
    burned = np.interp(half_burn, grid.angle[:, 0], grid.burned[:, 0])
    assert burned == pytest.approx(0.5 * grid.burned[-1, 0], abs=1e-5)
    assert grid.burned[-1, 0] == pytest.approx(0.9, rel=1e-12)
    assert np.all(np.diff(grid.burned[:, 0]) >= 0.0)


def test_volumes_run_between_those_the_ratio_asks_for() -> None:
    grid = grid_of(0.15, 20.0)
    swept = np.pi / 4.0 * BORE**2 * STROKE
    assert grid.volume.min() == pytest.approx(swept / 9.0, rel=1e-5)
    assert grid.clearance[0] + grid.swept[0] == pytest.approx(10.0 * grid.clearance[0], rel=1e-12)
    # the volume's slope is the piston's speed on the bore's circle, at one radian a second
    exact = np.pi / 4.0 * BORE**2 * piston_speed(grid.angle[:, 0], STROKE, ROD, 1.0)
    np.testing.assert_allclose(grid.slope[:, 0], exact, atol=1e-12 * exact.max())
    slope = np.gradient(grid.volume[:, 0], grid.angle[:, 0])[5:-5]
    np.testing.assert_allclose(slope, exact[5:-5], atol=2e-3 * exact.max())


def test_walls_are_two_circles_and_the_liner_between_them() -> None:
    grid = grid_of(0.15)
    circle = np.pi / 4.0 * BORE**2
    np.testing.assert_allclose(grid.area, 2.0 * circle + np.pi * BORE * (grid.volume / circle), rtol=1e-12)


def test_burning_stops_at_the_exhaust_opening() -> None:
    grid = grid_of(1.5, exhaust_opening=1.4)
    assert grid.truncated[0] == 1.0
    assert grid.burned[-1, 0] < 0.98
    assert grid.angle[-1, 0] == np.pi - 1.4
    assert grid_of(0.15).truncated[0] == 0.0


def test_volumes_are_the_slider_crank_s() -> None:
    for offset in (-0.004, 0.0, 0.006):
        grid = grid_of(0.6, pin_offset=offset)
        travel = piston_travel(grid.angle[:, 0], STROKE, ROD, offset)
        circle = np.pi / 4.0 * BORE**2
        np.testing.assert_allclose(grid.volume[:, 0], grid.clearance[0] + circle * travel, rtol=1e-12)
        exact = circle * piston_speed(grid.angle[:, 0], STROKE, ROD, 1.0, offset)
        np.testing.assert_allclose(grid.slope[:, 0], exact, atol=1e-12 * exact.max())
