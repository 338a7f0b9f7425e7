"""One-sided tolerances through corners and through an interval calculation; test_propagation.py has the plans."""

from collections.abc import Mapping
from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

LEVELS = [{"cylinder": 1, "depth": f"{depth} mm", "thrust": "100.05 mm", "axial": "100.02 mm"} for depth in (10, 90)]
COMPRESSION = {
    "bore": "3.892 in",
    "stroke": "3.36 in",
    "cylinders": 8,
    "chamber_volume": "57 cm3",
    "gasket": {"bore": "3.962 in", "thickness": "0.040 in"},
    "deck_clearance": "0.015 in",
    "crown": {"recess": "5 cm3"},
}


def asked(name: str, request: Mapping[str, Any], path: tuple[Any, ...], value: str) -> dict[str, Any]:
    """The answer to a request with one field replaced."""
    body = _with(request, path, value)
    return answer(calculations()[name], body)


def _with(tree: Any, path: tuple[Any, ...], value: str) -> Any:
    if not path:
        return value
    if isinstance(tree, list):
        return [_with(entry, path[1:], value) if index == path[0] else entry for index, entry in enumerate(tree)]
    return {**tree, path[0]: _with(tree.get(path[0]), path[1:], value)}


CASES = [
    ("compression", COMPRESSION, ("bore",), "3.892 in", "3.893 in +0/-0.001 in", "3.8925 in ± 0.0005 in", ("compression_ratio",)),
    (
        "bore-cleanup",
        {"nominal_bore": "100 mm", "readings": LEVELS, "oversizes": ["0.5 mm"]},
        ("readings", 0, "thrust"),
        "100.05 mm",
        "100.06 mm +0/-0.01 mm",
        "100.055 mm ± 0.005 mm",
        ("cylinders", 0, "cleanup_diameter"),
    ),
]


def figure_of(answered: Any, path: tuple[Any, ...]) -> Any:
    """The result at a path of an answer."""
    for step in path:
        answered = answered[step]
    return answered


@pytest.mark.parametrize(("name", "request_", "path", "low", "one_sided", "about_the_middle", "result"), CASES)
def test_bounds_are_those_of_the_ends(
    name: str, request_: Mapping[str, Any], path: tuple[Any, ...], low: str, one_sided: str, about_the_middle: str, result: tuple[Any, ...]
) -> None:
    """The same ends give the same bounds; the value stays the one that was stated; the uncertainty is that of the same width."""
    found = figure_of(asked(name, request_, path, one_sided), result)
    middle = figure_of(asked(name, request_, path, about_the_middle), result)
    stated = figure_of(asked(name, request_, path, one_sided.split(" +")[0]), result)
    least = figure_of(asked(name, request_, path, low), result)
    assert found["value"] == pytest.approx(stated["value"], rel=1e-11)
    assert (found["low"], found["high"]) == pytest.approx((middle["low"], middle["high"]), rel=1e-6)
    assert found["uncertainty"] == pytest.approx(middle["uncertainty"], rel=2e-2)
    assert least["value"] in (pytest.approx(found["low"], rel=1e-9), pytest.approx(found["high"], rel=1e-9))


def test_the_window_of_a_target_may_be_one_sided() -> None:
    """A ratio wanted as 10.5 +0.3/-0.1 is reached from 10.4 to 10.8."""
    body = {**COMPRESSION, "target": "10.5 +0.3/-0.1", "levers": {"head_mill": {"max": "0.03 in", "chamber_area": "68 cm2"}}}
    checks = answer(calculations()["compression-target"], body)["checks"]
    limits = next(check["limits"] for check in checks if check["name"] == "compression-target")
    assert (limits["low"]["value"], limits["high"]["value"]) == (10.4, 10.8)
