"""crank-balance against R. S. Khurmi and J. K. Gupta, J. P. Den Hartog, C. F. Taylor and common practice, named beside each check."""

from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.physics.mechanism import balance
from borewright.physics.mechanism.balance_layouts import LAYOUTS

PARTS = {"pin": "1.5 kg", "rings": "0.5 kg", "rod_small_end": "0.5 kg", "rod_big_end": "3 kg", "bearings": "0 g", "oil": "0 g"}


def ask(layout: str, **body: Any) -> dict[str, Any]:
    return answer(calculations()["crank-balance"], {"layout": layout, **body})


def reciprocating(kilograms: float) -> dict[str, str]:
    """Masses whose reciprocating share is as given."""
    return {"piston": f"{kilograms - 2.5} kg", **PARTS}


PAIR = {"masses": reciprocating(11.5), "stroke": "150 mm", "rod_length": "300 mm", "speed": "500 rpm"}


def test_right_angled_pair() -> None:
    """Khurmi and Gupta, Theory of Machines, balancing of V-engines (from memory): 11.5 kg a cylinder, throw 75 mm, rod 0.3 m, 500 rpm:
    primary m·ω²·r = 2364.6 N, largest secondary √2·m·ω²·r·(r/l) = 836 N; half the mass on the throw leaves no primary."""
    found = ask("v2-90", balance_factor="50 %", **PAIR)
    assert found["reciprocating"] == {"value": pytest.approx(11500.0), "unit": "g"}
    assert found["primary_force"] == {"value": pytest.approx(2364.6, abs=0.05), "unit": "N"}
    assert found["secondary_force"] == {"value": pytest.approx(836.0, abs=0.5), "unit": "N"}
    assert found["primary_force_left"]["value"] == 0.0


@pytest.mark.parametrize("degrees", [45.0, 60.0, 90.0, 120.0, 150.0])
def test_pair_at_any_angle(degrees: float) -> None:
    """Same chapter (from memory), bores 2α apart: primary 2·m·ω²·r·√((cos²α·cos θ)² + (sin²α·sin θ)²), secondary
    2·m·ω²·(r²/l)·√((cos α·cos 2α·cos 2θ)² + (sin α·sin 2α·sin 2θ)²); each largest where one of its two terms stands alone."""
    half = np.radians(degrees) / 2
    found = ask("v2-90", bank_angle=f"{degrees} deg", **PAIR)
    primary = 2 * max(np.cos(half) ** 2, np.sin(half) ** 2)
    secondary = 2 * max(abs(np.cos(half) * np.cos(2 * half)), abs(np.sin(half) * np.sin(2 * half)))
    assert found["primary_force"]["value"] == pytest.approx(primary * found["primary_unit"]["value"], rel=1e-9)
    assert found["secondary_force"]["value"] == pytest.approx(secondary * found["secondary_unit"]["value"], rel=1e-9)


def test_two_thirds_of_a_single_cylinder() -> None:
    """Khurmi and Gupta, Theory of Machines, ch. 22, first example on partial balance (from memory): 240 rpm, stroke 300 mm, 50 kg
    reciprocating and 37 kg revolving at the pin; two thirds balanced wants 26.38 kg at 400 mm and leaves 2849 N at 60 degrees."""
    masses = {**reciprocating(50.0), "rod_big_end": "37 kg"}
    body = {"masses": masses, "stroke": "300 mm", "speed": "240 rpm", "balance_factor": {"value": 2 / 3, "unit": "1"}}
    found = ask("single", **body)
    assert found["bob_weight"]["value"] / 1000 * 150 / 400 == pytest.approx(26.38, abs=0.01)
    left = found["vectors"]["primary_force"]
    # two thirds are more than half: what is left of the forward vector points away from the throw
    at_60 = balance.resultant_at(np.radians(60.0), -left["forward_left"]["value"], left["backward"]["value"], 1)
    assert abs(at_60) * found["primary_unit"]["value"] == pytest.approx(2849.0, abs=6.0)  # the book rounds ω to 25.14


def test_bob_weight_of_two_rods_on_a_pin() -> None:
    """Common practice, worked by hand: 2·475 + 2·0.5·940 + 5 g of oil = 1895 g."""
    masses = {
        "piston": "540 g",
        "pin": "150 g",
        "rings": "60 g",
        "locks": "3 g",
        "rod_small_end": "187 g",
        "rod_big_end": "430 g",
        "bearings": "45 g",
        "oil": "5 g",
    }
    found = ask("v8-90-cross-plane", masses=masses, rods_per_journal=2, balance_factor="50 %")
    assert found["reciprocating"]["value"] == pytest.approx(940.0)
    assert found["rotating"]["value"] == pytest.approx(475.0)
    assert found["bob_weight"] == {"value": pytest.approx(1895.0), "unit": "g"}


@pytest.mark.parametrize(
    ("layout", "force", "second_force", "moment", "second_moment"),
    [
        # Standard table of free forces and moments (from memory; derived in J. P. Den Hartog, Mechanical Vibrations, ch. 5, and
        # C. F. Taylor, The Internal Combustion Engine in Theory and Practice, vol. 2, ch. 8), in units of one cylinder's force and,
        # for moments, the spacing.
        ("single", 1.0, 1.0, 0.0, 0.0),
        ("inline-2-360", 2.0, 2.0, 0.0, 0.0),
        ("inline-2-180", 0.0, 2.0, 1.0, 0.0),
        ("inline-3", 0.0, 0.0, np.sqrt(3), np.sqrt(3)),
        ("inline-4", 0.0, 4.0, 0.0, 0.0),
        ("inline-5", 0.0, 0.0, 0.449, 4.980),
        ("inline-6", 0.0, 0.0, 0.0, 0.0),
        ("inline-8", 0.0, 0.0, 0.0, 0.0),
        ("v4-90", 0.0, 2 * np.sqrt(2), 1.0, 0.0),
        ("v6-60", 0.0, 0.0, 1.5, 1.5),
        ("v6-90-common-pin", 0.0, 0.0, np.sqrt(3), np.sqrt(6)),
        ("v8-90-cross-plane", 0.0, 0.0, np.sqrt(10), 0.0),
        ("v8-90-flat-plane", 0.0, 4 * np.sqrt(2), 0.0, 0.0),
        ("v10-90", 0.0, 0.0, 0.449, 4.980 * np.sqrt(2)),
        ("v12-60", 0.0, 0.0, 0.0, 0.0),
        ("opposed-2", 0.0, 0.0, 1.0, 1.0),
        ("flat-4", 0.0, 0.0, 0.0, 2.0),
        ("flat-6", 0.0, 0.0, 0.0, 0.0),
    ],
)
def test_free_forces_and_moments(layout: str, force: float, second_force: float, moment: float, second_moment: float) -> None:
    found = ask(layout, cylinder_spacing="200 mm", **PAIR)
    first, second = found["primary_unit"]["value"], found["secondary_unit"]["value"]
    assert found["primary_force"]["value"] == pytest.approx(force * first, abs=1e-6)
    assert found["secondary_force"]["value"] == pytest.approx(second_force * second, abs=1e-6)
    assert found["primary_moment"]["value"] == pytest.approx(moment * first * 0.2, abs=5e-4 * first * 0.2)
    assert found["secondary_moment"]["value"] == pytest.approx(second_moment * second * 0.2, abs=5e-4 * second * 0.2)


def test_counterweights_clear_the_cross_plane_eight() -> None:
    """Den Hartog, ch. 5 (from memory): the cross-plane V8 at right angles is balanced whole, to the second order, by counterweights that
    carry half of the reciprocating mass; every layout of the trade is in the list."""
    found = ask("v8-90-cross-plane", cylinder_spacing="110 mm", **PAIR)
    assert found["primary_moment"]["value"] > 0
    for name in ("primary_force_left", "primary_moment_left", "secondary_force", "secondary_moment"):
        assert found[name]["value"] == 0.0
    assert found["bob_weights_needed"] is True
    assert {"inline-8", "v2-45", "v4-90", "v10-90", "v12-60", "opposed-2"} <= set(LAYOUTS)
    assert {"inline-2-180", "inline-3", "inline-4", "inline-5", "inline-6", "v6-60", "v6-90-common-pin", "flat-4", "flat-6"} <= set(LAYOUTS)


@pytest.mark.parametrize("layout", ["inline-4", "inline-6", "v8-90-flat-plane", "flat-6"])
def test_cranks_that_balance_bare(layout: str) -> None:
    """Common practice: these cranks go on the balancing machine without bobweights."""
    assert ask(layout, masses=reciprocating(11.5))["bob_weights_needed"] is False


@pytest.mark.parametrize("degrees", [45.0, 52.0, 60.0, 75.0, 90.0, 120.0])
def test_the_factor_for_a_bank_angle(degrees: float) -> None:
    """From the pair's formula above, bores 2α apart: along the middle plane 2·m·ω²·r·cos²α, across it 2·m·ω²·r·sin²α, and a share k of
    both cylinders' masses on the throw takes 2·k off each. So k = cos²α stills the one, sin²α the other, and half leaves
    2·|cos²α − ½| = |cos 2α| either way: the least of the largest."""
    half = np.radians(degrees) / 2
    found = ask("v2-45", bank_angle=f"{degrees} deg", **PAIR)
    least = found["least_shake"]
    assert least["of"] == "force"
    assert least["balance_factor"]["value"] == 0.5
    assert least["left"]["value"] == pytest.approx(abs(np.cos(2 * half)), abs=1e-12)
    assert least["along"]["value"] == pytest.approx(np.cos(half) ** 2)
    assert least["across"]["value"] == pytest.approx(np.sin(half) ** 2)
    assert found["primary_force_left"]["value"] == pytest.approx(least["left"]["value"] * found["primary_unit"]["value"], abs=1e-6)


@pytest.mark.parametrize("degrees", [45.0, 52.0, 60.0, 70.0])
def test_pins_offset_for_primary_balance(degrees: float) -> None:
    """Two cylinders 2α apart are in primary balance, with half on the counterweights, where their pins stand 180° − 2·(2α) apart
    (common practice for narrow twins; it follows from e^(−j(φ₁−2β₁)) + e^(−j(φ₂−2β₂)) = 0), and nowhere else."""
    own = {"cylinders": [{"throw": 1, "bank_angle": f"{-degrees / 2} deg"}, {"throw": 2, "bank_angle": f"{degrees / 2} deg"}], **PAIR}
    pins = [{"angle": "0 deg"}, {"angle": f"{2 * degrees - 180} deg"}]
    found = answer(calculations()["crank-balance"], {"throws": pins, "balance_factor": "50 %", **own})
    assert found["primary_force_left"]["value"] == 0.0
    assert found["secondary_force"]["value"] > 0.0
    shared = answer(calculations()["crank-balance"], {"throws": pins[:1] * 2, "balance_factor": "50 %", **own})
    assert shared["primary_force_left"]["value"] == pytest.approx(np.cos(np.radians(degrees)) * found["primary_unit"]["value"])


def test_an_opposed_twin_is_no_shared_pin() -> None:
    """J. P. Den Hartog, ch. 5 (derived): opposed pistons on throws half a turn apart cancel each other's forces of every order, and leave a
    couple of the force times the offset of the throws; on one pin they would leave twice a cylinder's force."""
    opposed = ask("opposed-2", cylinder_spacing="40 mm", **PAIR)
    assert opposed["primary_force"]["value"] == opposed["secondary_force"]["value"] == 0.0
    assert opposed["primary_moment"]["value"] == pytest.approx(0.040 * opposed["primary_unit"]["value"])
    assert opposed["secondary_moment"]["value"] == pytest.approx(0.040 * opposed["secondary_unit"]["value"])
    assert opposed["bob_weights_needed"] is True
    shared = ask("v2-90", bank_angle="180 deg", **PAIR)
    assert shared["primary_force"]["value"] == pytest.approx(2 * shared["primary_unit"]["value"])
    assert any("opposed-2" in caution for caution in shared["cautions"])
    assert not any("opposed-2" in caution for caution in opposed["cautions"])
