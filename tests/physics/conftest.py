"""What a formula does with what cannot be."""

import re
from collections.abc import Callable
from dataclasses import is_dataclass

import numpy as np
import pytest

from borewright.physics.arrays import undefined


def _no_answer(reason: str, call: Callable[[], object]) -> None:
    """The call answers NaN, and says why."""
    with np.errstate(all="ignore"), undefined() as found:
        answer = call()
    assert any(re.search(reason, one.reason) for one in found), found
    outputs = answer if isinstance(answer, tuple) else vars(answer).values() if is_dataclass(answer) else [answer]
    assert any(np.isnan(np.asarray(output)).any() for output in outputs), answer


@pytest.fixture
def no_answer() -> Callable[[str, Callable[[], object]], None]:
    return _no_answer
