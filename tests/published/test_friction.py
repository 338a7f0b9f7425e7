"""Friction: coefficients as the literature prints them, evaluated by hand."""

import numpy as np
import pytest

from borewright.physics.cycle.friction import barnes_moss_friction, chen_flynn_friction


def test_barnes_moss() -> None:
    # J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 13 (from memory): 0.97 + 0.15 n + 0.05 n² bar, n in 1000 rev/min
    speed = np.array([1000.0, 3000.0, 6000.0]) * 2.0 * np.pi / 60.0
    assert barnes_moss_friction(speed) / 1e5 == pytest.approx([1.17, 1.87, 3.67])


def test_chen_flynn() -> None:
    # SAE 650733 (from memory): 0.137 + p/200 + 0.162 Sp bar
    assert float(chen_flynn_friction(100e5, 10.0)) / 1e5 == pytest.approx(0.137 + 0.5 + 1.62)
