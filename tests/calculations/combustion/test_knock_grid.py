"""Values between the speeds of a grid, on either side of a corner."""

import numpy as np
import pytest

from borewright.calculations.combustion.knock_grid import SpeedGrid, once

LOGS = np.array([0.0, 0.4, 1.0, 1.5, 2.3, 2.3])  # the last stands twice, to fill the row
CORNERS = np.array([False, False, True, False, False, False])


def bent(x: np.ndarray) -> np.ndarray:
    """Two parabolas that meet at 1 with a corner."""
    return np.where(x < 1.0, 2.0 - (x - 0.3) ** 2, 2.0 - 0.7**2 + 1.5 * (x - 1.0) - 0.9 * (x - 1.0) ** 2)


def test_what_is_quadratic_beside_a_corner_comes_out_exactly() -> None:
    grid = SpeedGrid(np.exp(LOGS)[None], CORNERS[None])
    inside = np.array([0.0, 0.1, 0.39, 0.8, 0.99, 1.0, 1.01, 1.3, 1.9, 2.29, 2.3])
    found = grid.between(bent(LOGS)[None], np.exp(inside), np.zeros(inside.size, dtype=np.intp))
    assert found == pytest.approx(bent(inside), rel=1e-9)
    smooth = SpeedGrid(np.exp(LOGS)[None])
    assert abs(smooth.between(bent(LOGS)[None], np.exp([0.9]))[0] - bent(np.array([0.9]))[0]) > 0.01


def test_between_two_corners_it_is_straight() -> None:
    logs, heights = np.log([[1.0, 2.0, 3.0, 4.0]]), np.array([[0.0, 5.0, 1.0, 2.0]])
    grid = SpeedGrid(np.exp(logs), np.array([[False, True, True, False]]))
    middle = np.exp(0.5 * (logs[0, 1] + logs[0, 2]))
    assert grid.between(heights, np.array([middle])) == pytest.approx([3.0])


def test_no_top_is_laid_through_a_corner() -> None:
    logs, heights = np.array([[0.0, 1.0, 2.0]]), np.array([[1.0, 3.0, 2.5]])
    node, top = SpeedGrid(np.exp(logs)).worst(heights)
    assert top[0] > node[0] == np.exp(1.0)
    node, top = SpeedGrid(np.exp(logs), np.array([[False, True, False]])).worst(heights)
    assert top[0] == node[0] == np.exp(1.0)


def test_the_top_of_the_last_three_is_found_where_the_row_is_filled() -> None:
    grid = SpeedGrid(np.exp(LOGS)[None])
    node, top = grid.worst(-((LOGS - 2.0) ** 2)[None])
    assert node[0] == pytest.approx(np.exp(2.3))
    assert top[0] == pytest.approx(np.exp(2.0))


def test_speeds_that_are_all_the_same_have_its_value() -> None:
    grid = SpeedGrid(np.full((1, 5), 300.0))
    assert grid.worst(np.full((1, 5), 7.0)) == (pytest.approx([300.0]), pytest.approx([300.0]))
    assert grid.between(np.full((1, 5), 7.0), np.array([300.0])) == pytest.approx([7.0])


def test_a_speed_stands_once_in_each_row() -> None:
    first, back = once(np.array([0, 0, 0, 1]), np.array([200.0, 300.0, 200.0, 200.0]))
    assert first.tolist() == [0, 1, 3]
    assert back.tolist() == [0, 1, 0, 2]
