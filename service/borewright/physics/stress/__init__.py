"""Loads and stresses of piston, pin and rod, and what the material stands."""

from borewright.physics.stress.fatigue import (
    gerber_factor,
    goodman_factor,
    mean_and_alternating,
    sines_stresses,
    strength_at_temperature,
    yield_factor,
)
from borewright.physics.stress.loads import gas_force, inertia_force, rod_angle, rod_force
from borewright.physics.stress.pin import (
    ovalization_share,
    pin_bending_moment,
    pin_bending_stress,
    pin_ovalization,
    pin_ovalization_stress,
    pin_ovalization_stresses,
    pin_shear_stress,
    textbook_pin_bending_moment,
)
from borewright.physics.stress.piston import (
    bearing_pressure,
    boss_bearing_length,
    crown_stress,
    crown_thickness,
    land_bending_stress,
    land_shear_stress,
)
from borewright.physics.stress.rod import direct_stress, johnson_load, rankine_load
from borewright.physics.stress.sections import curved_bar_stress, equivalent_stress, tube_area, tube_section_modulus

__all__ = [
    "bearing_pressure",
    "boss_bearing_length",
    "crown_stress",
    "crown_thickness",
    "curved_bar_stress",
    "direct_stress",
    "equivalent_stress",
    "gas_force",
    "gerber_factor",
    "goodman_factor",
    "inertia_force",
    "johnson_load",
    "land_bending_stress",
    "land_shear_stress",
    "mean_and_alternating",
    "ovalization_share",
    "pin_bending_moment",
    "pin_bending_stress",
    "pin_ovalization",
    "pin_ovalization_stress",
    "pin_ovalization_stresses",
    "pin_shear_stress",
    "rankine_load",
    "rod_angle",
    "rod_force",
    "sines_stresses",
    "strength_at_temperature",
    "textbook_pin_bending_moment",
    "tube_area",
    "tube_section_modulus",
    "yield_factor",
]
