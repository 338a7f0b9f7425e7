"""Crown volumes against integrals over the floor and against limits that anyone can see."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.mechanism.crown_volumes import crown_volume_poured, dish_volume, pocket_volume, spherical_dish_volume
from borewright.physics.mechanism.volumes import circle_area


@given(diameter=st.floats(0.02, 0.06), deepest=st.floats(0.0, 0.02), lean=st.floats(0.0, 1.0))
def test_a_pocket_is_the_integral_over_its_floor(diameter: float, deepest: float, lean: float) -> None:
    angle = (np.arange(200_000) + 0.5) / 200_000 * np.pi
    radius = diameter / 2
    along = radius * np.cos(angle)
    below = np.maximum(deepest - (radius - along) * np.sin(lean), 0.0)
    summed = np.sum(below / np.cos(lean) * 2.0 * (radius * np.sin(angle)) ** 2) * (np.pi / angle.size)
    assert float(pocket_volume(diameter, deepest, lean)) == pytest.approx(summed, rel=1e-5, abs=1e-14)


def test_a_pocket_straight_down_is_a_cylinder_and_one_above_the_flat_is_nothing() -> None:
    assert float(pocket_volume(0.04, 0.003)) == pytest.approx(float(circle_area(0.04)) * 0.003, rel=1e-12)
    assert float(pocket_volume(0.04, 0.003, 1e-7)) == pytest.approx(float(circle_area(0.04)) * 0.003, rel=1e-5)
    assert float(pocket_volume(0.04, -0.002, 0.3)) == 0.0


@given(radius=st.floats(0.0, 0.004))
def test_a_fillet_is_the_integral_over_its_height(radius: float) -> None:
    height, diameter = 0.004, 0.07
    z = (np.arange(100_000) + 0.5) / 100_000 * height
    within = np.maximum(radius - z, 0.0)
    rim = diameter / 2 - radius + np.sqrt(np.maximum(radius**2 - within**2, 0.0))
    summed = np.sum(np.pi * np.where(z < radius, rim, diameter / 2) ** 2) * height / z.size
    assert float(dish_volume(diameter, height, radius)) == pytest.approx(summed, rel=1e-6)


def test_half_a_sphere_is_a_dish_as_deep_as_its_radius() -> None:
    assert float(spherical_dish_volume(0.08, 0.04)) == pytest.approx(2.0 / 3.0 * np.pi * 0.04**3, rel=1e-12)


def test_a_flat_crown_takes_what_the_bore_holds() -> None:
    assert float(crown_volume_poured(circle_area(0.1) * 0.01, 0.1, 0.01)) == pytest.approx(0.0, abs=1e-15)
