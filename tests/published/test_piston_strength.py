"""Piston, pin and rod against textbook examples."""

import numpy as np
import pytest

from borewright.physics import stress


def test_khurmi_and_gupta_example_32_2() -> None:
    """R. S. Khurmi and J. K. Gupta, A Textbook of Machine Design, ex. 32.2: bore 100 mm, 5 N/mm². The book takes π/4 as 0.7855 and
    prints 39 275 N for 39 270; pin 34.9 mm from a bearing pressure of 25 N/mm² over 0.45 of the bore, say 35 mm, hole 0.6 of the pin."""
    force = stress.gas_force(5e6, 0.100, 0.0)
    assert force == pytest.approx(39275, rel=2e-4)
    assert stress.bearing_pressure(39275, 0.0349, 0.45 * 0.100) == pytest.approx(25e6, rel=1e-3)
    # the book's M and Z worked without rounding
    moment = stress.textbook_pin_bending_moment(force, 0.100)
    assert stress.pin_bending_stress(moment, 0.035, 0.021) == pytest.approx(133.98e6, abs=0.005e6)


def test_khurmi_and_gupta_crown() -> None:
    """Same chapter, ex. 32.1 (from memory): 5 N/mm², bore 100 mm, 38 N/mm²: crown 15.7 mm, say 16."""
    assert stress.crown_thickness(5e6, 0.100, 38e6) == pytest.approx(15.7e-3, abs=0.05e-3)


def test_crown_is_a_clamped_plate() -> None:
    """S. P. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, circular plate with clamped edge: 3/4·q·a²/h² at the rim."""
    assert stress.crown_stress(5e6, 0.100, 0.012) == pytest.approx(0.75 * 5e6 * 0.050**2 / 0.012**2, rel=1e-12)


def test_khurmi_and_gupta_example_32_3() -> None:
    """Same book, ex. 32.3: 3.15 N/mm², bore 100 mm, 2.25 kg, rod 380 mm, stroke 190 mm, 1800 rpm: gas load 24 740 N; inertia at top
    dead centre m·ω²·r·(1 + r/l) 9493 N."""
    speed = 1800 * np.pi / 30
    assert stress.gas_force(3.15e6, 0.100, 0.0) == pytest.approx(24740, abs=0.5)
    assert -stress.inertia_force(2.25, 0.0, 0.190, 0.380, speed) == pytest.approx(9493, abs=0.5)


def test_khurmi_and_gupta_rod_section() -> None:
    """Same example (from memory): six times the gas load, 148 440 N, on an I-section of area 11·t² and radius of gyration 1.78·t with
    320 N/mm² and 1/7500 gives t = 6.9 mm, taken as 7 mm."""
    t = 6.9e-3
    assert stress.rankine_load(11 * t**2, 320e6, 0.380, 1.78 * t) == pytest.approx(148440, rel=0.005)
    t = 7e-3
    assert stress.rankine_load(11 * t**2, 320e6, 0.380, 1.78 * t) > 148440


def test_shigley_crane_hook() -> None:
    """J. E. Shigley and C. R. Mischke, Mechanical Engineering Design, curved-beam example (from memory): hook 0.75 in by 4 in, radii 2
    and 6 in, 5000 lbf: 16.9 kpsi inside, -5.63 kpsi outside, direct tension included. Inch units throughout."""
    inside, outside = stress.curved_bar_stress(5000 * 4.0, 2.0, 6.0, 0.75)
    direct = stress.direct_stress(5000, 0.75 * 4.0)
    assert inside + direct == pytest.approx(16.9e3, abs=50)
    assert outside + direct == pytest.approx(-5.63e3, abs=10)


def test_shigley_gerber_example() -> None:
    """Same book, fluctuating tension on a notched bar (from memory): amplitude and mean 8.38 kpsi, endurance limit 33.9, ultimate 100,
    yield 84 kpsi: Gerber 3.66, yield 5.01."""
    assert stress.gerber_factor(8.38, 8.38, 33.9, 100.0) == pytest.approx(3.66, abs=0.005)
    assert stress.yield_factor(8.38, 8.38, 84.0) == pytest.approx(5.01, abs=0.005)
