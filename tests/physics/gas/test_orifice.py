"""Flow through an opening."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.gas.orifice import orifice_area, orifice_drop

NoAnswer = Callable[[str, Callable[[], object]], None]


@given(st.floats(1e-4, 1.0), st.floats(100.0, 1e5), st.floats(1.0, 1000.0), st.floats(0.3, 1.0))
def test_there_and_back(flow: float, drop: float, density: float, discharge: float) -> None:
    area = orifice_area(flow, drop, density, discharge)
    assert float(orifice_drop(flow, area, density, discharge)) == pytest.approx(drop)


def test_water_from_a_hole() -> None:
    """Torricelli: under 5.1 m of water, 50 kPa, it runs at 10 m/s; 1 cm2 passes 1 kg a second."""
    assert float(orifice_area(1.0, 50e3, 1000.0, 1.0)) == pytest.approx(1e-4)


def test_rows() -> None:
    found = orifice_area([0.1, 0.2], 1e4, 740.0, 0.75)
    assert np.all(np.diff(found) > 0.0)


def test_refuses(no_answer: NoAnswer) -> None:
    no_answer("flow", lambda: orifice_area(-1.0, 1e4, 740.0, 0.75))
    no_answer("drop", lambda: orifice_area(1.0, 0.0, 740.0, 0.75))
    no_answer("discharge", lambda: orifice_area(1.0, 1e4, 740.0, 1.5))
    no_answer("area", lambda: orifice_drop(1.0, 0.0, 740.0, 0.75))
