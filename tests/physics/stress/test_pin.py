"""A piston pin's stresses against equilibrium and energy, worked numerically."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from borewright.physics import stress
from borewright.physics.stress import pin

NoAnswer = Callable[[str, Callable[[], object]], None]

wall_shares = st.floats(min_value=0.2, max_value=0.9)


@given(
    length=st.floats(min_value=0.04, max_value=0.09),
    span_share=st.floats(min_value=0.3, max_value=0.7),
    rod_share=st.floats(min_value=0.5, max_value=1.0),
)
def test_bending_moment_is_the_integral_of_the_pressures(length: float, span_share: float, rod_share: float) -> None:
    """Along half the pin: the boss pushes down in a triangle that ends at the pin's end, the rod up evenly; integrated numerically."""
    span = length * span_share
    width = span * rod_share
    force = 30e3
    boss = (length - span) / 2
    peak = force / 2 * 2 / boss
    of_boss, _ = integrate.quad(lambda x: peak * (1.0 - (x - span / 2) / boss) * x, span / 2, length / 2)
    of_rod, _ = integrate.quad(lambda x: force / width * x, 0.0, width / 2)
    assert stress.pin_bending_moment(force, length, span, width) == pytest.approx(of_boss - of_rod, rel=1e-9)


def test_even_pressure_in_the_bosses_bends_more() -> None:
    """The book's pin, as long as the bore with a rod that fills the gap: F·D/8 with even pressure, less on the inner edges."""
    assert 0.8 < stress.pin_bending_moment(1e4, 0.1, 0.045, 0.045) / stress.textbook_pin_bending_moment(1e4, 0.1) < 0.85


@given(share=st.floats(min_value=0.0, max_value=0.95))
def test_shear_peak_is_first_moment_over_second_moment(share: float) -> None:
    """τ = V·Q/(I·b) at the neutral axis, with Q and I of the half ring."""
    D, d, V = 0.022, 0.022 * share, 20e3
    Q = (D**3 - d**3) / 12
    second_moment = np.pi / 64 * (D**4 - d**4)
    assert stress.pin_shear_stress(2 * V, D, d) == pytest.approx(V * Q / (second_moment * (D - d)), rel=1e-9)


def ring_moment_by_energy() -> Callable[[float], float]:
    """Moment around a thin ring of unit radius under p₀·|cos θ| carrying unit force, the redundant moment from Castigliano."""
    p_0 = 2.0 / np.pi
    hoop_top = p_0 / 2  # horizontal pull across the quarter above the side

    def without_redundant(theta: float) -> float:
        """From the cut under the load round to θ: the hoop force at the cut and the load between, about the section at θ."""
        load, _ = integrate.quad(lambda t: p_0 * np.cos(t) * np.sin(theta - t), 0.0, theta)
        return hoop_top * (1.0 - np.cos(theta)) - load

    total, _ = integrate.quad(without_redundant, 0.0, np.pi / 2)
    redundant = -total / (np.pi / 2)  # no rotation of the cut under the load, by symmetry
    return lambda theta: redundant + without_redundant(theta)


def test_ring_coefficients_by_energy() -> None:
    moment = ring_moment_by_energy()
    assert abs(moment(0.0)) == pytest.approx(pin.RING_TOP_MOMENT, rel=1e-9)
    assert abs(moment(np.pi / 2)) == pytest.approx(pin.RING_SIDE_MOMENT, rel=1e-9)
    assert np.sign(moment(0.0)) == -np.sign(moment(np.pi / 2))
    # closing of the diameter: twice the work of a unit load pair's moment, cos θ/2 less its own mean, on the quarter
    closing, _ = integrate.quad(lambda t: moment(t) * (np.sin(t) / 2 - 1 / np.pi), 0.0, np.pi / 2)
    assert 4 * abs(closing) == pytest.approx(pin.RING_CLOSING, rel=1e-9)


@given(share=wall_shares)
def test_ring_signs_and_largest(share: float) -> None:
    stresses = stress.pin_ovalization_stresses(30e3, 0.022, 0.022 * share, 0.06)
    top_inside, top_outside, side_inside, _ = (float(value) for value in stresses)
    assert top_inside > top_outside
    assert side_inside < 0.0
    largest = max(abs(float(value)) for value in stresses)
    assert stress.pin_ovalization_stress(30e3, 0.022, 0.022 * share, 0.06) == pytest.approx(largest, rel=1e-14)


def test_thin_ring_limit_of_the_stress() -> None:
    outer, inner, w = 0.100, 0.098, 1e3 / 0.05
    R, h = 0.0495, 0.001
    plain = 6 * pin.RING_SIDE_MOMENT * w * R / h**2 + w / (2 * h)
    assert stress.pin_ovalization_stress(1e3, outer, inner, 0.05) == pytest.approx(plain, rel=0.01)


def test_ovalization_of_a_thin_ring_by_its_energy() -> None:
    """Bending alone: the closing of the diameter, 4·∫M·m̄·R dθ/(E·I) over the quarter, with I of a strip as wide as the pin is long."""
    force, outer, inner, length, E = 30e3, 0.022, 0.018, 0.06, 207e9
    R, second_moment = 0.010, length * 0.002**3 / 12
    moment = ring_moment_by_energy()
    unit, _ = integrate.quad(lambda t: moment(t) * (np.sin(t) / 2 - 1 / np.pi), 0.0, np.pi / 2)
    closing = 4 * abs(unit) * force * R**3 / (E * second_moment)
    assert stress.pin_ovalization(force, outer, inner, length, E) == pytest.approx(closing, rel=1e-9)


def test_ring_carries_the_load_at_its_sides_and_pulls_across_under_it() -> None:
    """Equilibrium: curved-bar bending alone has no resultant, so hoop force alone, −F/2 and −F/π a length, comes on top."""
    force, outer, inner, length = 30e3, 0.022, 0.012, 0.06
    w, wall = force / length * stress.ovalization_share(outer, inner), (outer - inner) / 2
    R = (outer + inner) / 4
    for inside, outside, hoop, bending in zip(
        *np.reshape(stress.pin_ovalization_stresses(force, outer, inner, length), (2, 2)).T,
        (w / np.pi / wall, w / 2 / wall),
        (pin.RING_TOP_MOMENT * w * R, -pin.RING_SIDE_MOMENT * w * R),
        strict=True,
    ):
        bent = stress.curved_bar_stress(bending, inner / 2, outer / 2, 1.0)
        assert [inside + hoop, outside + hoop] == pytest.approx([float(each) for each in bent], rel=1e-9)


def test_scalars_are_elements_of_arrays() -> None:
    force, inner = np.array([1e4, 4e4]), np.array([[0.010], [0.014]])
    for formula in (stress.pin_shear_stress, stress.pin_bending_stress):
        assert formula(force, 0.022, inner)[1, 1] == pytest.approx(formula(4e4, 0.022, 0.014), rel=1e-14)
    table = stress.pin_ovalization_stress(force, 0.022, inner, 0.06)
    assert table.shape == (2, 2)
    assert table[1, 1] == pytest.approx(stress.pin_ovalization_stress(4e4, 0.022, 0.014, 0.06), rel=1e-14)


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (stress.pin_bending_moment, (1.0, 0.06, 0.07, 0.02)),
        (stress.pin_bending_moment, (1.0, 0.06, 0.02, 0.03)),
        (stress.textbook_pin_bending_moment, (1.0, 0.0)),
        (stress.pin_shear_stress, (1.0, 0.02, 0.02)),
        (stress.pin_ovalization_stress, (1.0, 0.02, 0.0, 0.06)),
        (stress.pin_ovalization_stress, (1.0, 0.02, 0.01, 0.0)),
        (stress.pin_ovalization, (1.0, 0.02, 0.01, 0.06, 0.0)),
    ],
)
def test_impossible_pins_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer("must", lambda: formula(*arguments))


@given(wall=st.floats(min_value=0.2, max_value=0.95), thinner=st.floats(min_value=0.2, max_value=0.95))
def test_a_thinner_wall_never_ovalizes_less(wall: float, thinner: float) -> None:
    stiff, weak = sorted((wall, thinner))
    for formula in (stress.pin_ovalization_stress, lambda *sizes: stress.pin_ovalization(*sizes, 207e9)):
        assert formula(1e4, 0.022, 0.022 * stiff, 0.06) <= formula(1e4, 0.022, 0.022 * weak, 0.06) * (1 + 1e-12)
