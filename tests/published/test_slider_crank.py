"""Slider-crank and volumes against textbooks.

Values tagged "from memory" were recalled from the book, not read in it; each is also recomputed exactly from the book's inputs.
"""

from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.single import answer
from borewright.calculations.compression import compression, displacement
from borewright.physics.mechanism import crank, piston_motion, volumes


def test_pulkrabek_example_2_1() -> None:
    """W. W. Pulkrabek, Engineering Fundamentals of the Internal Combustion Engine, example 2-1 (from memory): a 3.0 L V6, bore equal to
    stroke, compression 9.5, rod 16.6 cm, 3600 rpm. The book rounds as it goes, hence half a unit of its last digit and, for the speed at
    20 degrees, which it works from its rounded ratios, 0.02 m/s."""
    bore = (3.0e-3 / 6 * 4 / np.pi) ** (1 / 3)
    speed, at = 3600 * np.pi / 30, np.radians(20)
    assert bore == pytest.approx(0.0860, abs=0.00005)
    assert volumes.displacement(bore, bore, 6) == pytest.approx(3.0e-3, rel=1e-12)
    assert piston_motion.mean_piston_speed(bore, speed) == pytest.approx(10.32, abs=0.005)
    assert volumes.clearance_for_ratio(volumes.swept_volume(bore, bore), 9.5) == pytest.approx(59e-6, abs=0.5e-6)
    assert piston_motion.piston_speed(at, bore, 0.166, speed) == pytest.approx(6.89, abs=0.02)
    assert crank.piston_travel(at, bore, 0.166) == pytest.approx(0.0032, abs=0.00005)


def test_pulkrabek_inputs_recomputed_exactly() -> None:
    """The same inputs worked by hand without rounding, from Heywood's eqs. 2.4-2.6, 2.9, 2.11."""
    bore = (3.0e-3 / 6 * 4 / np.pi) ** (1 / 3)
    speed, at = 3600 * np.pi / 30, np.radians(20)
    assert bore == pytest.approx(0.086025, abs=5e-7)
    assert piston_motion.mean_piston_speed(bore, speed) == pytest.approx(10.323, abs=5e-4)
    assert volumes.clearance_for_ratio(volumes.swept_volume(bore, bore), 9.5) == pytest.approx(58.824e-6, abs=5e-10)
    assert piston_motion.piston_speed(at, bore, 0.166, speed) == pytest.approx(6.9017, abs=5e-5)
    assert crank.piston_travel(at, bore, 0.166) == pytest.approx(0.0032471, abs=5e-8)


def test_heywood_speed_ratio() -> None:
    """J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, eq. 2.11: π/2·sin θ·(1 + cos θ/√(R² − sin² θ)), R rod over throw."""
    theta = np.linspace(0, 2 * np.pi, 73)
    for R in (3.0, 3.5, 4.0):
        expected = np.pi / 2 * np.sin(theta) * (1 + np.cos(theta) / np.sqrt(R**2 - np.sin(theta) ** 2))
        np.testing.assert_allclose(piston_motion.speed_ratio(theta, 2.0, R), expected, rtol=1e-12, atol=1e-14)


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
    # intake closing 60 degrees after bottom dead center
    assert closing / clearance == pytest.approx(8.2645, abs=5e-5)
    speed = 6000 * np.pi / 30
    assert piston_motion.mean_piston_speed(0.086, speed) == pytest.approx(17.200, abs=5e-4)
    assert piston_motion.piston_acceleration(0.0, 0.086, 0.1435, speed) == pytest.approx(22063, abs=0.5)
    assert piston_motion.peak_acceleration(0.086, 0.1435, speed) == pytest.approx(22063, abs=0.5)


@pytest.mark.parametrize(("rod_over_throw", "expected"), [(3.0, 1.6566), (3.5, 1.6340), (4.0, 1.6193)])
def test_largest_speed_over_mean(rod_over_throw: float, expected: float) -> None:
    """Maximum of Heywood's eq. 2.11 over the crank angle, found independently by a fine scan of the printed equation."""
    ratio = piston_motion.peak_piston_speed(2.0, rod_over_throw, 1.0) / piston_motion.mean_piston_speed(2.0, 1.0)
    assert ratio == pytest.approx(expected, abs=5e-5)


def test_pulkrabek_example_2_1_through_displacement() -> None:
    """The same example as a request: the book's bore of 8.60 cm gives its 3.0 L to the digits shown; the exact bore gives 3000 cm3."""
    six = {"bore": "8.60 cm", "stroke": "8.60 cm", "cylinders": 6}
    assert answer(displacement.CALCULATION, six)["displacement"]["value"] == pytest.approx(3000, abs=50)
    exact = f"{(3.0e-3 / 6 * 4 / np.pi) ** (1 / 3)!r} m"
    found = answer(displacement.CALCULATION, {"bore": exact, "stroke": exact, "cylinders": 6})
    assert found["displacement"] == {"value": pytest.approx(3000, rel=1e-11), "unit": "cm3"}
    assert found["bore_stroke_ratio"]["value"] == 1.0


def test_pulkrabek_example_2_1_through_compression() -> None:
    """Its clearance of 59 cm3 a cylinder (exactly 58.824 cm3) gives its compression of 9.5."""
    exact = f"{(3.0e-3 / 6 * 4 / np.pi) ** (1 / 3)!r} m"
    six: dict[str, Any] = {"bore": exact, "stroke": exact, "cylinders": 6, "gasket": {"volume": "8 cm3"}, "deck_clearance": "0 mm"}
    rounded = answer(compression.CALCULATION, {**six, "chamber_volume": "51 cm3"})
    assert rounded["clearance_volume"]["value"] == pytest.approx(59, rel=1e-11)
    assert rounded["compression_ratio"]["value"] == pytest.approx(9.5, abs=0.05)
    found = answer(compression.CALCULATION, {**six, "chamber_volume": "50.824 cm3"})
    assert found["compression_ratio"]["value"] == pytest.approx(9.5, abs=5e-4)


def test_square_86_mm_cylinder_through_compression() -> None:
    """86 x 86 mm, rod 143.5 mm, compression 10, worked by hand from Heywood's eqs. 2.1-2.6: 499.56 and 55.506 cm3, and 8.2645 from intake
    closing 60 degrees after the bottom. The clearance is made of a chamber, a gasket, a dish and a piston below the deck."""
    deck = np.pi / 4 * 8.6**2 * 0.02  # cm3 of 0.2 mm
    request = {
        "bore": "86 mm",
        "stroke": "86 mm",
        "cylinders": 4,
        "chamber_volume": f"{55.506 - 6 - 3.5 - deck!r} cm3",
        "gasket": {"volume": "6 cm3"},
        "deck_clearance": "0.2 mm",
        "crown": {"dome": "1.5 cm3", "recess": "5 cm3"},
        "rod_length": "143.5 mm",
        "intake_closing": "60 deg",
    }
    found = answer(compression.CALCULATION, request)
    assert found["swept_volume"]["value"] == pytest.approx(499.56, abs=5e-3)
    assert found["displacement"]["value"] == pytest.approx(4 * 499.56, abs=2e-2)
    assert found["clearance_volume"]["value"] == pytest.approx(55.506, rel=1e-11)
    assert found["compression_ratio"]["value"] == pytest.approx(10.0, abs=5e-4)
    assert found["dynamic_compression_ratio"]["value"] == pytest.approx(8.2645, abs=1e-4)
