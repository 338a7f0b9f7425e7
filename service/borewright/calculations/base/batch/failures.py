"""The rows of a batch that failed, each with its errors."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError, InvalidRequest
from borewright.physics.arrays import BoolArray

RowNumbers = npt.NDArray[np.intp]
Told = list[list[dict[str, str]]]  # the errors of each row, or once those of all
MOST_ERRORS = 400_000  # two for each row of the largest batch: an answer of nothing but errors would be forty times its request
SHOWN = 20  # of them, where there are more


class Failures:
    """Rows that failed; what many rows have in common is held once, however many they are.

    >>> failures = Failures(3)
    >>> failures.add(np.array([2, 0]), FieldError("#/bore", "too large", Code.OUT_OF_RANGE))
    >>> failures.add(2, FieldError("#/stroke", "too small", Code.OUT_OF_RANGE))
    >>> [(row["row"], len(row["errors"])) for row in failures.listed()], failures.failed.tolist()
    ([(0, 1), (2, 2)], [True, False, True])
    """

    def __init__(self, rows: int) -> None:
        self.failed: BoolArray = np.zeros(rows, dtype=np.bool_)
        self._told: list[tuple[RowNumbers, Told]] = []
        self._number = 0

    def add(self, rows: RowNumbers | int, *errors: FieldError) -> None:
        """Enter the same errors for rows, each of them once.

        Raises InvalidRequest where there are more than can be told.
        """
        found = np.atleast_1d(np.asarray(rows, dtype=np.intp))
        if errors:
            self._enter(found, [[error.shown() for error in errors]], found.size * len(errors))

    def each(self, errors: Mapping[int, FieldError]) -> None:
        """Enter an error of its own for each of some rows.

        Raises InvalidRequest where there are more than can be told.
        """
        shown: dict[int, list[dict[str, str]]] = {}  # of what is said again and again, by its identity
        for error in errors.values():
            if id(error) not in shown:
                shown[id(error)] = [error.shown()]
        self._enter(np.fromiter(errors, np.intp, len(errors)), [shown[id(error)] for error in errors.values()], len(errors))

    def _enter(self, rows: RowNumbers, told: Told, number: int) -> None:
        if rows.size:
            self.failed[rows] = True
            self._told.append((rows, told))
            self._number += number
            if self._number > MOST_ERRORS:
                raise self._too_many()

    def _too_many(self) -> InvalidRequest:
        told = f"the rows have more than {MOST_ERRORS} errors: mend what the first of them say, and send them again"
        summed = FieldError("#/columns", told, Code.TOO_MUCH)
        first = [
            (row, error)
            for rows, told in self._told[:SHOWN]
            for row, errors in zip(rows[: 1 if len(told) == 1 else SHOWN].tolist(), told, strict=False)
            for error in errors
        ][:SHOWN]
        return InvalidRequest(
            [summed, *(FieldError(error["pointer"], f"row {row}: {error['detail']}", Code(error["code"])) for row, error in first)]
        )

    def listed(self) -> list[dict[str, Any]]:
        """The rows in their order, each with its errors in the order in which they were entered."""
        if not self._told:
            return []
        rows = np.concatenate([found for found, _ in self._told])
        errors = [errors for found, told in self._told for errors in (told if len(told) > 1 else told * found.size)]
        if (rows[1:] <= rows[:-1]).any():
            order = np.argsort(rows, kind="stable")
            rows, errors = rows[order], list(map(errors.__getitem__, order.tolist()))
        if (rows[1:] != rows[:-1]).all():
            return [{"row": row, "errors": found} for row, found in zip(rows.tolist(), errors, strict=True)]
        starts = np.flatnonzero(np.r_[True, rows[1:] != rows[:-1]]).tolist()
        return [
            {"row": int(rows[start]), "errors": _joined(errors[start:end])}
            for start, end in zip(starts, [*starts[1:], len(errors)], strict=True)
        ]


def _joined(several: Sequence[list[dict[str, str]]]) -> list[dict[str, str]]:
    return several[0] if len(several) == 1 else [error for errors in several for error in errors]
