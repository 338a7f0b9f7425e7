"""Limits of compression, boost and temperature for a fuel."""

from dataclasses import replace

import numpy as np
import pytest

from borewright.physics.cycle import run_cycle
from borewright.physics.cycle_limits import octane_limit
from borewright.physics.cycle_state import CylinderState

STATE = CylinderState(0.1016, 0.0884, 0.1524, 9.5, 314.16, octane=[91.0, 95.0, 98.0], intercooler_effectiveness=0.6)
AT = np.radians([8.0, 10.0, 14.0])


@pytest.mark.parametrize(
    ("name", "low", "high"), [("compression_ratio", 6.0, 18.0), ("boost", 0.0, 2e5), ("ambient_temperature", 230.0, 355.0)]
)
def test_the_limit_uses_up_the_octane(name: str, low: float, high: float) -> None:
    state = replace(STATE, compression_ratio=12.0, octane=[93.0, 95.0, 95.0]) if name == "ambient_temperature" else STATE
    limit = octane_limit(state, name, low, high, AT)
    assert limit.found.all()
    there = run_cycle(replace(state, **{name: limit.value}), AT)
    assert there.octane_required == pytest.approx(state.octane, abs=2e-3)


def test_rows_are_what_they_are_alone() -> None:
    together = octane_limit(STATE, "compression_ratio", 6.0, 18.0, AT)
    alone = octane_limit(replace(STATE, octane=95.0), "compression_ratio", 6.0, 18.0, AT[1])
    assert float(alone.value[0]) == pytest.approx(float(together.value[1]), rel=1e-9)


def test_ends_of_the_range() -> None:
    limit = octane_limit(STATE, "compression_ratio", 6.0, 7.0, AT)
    assert not limit.found.any()
    assert limit.value.tolist() == [7.0, 7.0, 7.0]
    assert "high end" in str(limit.reason[0])
    limit = octane_limit(STATE, "compression_ratio", 16.0, 18.0, AT)
    assert limit.value.tolist() == [16.0, 16.0, 16.0]
    assert "low end" in str(limit.reason[2])


def test_a_state_that_cannot_be() -> None:
    limit = octane_limit(replace(STATE, bore=[0.1, -1.0, 0.1]), "boost", 0.0, 2e5, AT)
    assert limit.found.tolist() == [True, False, True]
    assert "bore" in str(limit.reason[1])
    assert np.all(np.isfinite(limit.value))


def test_refuses() -> None:
    with pytest.raises(ValueError, match="limit can be found"):
        octane_limit(STATE, "bore", 0.05, 0.2, AT)
    with pytest.raises(ValueError, match="empty"):
        octane_limit(STATE, "boost", 1.0, 0.0, AT)
