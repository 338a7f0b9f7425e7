"""Requests without what need not be given."""

from borewright.calculations.base.registry import calculations
from borewright.web.document.shortened import shortened


def test_each_optional_member_is_left_out_once_and_all_at_once() -> None:
    request = {
        "units": "inch",
        "bore": 4,
        "gasket": {"bore": 4.1, "thickness": 0.04},
        "crown": {"dome": "1 cm3"},
        "pin_offset": 0.1,
    }
    rest = {name: request[name] for name in ("units", "bore", "gasket")}
    assert list(shortened(calculations()["compression"].request_schema, request)) == [
        {**rest, "pin_offset": 0.1},
        {**rest, "crown": {"dome": "1 cm3"}},
        rest,
        {**request, "gasket": {"thickness": 0.04}},
        {**request, "gasket": {"bore": 4.1}},
        {**request, "gasket": {}},
        {**request, "crown": {}},
    ]
