"""Friction: trends and refusals."""

import numpy as np
import pytest

from borewright.physics.cycle.friction import barnes_moss_friction, chen_flynn_friction


def test_rises() -> None:
    assert np.all(np.diff(barnes_moss_friction(np.linspace(0.0, 800.0, 9))) > 0.0)
    assert np.all(np.diff(chen_flynn_friction(np.linspace(20e5, 150e5, 9), 12.0)) > 0.0)


def test_refuses() -> None:
    with pytest.raises(ValueError, match="negative"):
        barnes_moss_friction(-1.0)
    with pytest.raises(ValueError, match="negative"):
        chen_flynn_friction(-1.0, 10.0)
