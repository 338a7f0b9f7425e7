"""The polynomials of the pressure trace's solver, and its linear step."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.cycle.integrals import between, even, integral_to, nodes, pressure_correction, running, straight


@given(st.lists(st.floats(-50.0, 50.0), min_size=3, max_size=20), st.floats(1.5, 8.0))
def test_correction_removes_the_residual(values: list[float], stiffness: float) -> None:
    residual = np.array([0.0, *values])[:, None]
    V = np.geomspace(1.0, 0.2, residual.size)[:, None]
    kappa, steps = np.full(V.shape, stiffness), np.diff(np.log(V), axis=0)
    change = pressure_correction(residual, kappa, V, steps)
    work = np.cumsum(0.5 * ((change * V)[1:] + (change * V)[:-1]) * steps)
    assert (kappa * V * change)[:, 0] + np.append(0.0, work) == pytest.approx(-residual[:, 0], abs=1e-8)


@given(st.integers(2, 24), st.floats(0.0, 1.0), st.data())
def test_polynomials_of_the_degree_are_met(degree: int, at: float, data: st.DataObject) -> None:
    """Against NumPy's own polynomials."""
    factors = data.draw(st.lists(st.floats(-3.0, 3.0), min_size=degree + 1, max_size=degree + 1))
    curve = np.polynomial.Polynomial(factors, domain=(-1.0, 1.0))
    values, whole = curve(nodes(degree)), curve.integ(lbnd=0.0)
    place = np.array([at])
    assert (between(degree, place) @ values)[0] == pytest.approx(curve(at), abs=1e-9)
    assert (integral_to(degree, place) @ values)[0] == pytest.approx(whole(at), abs=1e-9)
    assert running(degree) @ values == pytest.approx(whole(nodes(degree)), abs=1e-9)
    assert even(degree, 5) @ values == pytest.approx(curve(np.arange(1, 6) / 5.0), abs=1e-9)


def test_straight_lines_leave_the_first_value_out() -> None:
    values = np.array([np.inf, 3.0, 5.0, 4.0])
    values[0] = -1e9
    at = np.arange(1, 8) / 7.0
    assert straight(3, 7) @ values == pytest.approx(np.interp(at, nodes(3)[1:], values[1:]))


def test_work_of_a_polytropic_stroke() -> None:
    # closed form: (p1 V1 − p2 V2)/(n − 1) for p·V^n constant
    V = 1.0 + 9.0 * nodes(14)
    assert 9.0 * float(running(14)[-1] @ (5e6 * V**-1.3)) == pytest.approx(5e6 * (1.0 - 10.0**-0.3) / 0.3, rel=2e-5)
