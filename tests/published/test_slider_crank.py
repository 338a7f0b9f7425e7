"""Slider-crank and volumes against textbooks.

Values tagged "from memory" were recalled from the book, not read in it; each is also recomputed exactly from the book's inputs.
"""

import numpy as np
import pytest

from borewright.physics import crank, volumes


def test_pulkrabek_example_2_1() -> None:
    """W. W. Pulkrabek, Engineering Fundamentals of the Internal Combustion Engine, example 2-1 (from memory): a 3.0 L V6, bore equal to
    stroke, compression 9.5, rod 16.6 cm, 3600 rpm. The book rounds as it goes, hence half a unit of its last digit and, for the speed at
    20 degrees, which it works from its rounded ratios, 0.02 m/s."""
    bore = (3.0e-3 / 6 * 4 / np.pi) ** (1 / 3)
    speed, at = 3600 * np.pi / 30, np.radians(20)
    assert bore == pytest.approx(0.0860, abs=0.00005)
    assert volumes.displacement(bore, bore, 6) == pytest.approx(3.0e-3, rel=1e-12)
    assert crank.mean_piston_speed(bore, speed) == pytest.approx(10.32, abs=0.005)
    assert volumes.clearance_for_ratio(volumes.swept_volume(bore, bore), 9.5) == pytest.approx(59e-6, abs=0.5e-6)
    assert crank.piston_speed(at, bore, 0.166, speed) == pytest.approx(6.89, abs=0.02)
    assert crank.piston_travel(at, bore, 0.166) == pytest.approx(0.0032, abs=0.00005)


def test_pulkrabek_inputs_recomputed_exactly() -> None:
    """The same inputs worked by hand without rounding, from Heywood's eqs. 2.4-2.6, 2.9, 2.11."""
    bore = (3.0e-3 / 6 * 4 / np.pi) ** (1 / 3)
    speed, at = 3600 * np.pi / 30, np.radians(20)
    assert bore == pytest.approx(0.086025, abs=5e-7)
    assert crank.mean_piston_speed(bore, speed) == pytest.approx(10.323, abs=5e-4)
    assert volumes.clearance_for_ratio(volumes.swept_volume(bore, bore), 9.5) == pytest.approx(58.824e-6, abs=5e-10)
    assert crank.piston_speed(at, bore, 0.166, speed) == pytest.approx(6.9017, abs=5e-5)
    assert crank.piston_travel(at, bore, 0.166) == pytest.approx(0.0032471, abs=5e-8)


def test_heywood_speed_ratio() -> None:
    """J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 2.11: π/2·sin θ·(1 + cos θ/√(R² − sin² θ)), R rod over throw."""
    theta = np.linspace(0, 2 * np.pi, 73)
    for R in (3.0, 3.5, 4.0):
        expected = np.pi / 2 * np.sin(theta) * (1 + np.cos(theta) / np.sqrt(R**2 - np.sin(theta) ** 2))
        np.testing.assert_allclose(crank.speed_ratio(theta, 2.0, R), expected, rtol=1e-12, atol=1e-14)


def test_heywood_cylinder_volume() -> None:
    """Heywood eq. 2.6: V/Vc = 1 + (rc − 1)/2·(R + 1 − cos θ − √(R² − sin² θ))."""
    theta = np.linspace(0, 2 * np.pi, 73)
    bore, stroke, rod, ratio = 0.086, 0.086, 0.1435, 10.0
    R = 2 * rod / stroke
    clearance = volumes.clearance_for_ratio(volumes.swept_volume(bore, stroke), ratio)
    expected = clearance * (1 + (ratio - 1) / 2 * (R + 1 - np.cos(theta) - np.sqrt(R**2 - np.sin(theta) ** 2)))
    np.testing.assert_allclose(crank.cylinder_volume(theta, bore, stroke, rod, clearance), expected, rtol=1e-12)


def test_square_86_mm_cylinder() -> None:
    """86 x 86 mm, rod 143.5 mm, compression 10: worked by hand from Heywood's equations."""
    swept = volumes.swept_volume(0.086, 0.086)
    clearance = volumes.clearance_for_ratio(swept, 10.0)
    assert swept == pytest.approx(499.56e-6, abs=5e-9)
    assert clearance == pytest.approx(55.506e-6, abs=5e-10)
    right, two_thirds, closing = crank.cylinder_volume(np.radians([90, 120, 240]), 0.086, 0.086, 0.1435, clearance)
    assert right == pytest.approx(343.59e-6, abs=5e-9)
    assert two_thirds == pytest.approx(458.73e-6, abs=5e-9)
    # intake closing 60 degrees after bottom dead centre
    assert closing / clearance == pytest.approx(8.2645, abs=5e-5)
    speed = 6000 * np.pi / 30
    assert crank.mean_piston_speed(0.086, speed) == pytest.approx(17.200, abs=5e-4)
    assert crank.piston_acceleration(0.0, 0.086, 0.1435, speed) == pytest.approx(22063, abs=0.5)
    assert crank.peak_acceleration(0.086, 0.1435, speed) == pytest.approx(22063, abs=0.5)


@pytest.mark.parametrize(("rod_over_throw", "expected"), [(3.0, 1.6566), (3.5, 1.6340), (4.0, 1.6193)])
def test_largest_speed_over_mean(rod_over_throw: float, expected: float) -> None:
    """Maximum of Heywood's eq. 2.11 over the crank angle, found independently by a fine scan of the printed equation."""
    ratio = crank.peak_piston_speed(2.0, rod_over_throw, 1.0) / crank.mean_piston_speed(2.0, 1.0)
    assert ratio == pytest.approx(expected, abs=5e-5)
