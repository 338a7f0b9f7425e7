"""The linear step of the pressure trace's solver, and the work it integrates."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.cycle.integrals import expansion_work, pressure_correction


@given(st.lists(st.floats(-50.0, 50.0), min_size=3, max_size=20), st.floats(1.5, 8.0))
def test_correction_removes_the_residual(values: list[float], stiffness: float) -> None:
    residual = np.array([[0.0, *values]])
    V = np.geomspace(1.0, 0.2, residual.size)[None]
    kappa = np.full(V.shape, stiffness)
    change = pressure_correction(residual, kappa, V, np.diff(np.log(V)))
    assert kappa * V * change + expansion_work(change, V, np.log(V)) == pytest.approx(-residual, abs=1e-8)


def test_work_of_a_polytropic_stroke() -> None:
    # closed form: (p1 V1 − p2 V2)/(n − 1) for p·V^n constant
    V = np.geomspace(1.0, 10.0, 60)[None]
    p = 5e6 * V**-1.3
    assert float(expansion_work(p, V, np.log(V))[0, -1]) == pytest.approx(5e6 * (1.0 - 10.0**-0.3) / 0.3, rel=2e-5)
