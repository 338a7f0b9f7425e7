"""Working a sheet out: digest, date, the requests that were answered."""

import datetime
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.sheet.sections import Worked, build_sheet, digest, worked


def test_the_same_input_has_the_same_digest_whatever_the_day(order: dict[str, Any]) -> None:
    turned = {name: dict(reversed(part.items())) if isinstance(part, dict) else part for name, part in reversed(order.items())}
    first = build_sheet(order, today=datetime.date(2031, 1, 1))
    second = build_sheet(turned, today=datetime.date(2032, 2, 2))
    assert first["input_digest"] == second["input_digest"] == digest(order)
    assert first["order"]["date"] == "2031-01-01"
    order["build"]["stroke"] = 3.531
    assert digest(order) != first["input_digest"]


def test_a_day_that_is_none_is_refused_at_its_place(order: dict[str, Any]) -> None:
    order["order"]["date"] = "2031-02-29"
    with pytest.raises(ImpossibleBuild) as refusal:
        worked(order)
    assert [error.pointer for error in refusal.value.errors] == ["#/order/date"]
    order["order"]["date"] = "2032-02-29"
    assert worked(order).sheet["order"]["date"] == "2032-02-29"


@pytest.mark.parametrize(
    ("field", "value"),
    [("id", "a\0b"), ("id", "x" * 10_000), ("customer", "x" * 10_000), ("notes", "a\nb"), ("engine", ""), ("shop", "\ud800")],
)
def test_what_is_no_short_text_is_refused_at_its_place(order: dict[str, Any], field: str, value: str) -> None:
    order["order"][field] = value
    with pytest.raises(InvalidRequest) as refusal:
        worked(order)
    assert [error.pointer for error in refusal.value.errors] == [f"#/order/{field}"]


def test_the_nominal_request_is_the_one_that_was_answered(working: Callable[..., Worked]) -> None:
    found = working({"bore": "4 in ± 0.001 in", "stroke": "3.5 in", "cylinders": 8})
    request = found.nominal("displacement")
    assert request["bore"] == pytest.approx(np.array([0.1016]))
    assert set(found.requests) == set(found.sheet["sections"])


def test_a_clean_bore_goes_on_as_the_bore(order: dict[str, Any]) -> None:
    order["build"].pop("bore", None)
    found = worked(order)
    size = found.sheet["sections"]["bore-cleanup"]["smallest_clean_size"]
    assert found.requests["compression"]["bore"] == {"value": size["value"], "unit": size["unit"]}
