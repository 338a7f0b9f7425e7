"""Values known at a few speeds of each state: where they are highest, and what they are between the speeds."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import FloatArray

Rows = npt.NDArray[np.intp]


class SpeedGrid:
    """A few speeds of each of several states, rising [N, speeds].

    >>> grid = SpeedGrid(np.exp([[0.0, 1.0, 2.0]]))
    >>> node, top = grid.worst(np.array([[1.0, 3.0, 2.0]]))
    >>> round(float(np.log(node[0])), 6), round(float(np.log(top[0])), 6)
    (1.0, 1.166667)
    >>> round(float(grid.between(np.array([[0.0, 1.0, 4.0]]), np.exp([1.5]))[0]), 6)
    2.25
    """

    def __init__(self, speed: FloatArray) -> None:
        self.speed = speed
        self.count, self.speeds = speed.shape
        self.log_speed = np.log(speed)

    def worst(self, values: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Speed of the grid at which values are highest, and the top of the parabola through it and its neighbors."""
        n, m = values.shape
        row, place = np.arange(n), np.argmax(values, axis=1)
        inner = np.clip(place, 1, m - 2)
        x0, x1, x2 = (self.log_speed[row, inner + step] for step in (-1, 0, 1))
        y0, y1, y2 = (values[row, inner + step] for step in (-1, 0, 1))
        apart = (x1 - x0 > 1e-9) & (x2 - x1 > 1e-9)
        d1, d2 = (y1 - y0) / np.where(apart, x1 - x0, 1.0), (y2 - y1) / np.where(apart, x2 - x1, 1.0)
        bend = (d2 - d1) / np.where(apart, x2 - x0, 1.0)
        humped = apart & (bend < 0.0)
        top = np.where(humped, 0.5 * (x0 + x1) - d1 / (2.0 * np.where(humped, bend, -1.0)), x1)
        node = self.speed[row, place]
        return node, np.where(humped, np.exp(np.clip(top, x0, x2)), node)

    def nearest(self, speed: FloatArray, rows: Rows | None = None) -> Rows:
        """Place among all speeds of all states of that nearest to a speed of some rows."""
        row = np.arange(self.count) if rows is None else rows
        near = np.argmin(np.abs(self.log_speed[row] - np.log(speed)[:, None]), axis=1)
        return np.asarray(row * self.speeds + near)

    def between(self, values: FloatArray, speed: FloatArray, rows: Rows | None = None) -> FloatArray:
        """Values of the grid [N, speeds, …] at a speed of some rows, by the parabola through the three nearest."""
        row = np.arange(self.count) if rows is None else rows
        x = np.log(speed)
        grid = self.log_speed[row]
        middle = np.clip(np.argmin(np.abs(grid - x[:, None]), axis=1), 1, self.speeds - 2)
        xs = np.stack([grid[np.arange(x.size), middle + step] for step in (-1, 0, 1)], axis=1)
        ys = np.stack([values[row, middle + step] for step in (-1, 0, 1)], axis=1)
        away = x[:, None] - xs
        first, second = xs[:, 1] - xs[:, 0], xs[:, 2] - xs[:, 1]
        both = first + second
        with np.errstate(divide="ignore", invalid="ignore"):
            weights = np.stack(
                [
                    away[:, 1] * away[:, 2] / (first * both),
                    -away[:, 0] * away[:, 2] / (first * second),
                    away[:, 0] * away[:, 1] / (both * second),
                ],
                axis=1,
            )
        near = np.eye(3)[np.argmin(np.abs(xs - x[:, None]), axis=1)]
        even = np.min(np.diff(xs, axis=1), axis=1) > 1e-9
        weights = np.where(even[:, None], weights, near)  # where points of a curve coincide, the nearest
        return np.asarray(np.einsum("ij,ij...->i...", weights, ys))


def once(row: Rows, speed: FloatArray) -> tuple[Rows, Rows]:
    """Where each speed of each row first stands, and which of these each one is.

    >>> [found.tolist() for found in once(np.array([0, 0, 1]), np.array([300.0, 300.0, 300.0]))]
    [[0, 2], [0, 0, 1]]
    """
    _, first, back = np.unique(np.round(np.log(speed), 9) + 1e3 * row, return_index=True, return_inverse=True)
    return first, back


def known_rows(values: Any, rows: Rows) -> Any:
    """Some rows of an array or of a result."""
    return values[rows] if isinstance(values, np.ndarray) else values.take(rows)
