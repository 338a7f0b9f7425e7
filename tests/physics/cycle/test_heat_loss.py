"""Woschni's correlation: arrays against scalars and refusals."""

from collections.abc import Callable

import numpy as np
import pytest

from borewright.physics.cycle.heat_loss import woschni_coefficient, woschni_speed

NoAnswer = Callable[[str, Callable[[], object]], None]


def test_element_of_array_is_scalar() -> None:
    p, T = np.array([5e5, 2e6, 6e6]), np.array([500.0, 900.0, 2400.0])
    together = woschni_coefficient(0.1, p, T, 25.0)
    assert together == pytest.approx([float(woschni_coefficient(0.1, a, b, 25.0)) for a, b in zip(p, T, strict=True)])


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("above zero", lambda: woschni_coefficient(0.1, 0.0, 500.0, 20.0))
    no_answer("reference pressure", lambda: woschni_speed(10.0, reference_pressure=0.0))
