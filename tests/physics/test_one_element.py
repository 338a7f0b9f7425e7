"""An element outside a formula's domain comes out as NaN and leaves the others as they are, to the last bit."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from borewright.physics.cycle import charge, end_gas, friction, heat_loss, wiebe
from borewright.physics.fits import clearances, thermal, wear
from borewright.physics.gas import air, atmosphere, equilibrium, fuel, knock, octane, otto
from borewright.physics.gas.equilibrium_adiabatic import burned_at_energy
from borewright.physics.gas.thermo import ATOMS
from borewright.physics.mechanism import balance, crank, crown_volumes, milling, piston_motion, valve, valve_train, volumes
from borewright.physics.stress import endurance, fatigue, loads, pin, piston, rod, sections, shank

ELEMENTS = (fuel.charge_mixture(fuel.ISOOCTANE, [0.8, 1.0, 0.9])[0] @ ATOMS) * 1.0
SOOT = ELEMENTS.copy()
SOOT[1] = [10.0, 20.0, 5.0, 0.0, 0.0]

# a formula, arguments of three elements, which argument goes wrong and what it is in the middle
CASES: list[tuple[Callable[..., Any], tuple[Any, ...], int, Any]] = [
    (volumes.circle_area, (0.1,), 0, -0.1),
    (volumes.annulus_volume, (0.1, 0.09, 0.01), 1, 0.2),
    (volumes.swept_volume, (0.1, 0.08), 1, 0.0),
    (volumes.displacement, (0.1, 0.08, 4.0), 2, 0.0),
    (volumes.compression_ratio, (1e-3, 1e-4), 1, 0.0),
    (volumes.clearance_for_ratio, (1e-3, 10.0), 1, 1.0),
    (crown_volumes.crown_volume_poured, (8e-5, 0.1, 0.01), 0, -1e-6),
    (crown_volumes.dish_volume, (0.08, 0.002, 0.001), 2, 0.003),
    (crown_volumes.spherical_dish_volume, (0.08, 0.004), 1, -0.001),
    (crown_volumes.pocket_volume, (0.04, 0.003, 0.2), 2, 1.6),
    (balance.bob_weight, (0.5, 0.6, 2.0, 0.5), 3, 1.5),
    (balance.primary_unit, (0.5, 0.08, 500.0), 0, -1.0),
    (balance.secondary_unit, (0.5, 0.08, 0.14, 500.0), 2, 0.03),
    (piston_motion.mean_piston_speed, (0.08, 500.0), 0, 0.0),
    (piston_motion.piston_acceleration, (0.3, 0.08, 0.14, 500.0, 0.0), 2, 0.03),
    (crank.piston_travel, (0.3, 0.08, 0.14, 0.0), 2, 0.03),
    (crank.cylinder_volume, (0.3, 0.1, 0.08, 0.14, 1e-4), 4, -1.0),
    (crank.rod_ratio, (0.14, 0.08), 1, 0.0),
    (valve.axial_clearance, (0.001, 0.001, 0.001, 0.001, 0.001, 0.2), 5, 1.6),
    (valve.radial_clearance, (0.05, 0.04), 1, 0.0),
    (valve_train.pushrod_for_drop, (0.2, 0.001, 0.1), 0, 0.0),
    (valve_train.lifter_compression, (0.001, 0.0003, 0.0, 1.5), 3, 0.0),
    (valve_train.pivot_rise, (0.001, 1.5), 1, 0.0),
    (valve_train.rocker_sweep, (0.038, 0.012, 0.002), 0, 0.007),
    (valve_train.cam_retard, (0.001, 0.05), 1, 0.0),
    (milling.intake_face_cut, (0.00025, 1.6, 1.4), 2, 0.5),
    (clearances.deck_clearance, (0.22, 0.08, 0.14, 0.03), 3, 0.0),
    (clearances.diametral_clearance, (0.02, 0.0199), 0, 0.0),
    (clearances.standard_tolerance_factor, (0.1,), 0, 0.6),
    (clearances.counterweight_clearance, (0.08, 0.14, 0.02, 0.07), 3, 0.0),
    (clearances.skirt_exposure, (0.22, 0.15, 0.08, 0.14, 0.03), 4, -0.01),
    (thermal.free_expansion, (0.1, 1e-5, 100.0), 1, np.inf),
    (wear.cleanup_diameter_original, (0.1, 0.1001, 5e-5), 2, -1.0),
    (wear.cleanup_diameter_follow, (0.1001, 5e-5), 0, 0.0),
    (wear.wall_left, (0.006, 0.1, 0.101), 0, 0.0),
    (octane.octane_number, (95.0, 0.5, 10.0, 0.2), 0, 0.0),
    (air.saturation_vapor_pressure, (300.0,), 0, 1000.0),
    (air.dry_pressure, (1e5, 300.0, 0.5), 2, 1.5),
    (atmosphere.geopotential_altitude, (1000.0,), 0, 1e6),
    (atmosphere.density_altitude, (1.2,), 0, 50.0),
    (otto.air_standard_efficiency, (10.0,), 0, 1.0),
    (otto.fuel_air_efficiency, (10.0, 1.0), 0, 0.5),
    (otto.fuel_air_efficiency, (10.0, 1.0), 1, 3.0),
    (equilibrium.equilibrium_moles, (ELEMENTS, 2000.0, 1.0), 1, 10.0),
    (equilibrium.equilibrium_moles, (ELEMENTS, 2000.0, 1.0), 0, SOOT),
    (burned_at_energy, (ELEMENTS, 5e5, 0.1), 1, 1e9),
    (rod.direct_stress, (1e4, 1e-4), 1, 0.0),
    (rod.rankine_load, (1e-4, 3e8, 0.14, 0.005), 1, -1.0),
    (rod.johnson_load, (1e-4, 3e8, 0.14, 0.005, 2e11), 1, -1.0),
    (rod.johnson_load, (1e-4, 3e8, 0.14, 0.005, 2e11), 3, 0.0),
    (endurance.surface_factor, (1e9, 4.5, -0.265), 0, 0.0),
    (sections.curved_bar_stress, (10.0, 0.01, 0.02, 0.01), 1, 0.03),
    (shank.i_section_area, (0.03, 0.02, 0.004, 0.004), 3, 0.02),
    (loads.gas_force, (1e6, 0.1), 0, np.inf),
    (loads.rod_force, (1e4, 0.2), 1, 1.6),
    (fatigue.goodman_factor, (1e8, 1e8, 2e8, 4e8), 2, 0.0),
    (fatigue.yield_factor, (1e8, 1e8, 4e8), 0, -1.0),
    (piston.bearing_pressure, (1e4, 0.02, 0.03), 1, 0.0),
    (piston.land_bending_stress, (1e6, 0.1, 0.09, 0.004), 2, 0.2),
    (piston.crown_stress, (1e6, 0.1, 0.008), 2, 0.0),
    (pin.pin_bending_moment, (1e4, 0.06, 0.03, 0.02), 2, 0.07),
    (pin.pin_ovalization, (1e4, 0.022, 0.012, 0.06, 2e11), 2, 0.001),
    (heat_loss.woschni_coefficient, (0.1, 1e6, 500.0, 20.0), 1, 0.0),
    (charge.compressor_outlet_temperature, (300.0, 1.5, 0.7), 1, 0.9),
    (charge.intercooler_outlet_temperature, (400.0, 300.0, 0.5), 2, 1.5),
    (knock.oxygen_delay_factor, (0.2, 0.21), 0, 0.0),
    (knock.douaud_eyzat_delay, (95.0, 1e6, 800.0), 1, 0.0),
    (end_gas.octane_of_resistance, (0.5,), 0, -1.0),
    (wiebe.wiebe_fraction, (0.5, 6.9), 1, -1.0),
    (wiebe.wiebe_progress, (0.5,), 0, 1.0),
    (friction.barnes_moss_friction, (300.0,), 0, -1.0),
    (friction.patton_nitschke_heywood_friction, (0.1, 0.09, 300.0, 10.0, 1e5, 8.0), 0, -1.0),
]


@pytest.mark.parametrize(("formula", "arguments", "wrong", "value"), CASES)
def test_one_element(formula: Callable[..., Any], arguments: tuple[Any, ...], wrong: int, value: Any) -> None:
    right = [np.array(given) if np.ndim(given) else given * np.array([1.0, 1.01, 0.99]) for given in arguments]
    spoiled = [given.copy() for given in right]
    spoiled[wrong] = np.array(value) if np.ndim(value) else np.where([False, True, False], value, right[wrong])
    with np.errstate(all="ignore"):
        found, expected = formula(*spoiled), formula(*right)
    lost = False
    for one, other in zip(*(given if isinstance(given, tuple) else (given,) for given in (found, expected)), strict=True):
        np.testing.assert_allclose(one[[0, 2]], other[[0, 2]], rtol=1e-13, atol=0.0)
        assert np.isfinite(other).all()
        lost |= bool(np.isnan(one[1]).any())
    assert lost
