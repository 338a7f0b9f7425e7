"""What one closed cycle of a cylinder does."""

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from borewright.physics.arrays import BoolArray, FloatArray


@dataclass(frozen=True)
class CycleResult:
    """What a cycle does, each [N], traces [N, S]. Rows not solved hold zeros and say why.

    Energies per cycle and cylinder [J]: work of the closed part, indicated work over compression and expansion strokes, heat lost to
    the walls, heating value of the fuel, heat of decomposition of nitrous oxide, and what leaves with the exhaust (internal energy at
    exhaust opening over that of the charge, unburned heat included), so that closed_work + heat_loss + exhaust_energy =
    fuel_energy + nitrous_energy. Pressures [Pa]: indicated, pumping, friction and brake mean effective pressure and the peak.
    Angles [rad] after top dead center. `held` is what solving a neighbor may
    start from. `octane_required` makes the knock integral 1 at this timing.
    """

    half_burn: FloatArray
    spark: FloatArray
    closed_work: FloatArray
    indicated_work: FloatArray
    heat_loss: FloatArray
    fuel_energy: FloatArray
    nitrous_energy: FloatArray
    exhaust_energy: FloatArray
    compressor_work: FloatArray
    imep: FloatArray
    pmep: FloatArray
    fmep: FloatArray
    bmep: FloatArray
    indicated_efficiency: FloatArray
    brake_efficiency: FloatArray
    brake_power: FloatArray
    peak_pressure: FloatArray
    peak_pressure_angle: FloatArray
    peak_end_gas_temperature: FloatArray
    knock_integral: FloatArray
    octane_required: FloatArray
    air_mass: FloatArray
    fuel_mass: FloatArray
    nitrous_mass: FloatArray
    trapped_mass: FloatArray
    residual_fraction: FloatArray
    manifold_temperature: FloatArray
    trapped_temperature: FloatArray
    trapped_pressure: FloatArray
    exhaust_temperature: FloatArray
    angle: FloatArray
    volume: FloatArray
    pressure: FloatArray
    burned_fraction: FloatArray
    unburned_temperature: FloatArray
    burned_temperature: FloatArray
    end_gas_temperature: FloatArray
    held: FloatArray
    solved: BoolArray
    reason: NDArray[np.str_]

    def take(self, rows: NDArray[np.intp] | slice) -> "CycleResult":
        """Some of the rows."""
        return CycleResult(*[getattr(self, one.name)[rows] for one in fields(self)])
