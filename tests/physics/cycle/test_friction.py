"""Friction: trends and refusals."""

from collections.abc import Callable

import numpy as np

from borewright.physics.cycle.friction import barnes_moss_friction, chen_flynn_friction

NoAnswer = Callable[[str, Callable[[], object]], None]


def test_rises() -> None:
    assert np.all(np.diff(barnes_moss_friction(np.linspace(0.0, 800.0, 9))) > 0.0)
    assert np.all(np.diff(chen_flynn_friction(np.linspace(20e5, 150e5, 9), 12.0)) > 0.0)


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("negative", lambda: barnes_moss_friction(-1.0))
    no_answer("negative", lambda: chen_flynn_friction(-1.0, 10.0))
