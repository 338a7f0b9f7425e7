"""Quantities as the trade reads them: thousandths and tenths of an inch, microns where there are any."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.quantities import KINDS
from borewright.sheet.showing import SIGNS, column, limits_shown, number, places, shown, sign, worst_case


def inch(value: float, **more: float) -> dict[str, Any]:
    return {"value": value, "unit": "in", **more}


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (0.018, "in", "0.018 in"),
        (0.0181, "in", "0.0181 in"),
        (3.8807, "in", "3.8807 in"),
        (3.89, "in", "3.890 in"),
        (-0.005, "in", "−0.005 in"),
        (-0.00001, "in", "0.000 in"),
        (84.3, "mm", "84.30 mm"),
        (84.317, "mm", "84.317 mm"),
        (0.459, "mm", "0.459 mm"),
        (10.2478, "1", "10.25"),
        (0.9871, "1", "0.987"),
        (60.0, "deg", "60°"),
        (212.4, "degF", "212 °F"),
        (370.2848, "in3", "370.28 in³"),
        (14.696, "psi", "14.70 psi"),
        (1103.4, "psi", "1103 psi"),
    ],
)
def test_one_quantity(value: float, unit: str, text: str) -> None:
    assert shown({"value": value, "unit": unit}) == text


def test_a_column_has_one_number_of_decimals() -> None:
    assert column([inch(0.018), inch(0.0205), None]) == ("in", ["0.0180", "0.0205", "—"])
    assert column([inch(0.5), {"value": 1.0, "unit": "cm3"}]) == ("", ["0.500 in", "1.0 cm³"])


def test_a_missed_limit_never_reads_like_the_value() -> None:
    assert limits_shown({"low": inch(0.003817)}, inch(0.0038)) == "at least 0.00382 in"
    assert limits_shown({"high": inch(0.0038)}, inch(0.0038)) == "at most 0.0038 in"
    assert limits_shown({"low": inch(0.0350001), "high": inch(0.06)}, inch(0.046)) == "0.035 to 0.060 in"


def test_worst_case_only_where_there_is_one() -> None:
    assert worst_case(inch(0.046, low=0.044, high=0.048)) == "0.044 to 0.048 in"
    assert worst_case(inch(0.046, low=0.046, high=0.046)) == worst_case(inch(0.046)) == worst_case(None) == ""


@given(st.floats(-1e6, 1e6), st.sampled_from(sorted({unit for kind in KINDS.values() for unit in kind.units})))
def test_what_is_written_is_the_value_to_its_last_decimal(value: float, unit: str) -> None:
    decimals = places(unit, [value])
    written = float(number(value, decimals).replace("−", "-"))
    assert abs(written - value) <= 0.5 * 10.0**-decimals * (1 + 1e-9)


def test_every_answer_unit_has_a_readable_sign() -> None:
    for kind in KINDS.values():
        for unit in (kind.metric, kind.inch):
            assert sign(unit) == SIGNS.get(unit, unit)
            assert not any(mark in sign(unit) for mark in ("2", "3", "deg", "1e"))
