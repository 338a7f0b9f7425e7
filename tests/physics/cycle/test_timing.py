"""The timing found, against a scan of timings."""

import numpy as np
import pytest

from borewright.physics.cycle.cycle import run_cycle
from borewright.physics.cycle.state import CylinderState
from borewright.physics.cycle.timing import INTEGRAL_TOLERANCE, find_timing

RPM = 2.0 * np.pi / 60.0
SCAN = np.radians(np.arange(-2.0, 42.1, 0.2))

BUILDS = [(9.0, 0.0, 2500.0, 95.0), (11.5, 0.0, 3500.0, 91.0), (9.5, 0.6e5, 3000.0, 95.0), (12.5, 0.0, 6500.0, 98.0)]


def engine(ratio: object, boost: object, speed: object, octane: object) -> CylinderState:
    return CylinderState(0.1016, 0.0884, 0.1524, ratio, np.asarray(speed) * RPM, boost=boost, octane=octane)  # arrays or numbers


@pytest.mark.parametrize("build", BUILDS)
def test_agrees_with_a_scan(build: tuple[float, float, float, float]) -> None:
    timed = find_timing(engine(*build))
    scan = run_cycle(engine(*build), SCAN)
    assert timed.solved.all()
    assert float(timed.best.indicated_work[0]) >= float(scan.indicated_work.max()) * (1.0 - 2e-4)
    quiet = scan.knock_integral <= 1.0
    allowed = scan.indicated_work[quiet].max()
    assert float(timed.allowed.indicated_work[0]) == pytest.approx(float(allowed), rel=2e-3)
    if timed.knock_limited[0]:
        assert float(timed.allowed.knock_integral[0]) == pytest.approx(1.0, abs=2.0 * INTEGRAL_TOLERANCE)
        assert float(timed.cost[0]) > 0.0
    else:
        assert float(timed.allowed.knock_integral[0]) <= 1.0 + INTEGRAL_TOLERANCE
        assert float(timed.retard[0]) == 0.0


def test_rows_are_what_they_are_alone() -> None:
    ratios, boosts, speeds, octanes = (list(column) for column in zip(*BUILDS, strict=True))
    together = find_timing(engine(ratios, boosts, speeds, octanes))
    for row, build in enumerate(BUILDS):
        alone = find_timing(engine(*build))
        for name in ("retard", "cost", "octane_required"):
            assert float(getattr(together, name)[row]) == pytest.approx(float(getattr(alone, name)[0]), rel=1e-6, abs=1e-9)
        assert float(together.allowed.brake_power[row]) == pytest.approx(float(alone.allowed.brake_power[0]), rel=1e-9)


def test_better_fuel_needs_less_retard() -> None:
    timed = find_timing(engine(12.0, 0.3e5, 3000.0, [85.0, 91.0, 98.0, 105.0]))
    assert timed.solved.all()
    assert np.all(np.diff(timed.retard) <= 0.0)
    assert np.all(np.diff(timed.allowed.brake_power) >= 0.0)
    assert timed.octane_required == pytest.approx(np.full(4, float(timed.octane_required[0])), rel=1e-9)


def test_fuel_that_cannot_carry_the_build() -> None:
    timed = find_timing(engine([14.0, 9.0], [1.5e5, 0.0], 1500.0, 80.0))
    assert timed.solved.tolist() == [False, timed.solved[1]]
    assert "no timing" in str(timed.reason[0])
    assert bool(timed.knock_limited[0])
    assert float(timed.retard[0]) == 0.0
    assert float(timed.best.indicated_work[0]) > 0.0


def test_a_state_that_cannot_be() -> None:
    timed = find_timing(engine([10.0, 99.0], 0.0, 3000.0, 95.0))
    assert timed.solved.tolist() == [True, False]
    assert "compression ratio" in str(timed.reason[1])
    assert float(timed.cost[1]) == 0.0
    assert not bool(timed.knock_limited[1])
