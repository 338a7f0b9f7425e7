"""Tolerances: corners against brute force, uncertainty against the `uncertainties` library."""

import itertools
import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from uncertainties import ufloat, umath

from borewright.quantities import AdditivePlan, Summaries, TolerancePlan

Function = Callable[..., Any]

# The same formula on arrays and on the library's numbers; every one is smooth where it is drawn.
FUNCTIONS: dict[str, tuple[Function, Function]] = {
    "sum": (lambda x, y, z: x + y - 2 * z, lambda x, y, z: x + y - 2 * z),
    "swept volume": (lambda x, y, z: math.pi / 4 * x**2 * y + z, lambda x, y, z: math.pi / 4 * x**2 * y + z),
    "compression": (lambda x, y, z: 1 + x**2 * y / (z + x / 10), lambda x, y, z: 1 + x**2 * y / (z + x / 10)),
    "power": (lambda x, y, z: x**1.4 * np.exp(-y / 5) / z, lambda x, y, z: x**1.4 * umath.exp(-y / 5) / z),
    "crank": (lambda x, y, z: x * np.cos(y) + np.sqrt(100 + z**2), lambda x, y, z: x * umath.cos(y) + umath.sqrt(100 + z**2)),
}
NOMINALS = st.floats(1.0, 10.0)
SHARES = st.floats(1e-5, 2e-2)  # of the nominal


def spread(function: Function, nominals: list[float], half_widths: list[float]) -> Any:
    """The propagated result of a function of columns."""
    plan = TolerancePlan(nominals, half_widths)
    return plan.summarize(function(*(plan.column(index) for index in range(len(nominals)))))


@pytest.mark.parametrize("name", FUNCTIONS)
@given(nominals=st.tuples(NOMINALS, NOMINALS, NOMINALS), shares=st.tuples(SHARES, SHARES, SHARES))
def test_uncertainty_against_the_library(name: str, nominals: tuple[float, ...], shares: tuple[float, ...]) -> None:
    """Expanded uncertainty and each share of the variance agree with automatic differentiation (`uncertainties`, JCGM 100 eq. 10)."""
    ours, theirs = FUNCTIONS[name]
    half_widths = [nominal * share for nominal, share in zip(nominals, shares, strict=True)]
    inputs = [ufloat(nominal, width / math.sqrt(3)) for nominal, width in zip(nominals, half_widths, strict=True)]
    expected = theirs(*inputs)
    assume(expected.std_dev > 1e-9 * abs(expected.nominal_value))  # below it both drown in the last digits of a double
    found = spread(ours, list(nominals), half_widths)
    assert found.value == pytest.approx(expected.nominal_value, rel=1e-12, abs=1e-12)
    assert found.uncertainty == pytest.approx(2 * expected.std_dev, rel=2e-5)
    components = expected.error_components()
    for input_, variance in zip(inputs, found.variances, strict=True):
        assert variance == pytest.approx(components.get(input_, 0.0) ** 2, rel=1e-4, abs=1e-4 * expected.std_dev**2)


@pytest.mark.parametrize("name", FUNCTIONS)
@given(nominals=st.tuples(NOMINALS, NOMINALS, NOMINALS), shares=st.tuples(SHARES, SHARES, SHARES))
def test_worst_case_is_brute_force_over_corners(name: str, nominals: tuple[float, ...], shares: tuple[float, ...]) -> None:
    """Bounds are the extremes over every combination of low and high, calculated one by one."""
    ours, _ = FUNCTIONS[name]
    half_widths = [nominal * share for nominal, share in zip(nominals, shares, strict=True)]
    ends = [(nominal - width, nominal + width) for nominal, width in zip(nominals, half_widths, strict=True)]
    corners = [float(ours(*corner)) for corner in itertools.product(*ends)] + [float(ours(*nominals))]
    found = spread(ours, list(nominals), half_widths)
    if name == "crank":  # a cosine turns between the corners
        assert found.low <= min(corners) * (1.0 + 1e-14)
        assert found.high >= max(corners) * (1.0 - 1e-14)
    else:
        assert (found.low, found.high) == pytest.approx((min(corners), max(corners)), rel=1e-14)


@pytest.mark.parametrize("count", range(7))
def test_every_corner_once(count: int) -> None:
    """The plan holds each corner exactly once, whatever the number of inputs."""
    nominals, half_widths = [float(10 * index) for index in range(count)], [1.0 + index for index in range(count)]
    plan = TolerancePlan(nominals, half_widths)
    columns = [plan.corners(plan.column(index))[1:] for index in range(count)]
    ends = [(nominal - width, nominal + width) for nominal, width in zip(nominals, half_widths, strict=True)]
    assert sorted(zip(*columns, strict=True)) == sorted(itertools.product(*ends) if count else [])
    assert all(plan.column(index).shape == (plan.size,) for index in range(count))


def test_without_tolerances() -> None:
    """No toleranced input: one point, no spread, no uncertainty."""
    plan = TolerancePlan([], [])
    found = plan.summarize([7.0])
    assert plan.size == 1
    assert (found.value, found.low, found.high, found.uncertainty, found.variances.size) == (7.0, 7.0, 7.0, 0.0, 0)


def test_a_result_that_depends_on_nothing() -> None:
    """A constant of shape (1,) has no spread in any plan, to the last digit."""
    found = TolerancePlan([1.0, 2.0], [0.1, 0.2]).summarize(np.array([5.0]))
    assert (found.value, found.low, found.high, found.uncertainty) == (5.0, 5.0, 5.0, 0.0)


@given(value=st.floats(1e-6, 1e6))
def test_an_input_without_influence_has_no_share(value: float) -> None:
    """An input that does not enter the result contributes exactly nothing, not the noise of a double."""
    found = spread(lambda x, _: x * math.pi, [value, 3.0], [value / 100, 0.1])
    assert found.variances[0] > 0
    assert found.variances[1] == 0.0


def test_the_nominal_counts_toward_the_bounds() -> None:
    """Where the extreme lies inside, the bounds at least hold the value itself."""
    found = spread(lambda x: x**2, [0.0], [1.0])
    assert (found.low, found.value, found.high) == (0.0, 0.0, 1.0)


@given(st.lists(st.tuples(st.floats(-100, 100), st.floats(1e-3, 10), st.floats(-5, 5)), min_size=1, max_size=8))
def test_a_linear_function_is_exact(terms: list[tuple[float, float, float]]) -> None:
    """Σ c·x: the worst case is Σ |c|·a, the expanded uncertainty 2·√(Σ c²·a²/3) (JCGM 100, 4.3.7, 5.1.2, 6.2.1)."""
    nominals, half_widths, factors = (list(column) for column in zip(*terms, strict=True))
    found = spread(lambda *columns: sum(factor * column for factor, column in zip(factors, columns, strict=True)), nominals, half_widths)
    reach = sum(abs(factor) * width for factor, width in zip(factors, half_widths, strict=True))
    slack = 1e-11 * (1 + sum(abs(factor * nominal) for factor, nominal in zip(factors, nominals, strict=True)))
    assert found.high - found.value == pytest.approx(reach, abs=slack)
    assert found.value - found.low == pytest.approx(reach, abs=slack)
    spread_ = 2 * math.sqrt(sum((factor * width) ** 2 / 3 for factor, width in zip(factors, half_widths, strict=True)))
    assert found.uncertainty == pytest.approx(spread_, abs=100 * slack)


@pytest.mark.parametrize("power", [1, 2, 3, 4])
def test_the_stencil_is_exact_to_the_fourth_power(power: int) -> None:
    """A five-point stencil differentiates polynomials to degree four without error, however wide the tolerance."""
    found = spread(lambda x: x**power, [3.0], [1.5])
    assert found.uncertainty == pytest.approx(2 * power * 3.0 ** (power - 1) * 1.5 / math.sqrt(3), rel=1e-10)


@pytest.mark.parametrize("name", FUNCTIONS)
@given(nominals=st.tuples(NOMINALS, NOMINALS, NOMINALS), shares=st.tuples(SHARES, SHARES, SHARES))
def test_adding_up_comes_to_the_corners_to_the_first_order(name: str, nominals: tuple[float, ...], shares: tuple[float, ...]) -> None:
    """Bounds and uncertainty from one input at a time against every corner: they part by products of tolerances only."""
    ours, _ = FUNCTIONS[name]
    half_widths = [nominal * share for nominal, share in zip(nominals, shares, strict=True)]
    full = spread(ours, list(nominals), half_widths)
    plan = AdditivePlan(list(nominals), half_widths)
    added = plan.summarize(ours(*(plan.column(index) for index in range(3))))
    assert added.value == full.value
    reach = abs(full.high - full.low)
    second_order = 200.0 * max(shares) ** 2 * (abs(full.value) + reach) + 1e-12
    assert added.low == pytest.approx(full.low, abs=second_order)
    assert added.high == pytest.approx(full.high, abs=second_order)
    assert added.uncertainty == pytest.approx(full.uncertainty, abs=second_order)


def test_adding_up_is_exact_where_effects_add() -> None:
    plan = AdditivePlan([1.0, 2.0, 3.0], [0.1, 0.2, 0.3])
    found = plan.summarize(plan.column(0) - 2.0 * plan.column(1) + plan.column(2))
    assert found.low == pytest.approx(-0.8)
    assert found.high == pytest.approx(0.8)
    assert plan.size == 7


def test_worst_case_of_limits_is_the_sum() -> None:
    """Each input alone stays inside the limit and both together leave it."""
    plan = AdditivePlan([1.0, 1.0], [0.1, 0.1])
    total = plan.column(0) + plan.column(1)
    assert plan.worst_inside(total <= 2.15, lambda: 2.15 - total).tolist() == [True, False]
    assert plan.worst_inside(total <= 2.25, lambda: 2.25 - total).tolist() == [True, True]
    assert plan.worst_inside(total <= np.inf, lambda: np.full(plan.size, np.inf)).all()


@pytest.mark.parametrize("name", FUNCTIONS)
@given(nominals=st.tuples(NOMINALS, NOMINALS, NOMINALS), sides=st.tuples(*(st.floats(0, 2e-2) for _ in range(6))))
def test_one_sided_worst_case_is_brute_force(name: str, nominals: tuple[float, ...], sides: tuple[float, ...]) -> None:
    """Each corner has its own side, and no point of the plan lies outside the tolerances."""
    ours, _ = FUNCTIONS[name]
    below, above = ([nominal * share for nominal, share in zip(nominals, part, strict=True)] for part in (sides[:3], sides[3:]))
    plan = TolerancePlan(list(nominals), below, above)
    columns = [plan.column(index) for index in range(3)]
    ends = [(value - down, value + up) for value, down, up in zip(nominals, below, above, strict=True)]
    corners = [float(ours(*corner)) for corner in itertools.product(*ends)] + [float(ours(*nominals))]
    found = plan.summarize(ours(*columns))
    if name == "crank":  # a cosine turns between the corners
        assert found.low <= min(corners) * (1.0 + 1e-14)
        assert found.high >= max(corners) * (1.0 - 1e-14)
    else:
        assert (found.low, found.high) == pytest.approx((min(corners), max(corners)), rel=1e-14)
    for column, (low, high) in zip(columns, ends, strict=True):
        assert low - 1e-14 <= column.min()
        assert column.max() <= high + 1e-14


@given(low=st.floats(-5, 0), high=st.floats(0.01, 5), factor=st.floats(-5, 5))
def test_a_one_sided_tolerance_is_a_rectangle_over_its_width(low: float, high: float, factor: float) -> None:
    """u² = c²·(b₊ + b₋)²/12 (JCGM 100, 4.3.8), about the value as stated; the plan of one input at a time says the same."""
    for layout in (TolerancePlan, AdditivePlan):
        plan = layout([10.0], [-low], [high])
        found = plan.summarize(factor * plan.column(0))
        assert found.value == pytest.approx(10.0 * factor)
        assert (found.low, found.high) == pytest.approx(sorted((factor * (10.0 + low), factor * (10.0 + high))))
        assert found.uncertainty == pytest.approx(2 * abs(factor) * (high - low) / math.sqrt(12), abs=1e-9)


def test_a_tolerance_of_one_side_alone_moves_its_stencil_inward() -> None:
    """At the end of a domain the derivative is taken inside it: √x from 0 up, which has no value below."""
    plan = TolerancePlan([0.0], [0.0], [1.0])
    column = plan.column(0)
    assert column.min() == 0.0
    assert np.isfinite(plan.summarize(np.sqrt(column)).uncertainty)


@pytest.mark.parametrize("layout", [TolerancePlan, AdditivePlan])
@given(data=st.data())
def test_several_results_are_summarized_as_each(layout: type[TolerancePlan], data: st.DataObject) -> None:
    """To the last bit; a result without bounds has none, one that does not depend on the inputs is one value."""
    count = data.draw(st.integers(1, 5))
    sides = st.lists(st.floats(0, 1e-2), min_size=count, max_size=count)
    plan = layout(data.draw(st.lists(st.floats(0.5, 2.0), min_size=count, max_size=count)), data.draw(sides), data.draw(sides))
    columns = [plan.column(index) for index in range(count)]
    spoiled = np.where(np.arange(plan.size) == data.draw(st.integers(0, plan.size - 1)), np.nan, columns[0])
    results = [np.sum(columns, axis=0), np.prod(columns, axis=0), spoiled, np.array([7.0]), columns[-1] ** 2]
    found = Summaries(plan, [*results, None, np.zeros(plan.size + 1), np.array(["word"]), 3.0])
    for result in results:
        together, alone = found.of(result), plan.summarize(result)
        if together is None:
            assert not np.isfinite(plan.corners(result)).all()
            continue
        assert (together.value, together.low, together.high) == (alone.value, alone.low, alone.high)
        np.testing.assert_array_equal(together.variances, alone.variances)
        np.testing.assert_array_equal(together.uncertainty, alone.uncertainty)
        other = found.of(result.copy())
        assert other is not None
        assert (other.low, other.high) == (together.low, together.high)


@given(
    nominals=st.tuples(st.floats(-2.0, 2.0), st.floats(-2.0, 2.0)),
    widths=st.tuples(st.floats(0.01, 3.0), st.floats(0.01, 3.0)),
    shares=st.tuples(st.floats(-1.0, 1.0), st.floats(-1.0, 1.0)),
    name=st.sampled_from(["square", "product of squares", "turns once"]),
)
def test_bounds_hold_inside_where_a_function_turns(
    nominals: tuple[float, float], widths: tuple[float, float], shares: tuple[float, float], name: str
) -> None:
    """An even function, as of an offset, has its extreme at no corner."""
    function = {
        "square": lambda x, y: x**2 + 3.0 * y,
        "product of squares": lambda x, y: -(x**2) + y**2,
        "turns once": lambda x, y: x - 0.5 * x**2 + np.exp(0.2 * y),
    }[name]
    plan = TolerancePlan(list(nominals), list(widths))
    found = plan.summarize(function(plan.column(0), plan.column(1)))
    inside = function(*(nominal + share * width for nominal, width, share in zip(nominals, widths, shares, strict=True)))
    slack = 0.07 * (found.high - found.low)  # what turns between two of the points along an input is not seen
    assert found.low - slack <= inside <= found.high + slack


def test_a_function_that_does_not_turn_keeps_to_its_corners() -> None:
    plan = TolerancePlan([1.0, 2.0, 3.0], [0.1, 0.2, 0.3])
    result = plan.column(0) * np.exp(plan.column(1)) / plan.column(2)
    found = plan.summarize(result)
    assert (found.low, found.high) == (plan.corners(result).min(), plan.corners(result).max())


def test_a_magnitude_is_not_set_out_below_zero() -> None:
    plan = TolerancePlan([0.0, 0.0], [1.0, 1.0])
    found = plan.summarize(np.hypot(plan.column(0), plan.column(1)))
    assert (found.low, found.value) == (0.0, 0.0)
    assert found.high == pytest.approx(np.sqrt(2.0))


def laid_out(nominals: list[float], below: list[float], above: list[float]) -> list[np.ndarray]:
    """The columns of a plan, point by point."""
    count = len(nominals)
    columns = []
    for index, (nominal, down, up) in enumerate(zip(nominals, below, above, strict=True)):
        width = (down + up) / 2.0
        center = max(0.04 * width - down, 0.0) - max(0.04 * width - up, 0.0)
        points = [nominal]
        for other in range(count):
            points += [nominal + (center + step * 0.02 * width) if other == index else nominal for step in (-2.0, -1.0, 1.0, 2.0)]
        points += [nominal + (up if corner >> index & 1 else -down) for corner in range(2**count)]
        for share in (-1.0, -0.5, 0.5, 1.0):
            points += [nominal + share * (down if share < 0.0 else up) if other == index else nominal for other in range(count)]
        columns.append(np.array(points))
    return columns


def plain_bounds(plan: TolerancePlan, result: np.ndarray) -> tuple[float, float]:
    """The bounds of a result, one number after the other: the corners, set out by what turns along each input."""
    count, values = plan.count, result.tolist()
    nominal, corners, along = values[0], values[1 + 4 * count :][: 2**count], values[1 + 4 * count + 2**count :]
    under, over = [], []
    for index in range(count):
        points = along[index::count]
        ends = points[0], points[-1]
        under.append(min(ends) - min(*points, nominal))
        over.append(max(*points, nominal) - max(ends))
    low, high = min(corners), max(corners)
    noise = 1e-9 * (high - low)
    found = [nominal, *corners, *along]
    low -= np.sum(under) if np.sum(under) > noise else 0.0
    high += np.sum(over) if np.sum(over) > noise else 0.0
    if min(found) >= 0.0:
        low = max(low, 0.0)
    if max(found) <= 0.0:
        high = min(high, 0.0)
    return min(low, nominal), max(high, nominal)


SIDES = st.floats(0, 0.5) | st.sampled_from([0.0, 1e-3, 0.25])


@given(data=st.data(), even=st.booleans())
def test_columns_and_bounds_come_out_as_point_by_point(data: st.DataObject, *, even: bool) -> None:
    """To the last bit, whether results turn along an input or not, whether tolerances are even or not."""
    count = data.draw(st.integers(1, 5))
    drawn = [data.draw(st.lists(part, min_size=count, max_size=count)) for part in (st.floats(-2.0, 2.0), SIDES, SIDES)]
    nominals, below, above = drawn[0], drawn[1], drawn[1] if even else drawn[2]
    plan = TolerancePlan(nominals, below, above)
    columns = [plan.column(index) for index in range(count)]
    np.testing.assert_array_equal(columns, laid_out(nominals, below, above))
    total = np.sum(columns, axis=0)
    results = [total, np.prod(columns, axis=0), total**2, -np.abs(columns[0]), np.exp(columns[-1]), columns[0] - columns[0]]
    found = Summaries(plan, results)
    for result in results:
        known = found.of(result)
        assert known is not None
        assert (known.low, known.high) == plain_bounds(plan, result)
        points = plan.corners(result)
        assert known.corners == (points.min(), points.max())


@given(data=st.data())
def test_what_is_no_number_spoils_no_other_result(data: st.DataObject) -> None:
    """A NaN or an infinity among the results changes nothing of those that are numbers."""
    plan = TolerancePlan([1.0, 2.0], [0.1, 0.2], [0.1, 0.3])
    good = [plan.column(0) * plan.column(1), (plan.column(0) - 1.0) ** 2]
    bad = np.ones(plan.size)
    bad[data.draw(st.integers(0, plan.size - 1))] = data.draw(st.sampled_from([np.nan, np.inf, -np.inf]))
    with np.errstate(invalid="ignore", over="ignore"):
        together = Summaries(plan, [good[0], bad, good[1]])
    alone = Summaries(plan, good)
    for result in good:
        assert str(together.of(result)) == str(alone.of(result))
