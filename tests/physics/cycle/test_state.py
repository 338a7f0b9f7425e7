"""The burn's duration, and states spread out into rows."""

import numpy as np
import pytest

from borewright.physics.cycle.state import CylinderState, burn_duration, state_columns
from borewright.physics.cycle.wiebe import wiebe_fraction


def test_ten_to_ninety_per_cent_burn_in_25_degrees_at_the_reference_piston_speed() -> None:
    """J. B. Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 9.2 (from memory), read off the Wiebe function by a fine scan."""
    share = np.linspace(0.0, 1.0, 20001)
    burned = wiebe_fraction(share)
    ten, ninety = (float(np.interp(part * burned[-1], burned, share)) for part in (0.1, 0.9))
    whole = float(burn_duration(8.6))
    assert np.degrees(whole * (ninety - ten)) == pytest.approx(25.0, abs=0.5)
    assert np.degrees(whole) == pytest.approx(50.0, rel=1e-12)


def test_eight_times_the_piston_speed_doubles_the_angle() -> None:
    assert burn_duration([24.0])[0] == pytest.approx(2.0 * float(burn_duration(3.0)), rel=1e-12)


def test_a_duration_not_given_is_that_of_the_piston_speed_and_one_given_stands() -> None:
    columns = state_columns(CylinderState(0.1, 0.09, 0.15, 10.0, [200.0, 400.0], burn_duration=[np.nan, 0.7]))
    assert columns["burn_duration"][0] == pytest.approx(float(burn_duration(0.09 * 200.0 / np.pi)), rel=1e-12)
    assert columns["burn_duration"][1] == 0.7
