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
    dead center m·ω²·r·(1 + r/l) 9493 N."""
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


PETROL = {"outer": 0.022, "inner": 0.015, "length": 0.068, "force": 27.4e3}


def test_kolchin_and_demidov_pin() -> None:
    """N. Kolchin and V. Demidov, Design of Automotive Engines (Mir, 1984), petrol engine, from memory and worked again: bore 78 mm, 6.195
    MPa; pin 22 × 15 × 68 mm, gap 32, eye 28, 27.4 kN on it: bosses 34.6 MPa, eye 44.5, bending 246 (its 1.2 stands for 3π/8 = 1.178, so
    251), shear 132, closing 0.031 mm, hoop at the sides of the hole −300 MPa."""
    force, outer, inner, length = (PETROL[name] for name in ("force", "outer", "inner", "length"))
    assert stress.bearing_pressure(force, outer, stress.boss_bearing_length(length, 0.032)) == pytest.approx(34.6e6, abs=0.05e6)
    assert stress.bearing_pressure(force, outer, 0.028) == pytest.approx(44.5e6, abs=0.05e6)
    bending = stress.pin_bending_stress(stress.pin_bending_moment(force, length, 0.032, 0.028), outer, inner)
    assert bending * 3 * np.pi / 8 / 1.2 == pytest.approx(246e6, abs=0.5e6)
    assert stress.pin_shear_stress(force, outer, inner) == pytest.approx(132e6, abs=0.5e6)
    assert stress.pin_ovalization(force, outer, inner, length, 2.0e11) == pytest.approx(0.031e-3, abs=0.0005e-3)
    assert stress.pin_ovalization_stresses(force, outer, inner, length)[2] == pytest.approx(-300e6, rel=0.015)


def test_kolchin_and_demidov_land() -> None:
    """The same piston's land between the rings, 3.5 mm: bending 13.8, shear 4.3, together √(σ² + 4τ²) 16.3 MPa at the book's 0.0045·p·D/h
    and 0.0314·p·D/h; a ring clamped at its root of 71 mm under the book's share of the pressure, 0.9 less 0.22, has them."""
    pressure, bore, height, root = 6.195e6, 0.078, 0.0035, 0.071
    across = 0.68 * pressure
    bending, shear = stress.land_bending_stress(across, bore, root, height), stress.land_shear_stress(across, bore, root, height) / 1.5
    assert np.hypot(bending, 2 * shear) == pytest.approx(16.3e6, rel=0.03)


def test_kolchin_and_demidov_crown() -> None:
    """The same piston's crown, 7.5 mm over a radius of 29.7 mm: p·(r/δ)² = 97 MPa; a clamped plate has three quarters of it at its rim."""
    pressure = 6.195e6
    assert pressure * (29.7 / 7.5) ** 2 == pytest.approx(97e6, abs=0.5e6)
    assert stress.crown_stress(pressure, 2 * 0.0297, 0.0075) == pytest.approx(0.75 * 97e6, rel=0.01)


def test_gas_on_a_tested_rod() -> None:
    """P. S. Shenoy and A. Fatemi, SAE 2005-01-0987 (2005), from memory: bore 86 mm, 37.3 bar: 21.7 kN."""
    assert stress.gas_force(37.3e5, 0.086, 0.0) == pytest.approx(21.7e3, abs=0.05e3)


def test_sines_mean_shear_and_hydrostatic_mean() -> None:
    """G. Sines, NACA TN 3495 (1955), from memory: the limit of the octahedral amplitude falls with the sum of the mean normal stresses;
    equal and opposite means leave it, and along one direction it is the plain mean and amplitude."""
    mean, alternating = stress.sines_stresses((200.0, 0.0), (-150.0, -50.0))
    assert mean == pytest.approx(0.0)
    assert alternating == pytest.approx(np.sqrt(100**2 + 100 * 50 + 50**2))
    plain = stress.sines_stresses((250.0, -150.0), (0.0, 0.0))
    assert [float(each) for each in plain] == [float(each) for each in stress.mean_and_alternating(250.0, -150.0)]
