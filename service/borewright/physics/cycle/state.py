"""The cylinder as the cycle sees it, its range of validity, and the defaults with their reasons."""

from dataclasses import dataclass, field, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from borewright.physics.arrays import BoolArray, FloatArray, floats
from borewright.physics.gas.atmosphere import STANDARD_ATMOSPHERE
from borewright.physics.gas.fuel import GASOLINE, Fuel

CHARGE_HEATING = 20.0
"""Rise of the fresh charge in hot port and cylinder [K], mixture preparation included: calibration, within common practice (10 to 40 K)."""

WALL_TEMPERATURE = 450.0
"""Mean of piston, head and liner at full load [K]: from memory, J. B. Heywood, 1988, ch. 12."""

HEAT_TRANSFER_FACTOR = 1.5
"""Of Woschni's coefficient, whose constants were fitted to a diesel engine. Calibration: with it MBT timing has half burned 7 to 10°
after top dead center from 2000 to 3000 rev/min, as J. B. Heywood, 1988, ch. 9.2 reports (from memory); with 1 it is 5 to 7°."""

NITROUS_EVAPORATED = 0.3
"""Share of the nitrous oxide that evaporates before the valve at the air's expense; hot walls warm the rest. Calibration, so that
octane asked for rises as the retard of practice does: 1 to 2.5 degrees for each 50 hp, at about an octane number a degree."""

BOTTLE_TEMPERATURE = 298.15
"""Of the liquid nitrous oxide in its bottle [K]: common practice keeps it near 25 to 30 degC, 56 to 63 bar."""

COMBUSTION_EFFICIENCY = 0.98
"""Share of the charge that burns; the rest hides in crevices: from memory, J. B. Heywood, 1988, ch. 3.5.4 and 9.6."""

DEFAULT_INTAKE_CLOSING, DEFAULT_EXHAUST_OPENING = float(np.radians(60.0)), float(np.radians(55.0))
"""After and before bottom dead center [rad]: common practice for a street engine."""


@dataclass(frozen=True)
class CylinderState:
    """One cylinder at one running condition; every number an array of one value or of N.

    Lengths [m], angles [rad], pressures [Pa], temperatures [K]. `intake_closing` counts after bottom dead center, `exhaust_opening`
    before it. `boost` is over ambient. `nitrous_flow` [kg/s] is per cylinder. `volumetric_efficiency` is over manifold density, in
    ambient air of `filling_temperature`; in hotter air it grows as the root of the absolute temperature. `exhaust_pressure`,
    `residual_fraction` and `burn_duration` of NaN mean "calculate it", `filling_temperature` of NaN that of the ambient air.
    `cylinders` only tells how bearings and accessories are shared; `friction_factor` scales friction,
    `heat_transfer_factor` Woschni's coefficient. `compressor_drive` is the share of the compressor's work taken from the crank: 1 for a
    driven one, 0 for an exhaust turbine, whose cost is the exhaust pressure.
    """

    bore: ArrayLike
    stroke: ArrayLike
    rod_length: ArrayLike
    compression_ratio: ArrayLike
    speed: ArrayLike
    pin_offset: ArrayLike = 0.0
    intake_closing: ArrayLike = DEFAULT_INTAKE_CLOSING
    exhaust_opening: ArrayLike = DEFAULT_EXHAUST_OPENING
    octane: ArrayLike = 95.0
    equivalence_ratio: ArrayLike = 1.1
    volumetric_efficiency: ArrayLike = 0.9
    filling_temperature: ArrayLike = np.nan
    ambient_pressure: ArrayLike = STANDARD_ATMOSPHERE
    ambient_temperature: ArrayLike = 298.15
    boost: ArrayLike = 0.0
    compressor_efficiency: ArrayLike = 0.7
    intercooler_effectiveness: ArrayLike = 0.0
    compressor_drive: ArrayLike = 0.0
    exhaust_pressure: ArrayLike = np.nan
    nitrous_flow: ArrayLike = 0.0
    nitrous_evaporated: ArrayLike = NITROUS_EVAPORATED
    bottle_temperature: ArrayLike = BOTTLE_TEMPERATURE
    residual_fraction: ArrayLike = np.nan
    charge_heating: ArrayLike = CHARGE_HEATING
    wall_temperature: ArrayLike = WALL_TEMPERATURE
    burn_duration: ArrayLike = np.nan
    combustion_efficiency: ArrayLike = COMBUSTION_EFFICIENCY
    heat_transfer_factor: ArrayLike = HEAT_TRANSFER_FACTOR
    cylinders: ArrayLike = 4.0
    friction_factor: ArrayLike = 1.0
    fuel: Fuel = field(default=GASOLINE)


RANGES: dict[str, tuple[float, float, str]] = {
    "bore": (0.02, 0.3, "bore must lie within 20 to 300 mm"),
    "stroke": (0.02, 0.4, "stroke must lie within 20 to 400 mm"),
    "rod_length": (0.02, 1.0, "rod length must lie within 20 to 1000 mm"),
    "compression_ratio": (4.0, 25.0, "compression ratio must lie within 4 to 25"),
    "speed": (50.0, 2100.0, "speed must lie within about 480 to 20000 rev/min"),
    "pin_offset": (-0.02, 0.02, "pin offset must lie within ±20 mm"),
    "intake_closing": (0.0, 1.92, "the intake must close within 0 to 110° after bottom dead center"),
    "exhaust_opening": (0.0, 1.75, "the exhaust must open within 0 to 100° before bottom dead center"),
    "octane": (50.0, 160.0, "octane number must lie within 50 to 160"),
    "equivalence_ratio": (0.6, 1.6, "equivalence ratio must lie within 0.6 to 1.6"),
    "volumetric_efficiency": (0.1, 1.4, "volumetric efficiency must lie within 0.1 to 1.4"),
    "ambient_pressure": (40e3, 110e3, "ambient pressure must lie within 40 to 110 kPa"),
    "ambient_temperature": (220.0, 360.0, "ambient temperature must lie within 220 to 360 K"),
    "boost": (0.0, 4e5, "boost must lie within 0 to 4 bar"),
    "compressor_efficiency": (0.3, 1.0, "compressor efficiency must lie within 0.3 to 1"),
    "intercooler_effectiveness": (0.0, 1.0, "intercooler effectiveness must lie within 0 to 1"),
    "compressor_drive": (0.0, 1.0, "the share of compressor work taken from the crank must lie within 0 to 1"),
    "exhaust_pressure": (30e3, 6e5, "exhaust pressure must lie within 0.3 to 6 bar"),
    "nitrous_flow": (0.0, 0.2, "nitrous oxide per cylinder must lie within 0 to 200 g/s"),
    "nitrous_evaporated": (0.0, 1.0, "the evaporated share of the nitrous oxide must lie within 0 to 1"),
    "bottle_temperature": (233.15, 308.15, "the nitrous oxide's bottle must be within −40 to 35 degC"),
    "filling_temperature": (220.0, 360.0, "the air that the volumetric efficiency is stated for must be within 220 to 360 K"),
    "cylinders": (1.0, 24.0, "the number of cylinders must lie within 1 to 24"),
    "friction_factor": (0.3, 5.0, "the friction factor must lie within 0.3 to 5"),
    "residual_fraction": (0.0, 0.4, "residual fraction must lie within 0 to 0.4"),
    "charge_heating": (-120.0, 150.0, "charge heating must lie within −120 to 150 K"),
    "wall_temperature": (280.0, 700.0, "wall temperature must lie within 280 to 700 K"),
    "burn_duration": (1e-4, 2.5, "burn duration must lie within 0.01 to 140°"),
    "combustion_efficiency": (0.5, 1.0, "combustion efficiency must lie within 0.5 to 1"),
    "heat_transfer_factor": (0.0, 3.0, "the heat transfer factor must lie within 0 to 3"),
}
"""Validity of each field in the unit of the state; where a build cannot be, or the model would be guessing."""

OPTIONAL = ("filling_temperature", "exhaust_pressure", "residual_fraction", "burn_duration")

NAMES = tuple(one.name for one in fields(CylinderState) if one.name != "fuel")
_LOWEST, _HIGHEST = (np.array([[RANGES[name][end]] for name in NAMES]) for end in (0, 1))
_OPTIONAL = np.array([[name in OPTIONAL] for name in NAMES])

# a row that cannot run is computed as this one and then reported as not solved
_STAND_IN = {"bore": 0.0843, "stroke": 0.0853, "rod_length": 0.14235, "compression_ratio": 9.0, "speed": 300.0}

BURN_DURATION = float(np.radians(50.0))
"""Wiebe duration, 50°, at the reference piston speed: 10 to 90 % in 25°. From memory, J. B. Heywood, 1988, ch. 9.2; calibration."""

REFERENCE_PISTON_SPEED = 8.6
"""Mean piston speed [m/s] that goes with `BURN_DURATION`: about 3000 rev/min of a stroke of 85 to 87 mm."""

SPEED_POWER = 1.0 / 3.0
"""Burn angle grows with the third root of piston speed: Hires, Tabaczynski, Novak, SAE 780232, 1978 (from memory)."""


EXHAUST_RISE, FAST_PISTON_SPEED = 20e3, 17.2
"""Back pressure [Pa] at a mean piston speed [m/s], about 6000 rev/min of a stroke of 85 to 87 mm: common practice, from memory."""

FILLING_CURVATURE = 0.08
"""Of the filling over the logarithm of speed: common practice, from memory."""


def burn_duration(mean_piston_speed: ArrayLike) -> FloatArray:
    """Crank angle from start to end of burning where none is given, Δθ = 50°·(Sp/8.6)^(1/3).

    Parameters
    ----------
    mean_piston_speed : array [m/s]

    Returns
    -------
    array [rad]

    References
    ----------
    S. D. Hires, R. J. Tabaczynski, J. M. Novak, SAE 780232, 1978, for the power (from memory).

    Examples
    --------
    >>> round(float(np.degrees(burn_duration(8.6 * 8.0))), 6)
    100.0
    """
    return BURN_DURATION * (floats(mean_piston_speed) / REFERENCE_PISTON_SPEED) ** SPEED_POWER


def exhaust_rise(mean_piston_speed: ArrayLike) -> FloatArray:
    """What pipes and silencers hold the exhaust back by where nothing is given, Δp = 20 kPa·(Sp/17.2)².

    Parameters
    ----------
    mean_piston_speed : array [m/s]

    Returns
    -------
    array [Pa]

    References
    ----------
    Loss of a turbulent flow; the 20 kPa are common practice for a street engine at its highest speed (from memory).

    Examples
    --------
    >>> float(exhaust_rise(8.6))
    5000.0
    """
    return EXHAUST_RISE * (floats(mean_piston_speed) / FAST_PISTON_SPEED) ** 2


def filling_over_speed(mean_piston_speed: ArrayLike, best: ArrayLike) -> FloatArray:
    """Volumetric efficiency over that at the speed it is tuned for, 1 − 0.08·ln²(Sp/Sp_best), and never under a half.

    Parameters
    ----------
    mean_piston_speed, best : array [m/s]

    Returns
    -------
    array [1]

    References
    ----------
    Common practice: a torque curve falls by some 4 % at half and at twice the speed of best filling (from memory).

    Examples
    --------
    >>> np.round(filling_over_speed([5.0, 10.0, 20.0], 10.0), 3).tolist()
    [0.962, 1.0, 0.962]
    """
    return floats(np.maximum(1.0 - FILLING_CURVATURE * np.log(floats(mean_piston_speed) / floats(best)) ** 2, 0.5))


@dataclass(frozen=True)
class StateColumns:
    """A state spread over its rows, with what was left out filled in: values by field [N], and why a row cannot run ("" if it can)."""

    values: dict[str, FloatArray]
    reason: NDArray[np.str_]
    fuel: Fuel

    def __getitem__(self, name: str) -> FloatArray:
        return self.values[name]

    @property
    def size(self) -> int:
        """Number of rows."""
        return int(self.reason.size)

    def take(self, rows: NDArray[np.intp] | slice) -> "StateColumns":
        """Some of the rows, also repeated."""
        return StateColumns({name: column[rows] for name, column in self.values.items()}, self.reason[rows], self.fuel)


def state_columns(state: CylinderState) -> StateColumns:
    """Spread a state over its rows and find the rows that cannot be.

    Parameters
    ----------
    state : CylinderState

    Returns
    -------
    StateColumns

    Raises
    ------
    ValueError
        For columns of different lengths, more than one axis or no rows.

    References
    ----------
    Ranges as `RANGES`; a crank turns only if the rod is longer than throw plus pin offset.

    Examples
    --------
    >>> columns = state_columns(CylinderState(0.0843, 0.0853, [0.14235, 0.03], 10.0, 300.0))
    >>> [str(why) for why in columns.reason]
    ['', 'the rod must be longer than the crank throw plus the pin offset']
    """
    raw = [np.atleast_1d(floats(getattr(state, name))) for name in NAMES]
    if any(each.shape != raw[0].shape for each in raw):
        raw = list(np.broadcast_arrays(*raw))
    if raw[0].ndim != 1:
        raise ValueError("a state is one value or one axis of values for each field")
    if raw[0].size == 0:
        raise ValueError("a state must have at least one row")
    every = np.array(raw)
    values = dict(zip(NAMES, every, strict=True))
    reason = np.full(raw[0].shape, "", dtype="<U96")

    def refuse(bad: BoolArray, why: str) -> None:
        if bad.any():
            reason[bad & (reason == "")] = why

    inside = ((every >= _LOWEST) & (every <= _HIGHEST)) | (_OPTIONAL & np.isnan(every))
    if not inside.all():
        for place, name in enumerate(NAMES):
            refuse(~inside[place], RANGES[name][2])
    throw = values["stroke"] / 2.0 + np.abs(values["pin_offset"])
    refuse(~(throw * 1.05 < values["rod_length"]), "the rod must be longer than the crank throw plus the pin offset")
    bad = reason != ""
    for name, column in values.items() if bad.any() else ():
        column[bad] = _STAND_IN[name] if name in _STAND_IN else getattr(CylinderState, name)
    speed = values["stroke"] * values["speed"] / np.pi
    fill_in = {
        "filling_temperature": values["ambient_temperature"],
        "exhaust_pressure": values["ambient_pressure"] + exhaust_rise(speed),
        "burn_duration": burn_duration(speed),
    }
    for name, default in fill_in.items():
        values[name] = np.where(np.isnan(values[name]), default, values[name])
    return StateColumns(values, reason, state.fuel)
