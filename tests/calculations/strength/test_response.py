"""Cycles of a few of the toleranced states against those of all of them, and limits from the states that lie off the nominal one."""

import copy
from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.calculations.strength import case, judged
from borewright.calculations.strength.response import far_states, response
from borewright.quantities.propagation import TolerancePlan

CALCULATION = calculations()["strength"]
NATURAL, BOOSTED, _ = CALCULATION.examples.values()
FUEL = {"octane": {"rating": 95, "scale": "ron"}}
REQUESTS: dict[str, dict[str, Any]] = {
    "two": {**NATURAL},
    "one end only": {**NATURAL, "compression_ratio": "10 +0.2/-0"},
    "held back by the fuel at some": {**NATURAL, "fuel": FUEL},
    "held back by the fuel at all": {**NATURAL, "fuel": FUEL, "compression_ratio": "12 ± 0.1"},
    "with parts": {
        **NATURAL,
        "piston": {**NATURAL["piston"], "mass": "420 g ± 5 g"},
        "pin": {**NATURAL["pin"], "outer": "22 mm ± 0.01 mm"},
        "rod": {**NATURAL["rod"], "mass": "560 g ± 5 g"},
    },
    "loads": {
        **NATURAL,
        "speed": "7000 rpm ± 50 rpm",
        "boost": {"pressure": "60 kPa ± 5 kPa"},
        "nitrous": {"power": "60 kW ± 5 kW"},
        "fuel": {"octane": {"rating": 98, "scale": "ron"}},
    },
    "volumes": {
        **BOOSTED,
        "bore": "3.892 in ± 0.001 in",
        "chamber_volume": "68 cm3 ± 0.5 cm3",
        "deck_clearance": "0.005 in ± 0.002 in",
        "speed": "6200 rpm ± 50 rpm",
    },
}


def figures(tree: Any, path: str = "") -> dict[str, Any]:
    """Every entry of an answer by its path."""
    if isinstance(tree, dict):
        return {where: value for name, inner in tree.items() for where, value in figures(inner, f"{path}.{name}").items()}
    if isinstance(tree, list):
        return {where: value for place, inner in enumerate(tree) for where, value in figures(inner, f"{path}[{place}]").items()}
    return {path: tree}


@pytest.mark.parametrize("request_", REQUESTS.values(), ids=REQUESTS)
def test_few_states_say_what_all_do(request_: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    few = figures(answer(CALCULATION, copy.deepcopy(request_)))
    monkeypatch.setattr(case, "response", lambda *_: None)
    monkeypatch.setattr(judged, "far_states", lambda request: np.arange(_states(request)))
    plain = figures(answer(CALCULATION, copy.deepcopy(request_)))
    assert few.keys() == plain.keys()
    for path, value in plain.items():
        if not isinstance(value, float):
            assert few[path] == value, path
        elif path.endswith(("low", "high", "uncertainty")):  # next to the value that they belong to
            beside = abs(plain.get(path.rpartition(".")[0] + ".value") or value)
            assert few[path] == pytest.approx(value, rel=1e-3 if path.endswith("uncertainty") else 1e-4, abs=3e-4 * beside), path
        elif "sensitivity" in path:
            assert few[path] == pytest.approx(value, abs=1e-3), path
        else:
            assert few[path] == pytest.approx(value, rel=1e-9, abs=1e-9), path


def _states(request: Any) -> int:
    if isinstance(request, dict):
        return max(map(_states, request.values()), default=1)
    return request.size if isinstance(request, np.ndarray) else 1


def laid_out(*tolerances: tuple[float, float, float]) -> dict[str, Any]:
    """Inputs a, b, … at every point of a plan; value, below, above."""
    values, below, above = ([each[which] for each in tolerances] for which in range(3))
    plan = TolerancePlan(values, below, above)
    return {chr(ord("a") + which): plan.column(which) for which in range(len(tolerances))}


@pytest.mark.parametrize(
    "tolerances", [[(2.0, 0.1, 0.1)], [(2.0, 0.1, 0.3), (5.0, 0.0, 0.2)], [(2.0, 0.1, 0.1), (3.0, 0.2, 0.1), (1.0, 0.1, 0.0)]]
)
def test_what_is_quadratic_comes_out_exactly(tolerances: tuple[tuple[float, float, float], ...]) -> None:
    request = {**laid_out(*tolerances), "other": np.ones(1)}
    draw = np.random.default_rng(len(tolerances))
    straight, bent = draw.normal(size=len(tolerances)), draw.normal(size=(len(tolerances),) * 2)

    def result(inputs: dict[str, Any]) -> Any:
        moved = np.stack([inputs[name] - inputs[name][0] for name in sorted(inputs) if name != "other"])
        return 7.0 + straight @ moved + np.einsum("ij,in,jn->n", bent, moved, moved)

    found = response(request, set(request))
    assert found is not None
    assert found.request["a"].size < request["a"].size
    assert found.spread(result(found.request)) == pytest.approx(result(request), rel=1e-9)
    assert found.shares[0].tolist() == [1.0] + [0.0] * (found.request["a"].size - 1)


def test_what_hangs_on_no_toleranced_input_is_calculated_once() -> None:
    assert response({"a": laid_out((2.0, 0.1, 0.1))["a"], "b": np.ones(1)}, {"b"}) is None


def test_the_states_off_the_nominal_one_are_its_corners_and_the_points_along_it() -> None:
    request = laid_out((2.0, 0.1, 0.1), (5.0, 0.3, 0.2))
    stencils = np.arange(1, 9)
    assert far_states(request).tolist() == np.setdiff1d(np.arange(request["a"].size), stencils).tolist()
    assert far_states({"a": np.ones(1)}).tolist() == [0]
