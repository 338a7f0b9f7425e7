"""What the tests of part selection share: asking, a part and a check by name, the same build asked of compression."""

import copy
from collections.abc import Mapping
from typing import Any

import pytest

from borewright.calculations.base.problems import Refusal
from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

CALCULATION = calculations()["part-selection"]
COMPRESSION = calculations()["compression"]
CATALOG, FITTING, BROKEN = CALCULATION.examples.values()
FIVE = ("crank", "rod", "piston", "gasket", "head")


def ask(request: Mapping[str, Any], **changes: Any) -> dict[str, Any]:
    """The answer; a change replaces a field of the request, None leaves it out."""
    body = {name: value for name, value in {**copy.deepcopy(dict(request)), **changes}.items() if value is not None}
    return answer(CALCULATION, body)


def refusal(request: Mapping[str, Any], expected: type[Refusal], **changes: Any) -> dict[str, str]:
    """The errors of a refused request by their pointers."""
    with pytest.raises(expected) as refused:
        ask(request, **changes)
    assert expected is Refusal or type(refused.value) is expected
    return {error.pointer: error.detail for error in refused.value.errors}


def part(request: Mapping[str, Any], choice: Mapping[str, Any], name: str) -> dict[str, Any]:
    """A chosen part as it stands in the request."""
    (found,) = [entry for entry in request[f"{name}s"] if entry["id"] == choice["parts"][name]]
    return dict(found)


def check(found: Mapping[str, Any], name: str) -> dict[str, Any]:
    """One check by its name."""
    (one,) = [each for each in found["checks"] if each["name"] == name]
    return dict(one)


def compression_of(request: Mapping[str, Any], choice: Mapping[str, Any]) -> dict[str, Any]:
    """The request to compression of a choice without milling or cutting."""
    crank, rod, piston, gasket, head = (part(request, choice, name) for name in FIVE)
    land = {"top_land": {"height": piston["top_land"], "diameter": piston["top_land_diameter"]}} if "top_land_diameter" in piston else {}
    return {
        **({"units": request["units"]} if "units" in request else {}),
        "bore": piston["bore"],
        "stroke": crank["stroke"],
        "cylinders": request["block"]["cylinders"],
        "chamber_volume": head["chamber_volume"],
        "gasket": {name: gasket[name] for name in ("bore", "area", "thickness", "volume") if name in gasket},
        "stack": {
            "deck_height": request["block"]["deck_height"],
            "rod_length": rod["length"],
            "compression_height": piston["compression_height"],
        },
        "crown": {name: piston[name] for name in ("dome", "recess") if name in piston},
        **land,
    }


def alike(found: Any, expected: Any) -> None:
    """Two quantities that agree in value, bounds and uncertainty."""
    assert found.keys() == expected.keys()
    assert found["unit"] == expected["unit"]
    for name in found.keys() - {"unit"}:
        assert found[name] == pytest.approx(expected[name], rel=1e-9, abs=1e-11), name


def without_tolerance(entry: dict[str, Any]) -> dict[str, Any]:
    """An object of JSON with its tolerances cut off."""
    return {name: value.split(" @")[0] if isinstance(value, str) else value for name, value in entry.items()}
