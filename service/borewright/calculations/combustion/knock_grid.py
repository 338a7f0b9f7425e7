"""Values known at a few speeds of each state: where they are highest, and what they are between the speeds."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.physics.arrays import BoolArray, FloatArray

Rows = npt.NDArray[np.intp]


class SpeedGrid:
    """A few speeds of each of several states, rising, the last of them as often as fills the row [N, speeds].

    Between two speeds values run smoothly, but for corners: nothing is laid through a corner and what stands to either side of it.

    corner : speeds at which values turn a corner [N, speeds]

    >>> grid = SpeedGrid(np.exp([[0.0, 1.0, 2.0]]))
    >>> node, top = grid.worst(np.array([[1.0, 3.0, 2.0]]))
    >>> round(float(np.log(node[0])), 6), round(float(np.log(top[0])), 6)
    (1.0, 1.166667)
    >>> round(float(grid.between(np.array([[0.0, 1.0, 4.0]]), np.exp([1.5]))[0]), 6)
    2.25
    >>> bent = SpeedGrid(np.exp([[0.0, 1.0, 2.0]]), np.array([[False, True, False]]))
    >>> round(float(bent.between(np.array([[0.0, 1.0, 4.0]]), np.exp([1.5]))[0]), 6)
    2.5
    """

    def __init__(self, speed: FloatArray, corner: BoolArray | None = None) -> None:
        self.speed = speed
        self.count, self.speeds = speed.shape
        self.log_speed = np.log(speed)
        self.corner = np.full(speed.shape, False) if corner is None else corner
        self.last = np.argmax(self.log_speed > self.log_speed[:, -1:] - 1e-9, axis=1)

    def _inner(self, row: Rows, place: Rows) -> Rows:
        """The place, or the next that has one to either side."""
        return np.asarray(np.clip(place, 1, np.clip(self.last[row] - 1, 1, self.speeds - 2)))

    def worst(self, values: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Speed of the grid at which values are highest, and the top of the parabola through it and its neighbors."""
        row, place = np.arange(self.count), np.argmax(values, axis=1)
        inner = self._inner(row, place)
        x0, x1, x2 = (self.log_speed[row, inner + step] for step in (-1, 0, 1))
        y0, y1, y2 = (values[row, inner + step] for step in (-1, 0, 1))
        apart = (x1 - x0 > 1e-9) & (x2 - x1 > 1e-9) & ~self.corner[row, inner]
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
        """Values of the grid [N, speeds, …] at a speed of some rows, by the parabola through the three nearest on its side of a corner.

        Straight between two corners.
        """
        row = np.arange(self.count) if rows is None else rows
        x = np.log(speed)
        grid, every = self.log_speed[row], np.arange(x.size)
        near = np.argmin(np.abs(grid - x[:, None]), axis=1)
        beside = x - grid[every, near]
        there = np.abs(beside) < 1e-9
        turned = self.corner[row, near] & ~there
        middle = self._inner(row, np.where(turned, near + np.where(beside > 0.0, 1, -1), near))
        xs = np.stack([grid[every, middle + step] for step in (-1, 0, 1)], axis=1)
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
            share = np.stack([-away[:, 1] / first, away[:, 1] / second], axis=1)
        bent = self.corner[row, middle] & ~there
        if bent.any():
            early, late = np.maximum(share[:, :1], 0.0), np.maximum(share[:, 1:], 0.0)
            weights = np.where(bent[:, None], np.hstack([early, 1.0 - early - late, late]), weights)
        close = np.eye(3)[np.argmin(np.abs(xs - x[:, None]), axis=1)]
        even = np.min(np.diff(xs, axis=1), axis=1) > 1e-9
        weights = np.where(even[:, None], weights, close)  # where there are no three speeds apart, the nearest
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
