"""The rows of a batch that failed, and how many errors are told."""

import numpy as np
import pytest

from borewright.calculations.base.batch import failures as module
from borewright.calculations.base.batch.failures import SHOWN, Failures
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError, InvalidRequest


def test_errors_are_told_up_to_the_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_ERRORS", 6)
    failures = Failures(3)
    failures.add(np.arange(3), FieldError("#/bore", "too large", Code.OUT_OF_RANGE), FieldError("#/stroke", "too small", Code.OUT_OF_RANGE))
    assert [len(row["errors"]) for row in failures.listed()] == [2, 2, 2]
    with pytest.raises(InvalidRequest, match="more than 6 errors") as refused:
        failures.add(1, FieldError("#/cylinders", "none", Code.MISSING))
    assert [(error.pointer, error.detail) for error in refused.value.errors[1:]] == [
        ("#/bore", "row 0: too large"),
        ("#/stroke", "row 0: too small"),
        ("#/cylinders", "row 1: none"),
    ]


def test_few_of_many_are_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "MOST_ERRORS", 1000)
    failures = Failures(1001)
    for row in range(1000):
        failures.add(row, FieldError("#/bore", str(row), Code.IMPOSSIBLE))
    with pytest.raises(InvalidRequest) as refused:
        failures.add(1000, FieldError("#/bore", "1000", Code.IMPOSSIBLE))
    assert len(refused.value.errors) == SHOWN + 1
    failures = Failures(2000)
    with pytest.raises(InvalidRequest) as refused:
        failures.each({row: FieldError("#/bore", f"bore {row}", Code.IMPOSSIBLE) for row in range(1001)})
    assert [error.detail for error in refused.value.errors[1:]] == [f"row {row}: bore {row}" for row in range(SHOWN)]
