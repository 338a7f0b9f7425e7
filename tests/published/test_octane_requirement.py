"""Octane required against what was published: slopes, octane over compression, and the research test of the CFR engine.

Russ: H. P. Russ, SAE 960497, 1996, abstract. FAQ: B. Hamilton, Gasoline FAQ, 1996, ch. 7.2, as copied without its own reference.
Bands are as wide as such figures differ from engine to engine, a third to a half either way, unless said otherwise.
"""

from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.outcome import Outcome
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.calculations.common.burned_fuel import burned_fuel, charge_heating
from borewright.calculations.common.engine_kind import engine_kind
from borewright.physics.arrays import FloatArray
from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.grid import HALF_BURN_PROGRESS
from borewright.physics.cycle.state import CylinderState, burn_duration, filling_over_speed
from borewright.physics.cycle.timing import find_timing
from borewright.physics.gas.fuel import stoichiometric_air_fuel_ratio

RPM = 2.0 * np.pi / 60.0
AT_10 = [9.0, 10.0]


def engine(**changes: Any) -> CylinderState:
    """A port-injected engine of 0.5 liters a cylinder at 2000 rpm."""
    values: dict[str, Any] = {
        "bore": 0.086,
        "stroke": 0.086,
        "rod_length": 0.142,
        "compression_ratio": 9.0,
        "speed": 2000.0 * RPM,
        "volumetric_efficiency": 0.85,
        "filling_temperature": 298.15,
    }
    return CylinderState(**(values | changes))


def octane(**changes: Any) -> FloatArray:
    timed = find_timing(engine(**changes))
    assert timed.best.solved.all()
    return timed.octane_required


def rise(**changes: Any) -> float:
    """Octane required at the second value less that at the first."""
    return float(np.diff(octane(**changes))[0])


def test_a_point_of_compression() -> None:
    """Russ: 5; FAQ: 4 above 8:1."""
    assert 3.5 < rise(compression_ratio=[9.0, 10.0]) < 5.5
    assert 3.5 < rise(compression_ratio=[10.0, 11.0]) < 5.5


@pytest.mark.parametrize("ratio", AT_10)
def test_a_degree_of_spark(ratio: float) -> None:
    """Russ: 1."""
    best = float(find_timing(engine(compression_ratio=ratio)).best.half_burn[0])
    there = run_cycle(engine(compression_ratio=ratio), best + np.radians([0.0, 5.0])).octane_required
    assert 0.7 < float(there[0] - there[1]) / 5.0 < 1.4


@pytest.mark.parametrize("ratio", AT_10)
def test_seven_kelvin_of_intake_air(ratio: float) -> None:
    """Russ: 1."""
    assert 0.6 < rise(compression_ratio=ratio, ambient_temperature=[298.15, 305.15]) < 1.4


@pytest.mark.parametrize("ratio", AT_10)
def test_ten_kilopascals_of_intake_pressure(ratio: float) -> None:
    """Russ: 3 to 4."""
    assert 2.8 < rise(compression_ratio=ratio, ambient_pressure=[91325.0, 101325.0], exhaust_pressure=101325.0) < 4.2


@pytest.mark.parametrize("ratio", AT_10)
def test_thirty_kilopascals_of_back_pressure(ratio: float) -> None:
    """Russ: 1. The model has 1.5: all of the residual gas takes part in its temperature."""
    assert 0.6 < rise(compression_ratio=ratio, exhaust_pressure=[101325.0, 131325.0]) < 1.6


@pytest.mark.parametrize("ratio", AT_10)
def test_ten_kelvin_of_coolant(ratio: float) -> None:
    """Russ: 1; walls as much hotter, and the charge by a quarter of it (common practice)."""
    assert 0.5 < rise(compression_ratio=ratio, wall_temperature=[450.0, 460.0], charge_heating=[20.0, 22.5]) < 1.4


def test_mixture() -> None:
    """Russ: worst at 5 % rich, and about 2 octane numbers less a unit of air-fuel ratio around it, here over two units either way."""
    phi = np.linspace(0.9, 1.2, 31)
    assert phi[np.argmax(octane(equivalence_ratio=phi))] == pytest.approx(1.05, abs=0.04)
    air = stoichiometric_air_fuel_ratio(engine().fuel)
    worst = air / 1.05
    for away in (-2.0, 2.0):
        assert 1.0 < -rise(equivalence_ratio=[1.05, air / (worst + away)]) / 2.0 < 2.6


def test_speed() -> None:
    """Common practice, from memory: 2 to 3 octane numbers less a thousand revolutions, torque as flat as it is."""
    speed = np.array([1500.0, 3000.0, 5500.0])
    found = octane(speed=speed * RPM, volumetric_efficiency=0.85 * filling_over_speed(0.086 * speed / 30.0, 10.0))
    slopes = -np.diff(found) / np.diff(speed) * 1000.0
    assert np.all((slopes > 1.5) & (slopes < 3.8))


def test_altitude() -> None:
    """ASTM D4814, App. X1 (from memory): 1 to 1.5 of the anti-knock index a thousand feet in cars without knock control, here 3000 ft."""
    assert 3.0 < rise(ambient_pressure=[90812.0, 101325.0]) < 5.0


FAQ = {5: 72, 6: 81, 7: 87, 8: 92, 9: 96, 10: 100, 11: 104, 12: 108}


@pytest.mark.parametrize(("ratio", "wanted"), FAQ.items())
def test_octane_over_compression(ratio: int, wanted: int) -> None:
    """FAQ: research octane number that a typical carbureted engine asks for at full throttle. Within 5; the model lies 2 to 5 under it."""
    body = {
        "bore": "86 mm",
        "stroke": "86 mm",
        "cylinders": 4,
        "compression_ratio": ratio,
        "speed": "5500 rpm",
        "injection": "carburetor",
        "fuel": {"octane": {"rating": 91, "scale": "ron"}},
    }
    found = answer(calculations()["detonation-margin"], body)["rating_required"]
    assert found["scale"] == "ron"
    assert found["value"]["value"] == pytest.approx(wanted, abs=5.0)
    assert found["low"]["value"] < wanted < found["high"]["value"]


def cfr(ratio: FloatArray, rpm: float, air: float, heating: float, spark: FloatArray, slow: float) -> FloatArray:
    """Octane number at which the rating engine's end gas just ignites: 82.5 by 114.3 mm, rod 254 mm, intake closing 34° (OSTI 1962089).

    slow : its burning over that of a street engine; a shrouded valve lets in about three quarters of a charge (common practice)
    """
    duration = slow * burn_duration(0.1143 * rpm / 30.0)
    state = CylinderState(
        0.0825,
        0.1143,
        0.254,
        ratio,
        rpm * RPM,
        intake_closing=np.radians(34.0),
        exhaust_opening=np.radians(40.0),
        volumetric_efficiency=0.75 if heating < 50.0 else 0.75 * air / (air + heating),
        ambient_temperature=air,
        charge_heating=heating,
        burn_duration=duration,
    )
    return run_cycle(state, -np.radians(spark) + HALF_BURN_PROGRESS * duration).octane_required


RATED = {5.8: 80.0, 6.6: 90.0, 7.2: 95.0, 7.9: 100.0}


@pytest.mark.parametrize(("ratio", "rated"), RATED.items())
def test_the_research_test(ratio: float, rated: float) -> None:
    """ASTM D2699: 600 rpm, air 52 °C, spark at 13° before top. Compression at standard knock from memory, ± 0.3; burning 1.6 to 2 times
    as slow. An end point, not fitted to: below 90 the test's octane number rises twice as fast as any requirement of cars does."""
    found = [float(cfr(np.array([ratio]), 600.0, 325.15, 10.0, np.array([13.0]), slow)[0]) for slow in (1.6, 2.0)]
    if rated >= 90.0:
        assert min(found) - 3.0 < rated < max(found) + 3.0
    assert max(found) - rated < 9.0


def test_the_motor_test_is_the_hotter_and_not_the_milder_one() -> None:
    """ASTM D2700: 900 rpm, mixture at 149 °C, spark 26 to 14° before top as compression rises: at one compression about as hard."""
    ratio, spark = np.array([6.6, 7.9]), np.array([20.0, 17.0])
    motor = cfr(ratio, 900.0, 311.15, 111.0, spark, 1.8)
    research = cfr(ratio, 600.0, 325.15, 10.0, np.array([13.0, 13.0]), 1.8)
    assert np.abs(motor - research).max() < 4.0


def test_direct_injection_cools_as_measured() -> None:
    """J. Kasseris, J. Heywood, SAE 2012-01-1275 (abstract): over port injection by 14 K with gasoline, 49 K with E85 (± a fifth)."""
    for blend, cooled in (({"gasoline": 1}, 14.0), ({"gasoline": 15, "ethanol": 85}, 49.0)):
        fuel = burned_fuel({"blend": blend}, {})
        port, direct = (
            float(charge_heating(fuel, engine_kind({"injection": each}, {"service": "street"}, fuel.alcohol, Outcome({})), Outcome({}))[0])
            for each in ("port", "direct")
        )
        assert port - direct == pytest.approx(cooled, rel=0.2)
