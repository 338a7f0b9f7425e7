"""Every build that the calculations answer can be drawn and printed: all their examples, and builds of odd sizes."""

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from borewright.build.takes import TAKES
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.sheet.content import content
from borewright.sheet.page import page
from borewright.sheet.paper import paper
from borewright.sheet.sections import Worked

EXAMPLES = [(calculation, title) for calculation in calculations().values() for title in calculation.examples]


@pytest.mark.parametrize(("calculation", "title"), EXAMPLES, ids=lambda part: getattr(part, "name", part))
def test_each_example_as_a_build(working: Callable[..., Worked], calculation: Calculation, title: str) -> None:
    example = dict(calculation.examples[title])
    units = example.pop("units", None)
    found = working({TAKES[calculation.name].place(name): value for name, value in example.items()}, units)
    assert calculation.name in found.sheet["sections"]
    words = content(found)
    assert calculation.title in page(words)
    assert paper(words).startswith(b"%PDF-")


@settings(deadline=None, max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_odd_sizes(working: Callable[..., Worked], data: st.DataObject) -> None:
    def length(low: float, high: float) -> str:
        return f"{data.draw(st.floats(low, high)):.6f} mm"

    cylinders = data.draw(st.integers(1, 24))
    numbers = range(1, data.draw(st.integers(1, 24)) + 1)
    bore = data.draw(st.floats(20, 499))
    build: dict[str, Any] = {
        "bore": f"{bore} mm",
        "stroke": length(20, 600),
        "cylinders": cylinders,
        "chamber_volume": f"{data.draw(st.floats(1, 4000))} cm3 ± {data.draw(st.sampled_from([0, 0.5]))} cm3",
        "gasket": data.draw(
            st.sampled_from(
                [{"volume": "9 cm3"}, {"bore": f"{bore + 1} mm", "thickness": "12 mm"}, {"area": "50 cm2", "thickness": "0.1 mm"}]
            )
        ),
        "deck_clearance": length(-10, 30),
        "crown": {"dome": f"{data.draw(st.floats(0, 500))} cm3"},
        "target": str(data.draw(st.floats(2, 40))),
        "levers": {
            "head_mill": {"max": length(0, 10), "chamber_area": f"{data.draw(st.floats(1, 2200))} cm2"},
            "gaskets": [
                {"name": f"_{place}", "bore": f"{bore + 1} mm", "thickness": length(0.1, 12)}
                for place in range(data.draw(st.integers(1, 9)))
            ],
        },
        "measured": [{"cylinder": number, "top": length(0.01, 12), "second": length(0.01, 12)} for number in numbers],
        "alloy": "2618",
        "bores": [{"cylinder": number, "diameter": f"{bore:.3f} mm"} for number in numbers],
        "skirts": [
            {"piston": number, "diameter": f"{bore - data.draw(st.sampled_from([-0.1, 0, 0.05, 0.3])):.3f} mm"} for number in numbers
        ],
    }
    words = content(working(build, data.draw(st.sampled_from(["inch", "metric", None]))))
    assert page(words)
    assert paper(words)
