"""Ring lands against the plate equation solved anew; crown and bearing invariants."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics import stress

NoAnswer = Callable[[str, Callable[[], object]], None]


def root_moment_of_a_plate(pressure: float, edge: float, root: float, nu: float) -> float:
    """Solve w = A + B·ln r + C·r² + F·r²·ln r + q·r⁴/(64·D), clamped at the root, free at the edge, flexural rigidity one."""

    def terms(r: float) -> np.ndarray:
        """Rows: slope, radial moment, shear; columns: B, C, F and the load's own."""
        log = np.log(r)
        slope = [1 / r, 2 * r, r * (2 * log + 1), pressure * r**3 / 16]
        bend = [-1 / r**2, 2.0, 2 * log + 3, 3 * pressure * r**2 / 16]
        moment = [-(b + nu * s / r) for b, s in zip(bend, slope, strict=True)]
        shear = [0.0, 0.0, 4 / r, pressure * r / 2]
        return np.array([slope, moment, shear])

    at_root, at_edge = terms(root), terms(edge)
    conditions = np.array([at_root[0], at_edge[1], at_edge[2]])
    constants = np.linalg.solve(conditions[:, :3], -conditions[:, 3])
    return float(at_root[1, :3] @ constants + at_root[1, 3])


@given(share=st.floats(min_value=0.6, max_value=0.98), nu=st.floats(min_value=0.0, max_value=0.5))
def test_land_bending_is_the_plates(share: float, nu: float) -> None:
    edge, root, height = 1.0, share, 0.1
    moment = root_moment_of_a_plate(1e3, edge, root, nu)
    assert stress.land_bending_stress(1e3, 2 * edge, 2 * root, height, nu) == pytest.approx(6 * abs(moment) / height**2, rel=1e-6)


def test_a_narrow_land_is_a_cantilever_strip() -> None:
    depth, height = 0.0005, 0.003
    strip = 3 * 5e6 * depth**2 / height**2
    assert stress.land_bending_stress(5e6, 0.1, 0.1 - 2 * depth, height) == pytest.approx(strip, rel=0.02)
    assert stress.land_shear_stress(5e6, 0.1, 0.1 - 2 * depth, height) == pytest.approx(1.5 * 5e6 * depth / height, rel=0.02)


@given(share=st.floats(min_value=0.8, max_value=0.98), height=st.floats(min_value=0.002, max_value=0.01))
def test_land_shear_carries_the_whole_load(share: float, height: float) -> None:
    land, root = 0.1, 0.1 * share
    load = 4e6 * np.pi / 4 * (land**2 - root**2)
    assert stress.land_shear_stress(4e6, land, root, height) / 1.5 * np.pi * root * height == pytest.approx(load, rel=1e-9)


@given(pressure=st.floats(min_value=1e5, max_value=2e7), thickness=st.floats(min_value=0.003, max_value=0.02))
def test_crown_thickness_undoes_crown_stress(pressure: float, thickness: float) -> None:
    assert stress.crown_thickness(pressure, 0.1, stress.crown_stress(pressure, 0.1, thickness)) == pytest.approx(thickness, rel=1e-12)


def test_scalars_are_elements_of_arrays() -> None:
    pressure, height = np.array([3e6, 6e6]), np.array([[0.004], [0.005]])
    for formula in (stress.land_shear_stress, stress.land_bending_stress):
        table = formula(pressure, 0.0995, 0.0915, height)
        assert table[1, 1] == pytest.approx(formula(6e6, 0.0995, 0.0915, 0.005), rel=1e-14)
    bearing = stress.bearing_pressure([1e3, 2e3], 0.02, stress.boss_bearing_length(0.06, 0.02))
    np.testing.assert_allclose(bearing, [1.25e6, 2.5e6], rtol=1e-12)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (stress.bearing_pressure, (1.0, 0.0, 0.04)),
        (stress.boss_bearing_length, (0.06, 0.06)),
        (stress.land_shear_stress, (1e6, 0.09, 0.09, 0.005)),
        (stress.land_bending_stress, (1e6, 0.1, 0.09, 0.0)),
        (stress.land_bending_stress, (1e6, 0.1, 0.09, 0.005, 0.6)),
        (stress.crown_stress, (1e6, 0.1, 0.0)),
        (stress.crown_thickness, (1e6, 0.1, 0.0)),
    ],
)
def test_impossible_pistons_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))
