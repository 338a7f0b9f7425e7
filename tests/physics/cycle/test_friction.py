"""Friction: trends and refusals."""

from collections.abc import Callable

import numpy as np

from borewright.physics.cycle.friction import barnes_moss_friction, main_bearings, patton_nitschke_heywood_friction

SPEEDS = np.linspace(1000.0, 8000.0, 15) * np.pi / 30.0

NoAnswer = Callable[[str, Callable[[], object]], None]


def test_rises_with_speed() -> None:
    assert np.all(np.diff(barnes_moss_friction(np.linspace(0.0, 800.0, 9))) > 0.0)
    for stroke in (0.0425, 0.0853, 0.11):
        assert np.all(np.diff(patton_nitschke_heywood_friction(0.09, stroke, SPEEDS, 10.0, 101325.0, 4.0)) > 0.0)


def test_the_gas_on_the_rings_rubs() -> None:
    more = patton_nitschke_heywood_friction(0.1, 0.09, 400.0, [9.0, 9.0, 12.0], [1e5, 2e5, 1e5], 8.0)
    assert more[1] > more[0]
    assert more[2] > more[0]


def test_more_cylinders_share_seals_and_bearings() -> None:
    assert np.all(np.diff(patton_nitschke_heywood_friction(0.1, 0.09, 400.0, 10.0, 101325.0, [1.0, 2.0, 4.0, 8.0])) < 0.0)
    assert main_bearings([1.0, 3.0, 6.0, 12.0]).tolist() == [2.0, 4.0, 4.0, 7.0]


def test_never_falls_at_speeds_beyond_the_correlation() -> None:
    fast = patton_nitschke_heywood_friction(0.04, 0.04, np.linspace(1000.0, 2100.0, 12), 12.0, 101325.0, 4.0)
    assert np.all(np.diff(fast) > 0.0)


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("negative", lambda: barnes_moss_friction(-1.0))
    no_answer("above zero", lambda: patton_nitschke_heywood_friction(0.1, 0.09, 0.0, 10.0, 1e5, 4.0))
    no_answer("above zero", lambda: patton_nitschke_heywood_friction(0.1, 0.09, 400.0, 10.0, 0.0, 4.0))
