"""Knock: A. M. Douaud, P. Eyzat, SAE 780080, 1978 (from memory); J. C. Livengood, P. C. Wu, 1955."""

import numpy as np
import pytest

from borewright.physics.gas.knock import douaud_eyzat_delay, knock_onset, livengood_wu_integral

ATM = 101325.0


def test_delay() -> None:
    delay = 1e3 * douaud_eyzat_delay([95.0, 95.0, 100.0], np.array([20.0, 40.0, 30.0]) * ATM, [800.0, 800.0, 750.0])
    assert delay == pytest.approx([10.540, 3.2441, 8.6457], rel=5e-5)


def test_onset() -> None:
    # octane 95 at a steady 30 atm, end gas warming from 700 K by 20 K a millisecond
    t = np.linspace(0.0, 10e-3, 20001)
    integral = livengood_wu_integral(t, douaud_eyzat_delay(95.0, 30.0 * ATM, 700.0 + 20e3 * t))
    onset, reached = knock_onset(t, integral)
    assert bool(reached)
    assert float(onset) * 1e3 == pytest.approx(6.4726, abs=5e-5)
