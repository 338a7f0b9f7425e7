"""Shaking forces and bobweights against textbooks."""

import numpy as np
import pytest

from borewright.physics.mechanism import balance
from borewright.physics.mechanism.balance_layouts import LAYOUTS


def orders(name: str) -> tuple[float, float, float, float]:
    """First- and second-order force, first- and second-order moment."""
    layout = LAYOUTS[name]
    geometry = (layout.throws, layout.banks)
    return tuple(
        float(balance.largest_resultant(*resultants(*geometry, arms)))
        for arms in (1.0, layout.positions)
        for resultants in (balance.primary_resultants, balance.secondary_resultants)
    )


def test_khurmi_and_gupta_right_angled_pair() -> None:
    """R. S. Khurmi and J. K. Gupta, Theory of Machines, V-engines (from memory): 11.5 kg a cylinder, throw 75 mm, rod 0.3 m, 500 rpm:
    primary m·ω²·r = 2364.6 N at every angle, largest secondary √2·m·ω²·r·(r/l) = 836 N."""
    layout = LAYOUTS["v2-90"]
    mass, stroke, rod, speed = 11.5, 0.150, 0.300, 500 * np.pi / 30
    forward, backward = balance.primary_resultants(layout.throws, layout.banks)
    lengths = np.abs(balance.resultant_at(np.linspace(0, 6, 50), forward, backward, 1)) * balance.primary_unit(mass, stroke, speed)
    np.testing.assert_allclose(lengths, 2364.6, atol=0.05)
    second = balance.largest_resultant(*balance.secondary_resultants(layout.throws, layout.banks))
    assert second * balance.secondary_unit(mass, stroke, rod, speed) == pytest.approx(836.0, abs=0.5)


def test_half_the_mass_on_the_counterweights_balances_a_right_angled_pair() -> None:
    """Same book: the primary of a 90 degree pair is balanced whole by half of the two cylinders' reciprocating mass on the throw."""
    for name in ("v2-90", "v8-90-cross-plane"):
        layout = LAYOUTS[name]
        for arms in (1.0, layout.positions):
            half = balance.primary_resultants(layout.throws, layout.banks, arms, 0.5)
            assert balance.largest_resultant(*half) == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(
    ("name", "forces_and_moments"),
    [
        # Standard table of free forces and moments (from memory; derived in J. P. Den Hartog, Mechanical Vibrations, ch. 5, and
        # C. F. Taylor, The Internal Combustion Engine in Theory and Practice, vol. 2, ch. 8): force 1 and 2 in m·ω²·r and
        # m·ω²·r·(r/l), moment 1 and 2 times the cylinder pitch.
        ("single", (1.0, 1.0, 0.0, 0.0)),
        ("inline-2-360", (2.0, 2.0, 0.0, 0.0)),
        ("inline-2-180", (0.0, 2.0, 1.0, 0.0)),
        ("inline-3", (0.0, 0.0, np.sqrt(3), np.sqrt(3))),
        ("inline-4", (0.0, 4.0, 0.0, 0.0)),
        ("inline-5", (0.0, 0.0, 0.449, 4.980)),
        ("inline-6", (0.0, 0.0, 0.0, 0.0)),
        ("v6-60", (0.0, 0.0, 1.5, 1.5)),
        ("v6-90-common-pin", (0.0, 0.0, np.sqrt(3), np.sqrt(6))),
        ("v8-90-cross-plane", (0.0, 0.0, np.sqrt(10), 0.0)),
        ("flat-4", (0.0, 0.0, 0.0, 2.0)),
        ("flat-6", (0.0, 0.0, 0.0, 0.0)),
    ],
)
def test_free_forces_and_moments(name: str, forces_and_moments: tuple[float, ...]) -> None:
    first, second, first_moment, second_moment = forces_and_moments
    force_1, force_2, moment_1, moment_2 = orders(name)
    assert (force_1, force_2) == pytest.approx((first, second), abs=1e-12)
    assert (moment_1, moment_2) == pytest.approx((first_moment, second_moment), abs=5e-4)


def test_flat_plane_eight_shakes_sideways() -> None:
    """Two in-line fours at right angles: each shakes 4 along its own bores, in opposite phase, 4·√2 across (same table, from memory)."""
    layout = LAYOUTS["v8-90-flat-plane"]
    forward, backward = balance.secondary_resultants(layout.throws, layout.banks)
    assert balance.largest_resultant(forward, backward) == pytest.approx(4 * np.sqrt(2), rel=1e-12)
    along = balance.resultant_at(np.linspace(0, 6, 50), forward, backward, 2)
    np.testing.assert_allclose(along.real, 0.0, atol=1e-12)


def test_cross_plane_moment_turns_with_the_crank_only() -> None:
    """The cross-plane eight's first-order moment is a constant couple turning with the crank, as a rotating mass's (same table)."""
    layout = LAYOUTS["v8-90-cross-plane"]
    forward, backward = balance.primary_resultants(layout.throws, layout.banks, layout.positions)
    assert abs(backward) == pytest.approx(0.0, abs=1e-12)
    assert forward == pytest.approx(balance.rotating_resultant(layout.throws, layout.positions) / 2, abs=1e-12)


def test_bob_weight_of_two_rods_on_a_pin() -> None:
    """Common practice, worked by hand: 2·475 + 2·0.5·940 + 5 g of oil = 1895 g."""
    assert balance.bob_weight(0.475, 0.940, 2, 0.5, 0.005) == pytest.approx(1.895, rel=1e-12)
