"""What the demo prints: every calculation, in words a machinist reads."""

import copy
import re
from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer
from borewright.demo.summary import WIDTH, WRITERS, summary

TITLE = re.compile(r"^[A-Z][A-Z ,]+$", re.MULTILINE)


@pytest.fixture(scope="module")
def printed(sheet: dict[str, Any]) -> str:
    return summary(sheet)


def test_every_calculation_is_calculated_and_written(sheet: dict[str, Any], printed: str) -> None:
    assert sheet["missing"] == []
    assert sheet["refused"] == []
    assert sheet["sections"].keys() == WRITERS.keys() == calculations().keys()
    assert {name.replace("-", " ").upper() for name in WRITERS} <= set(TITLE.findall(printed))


def test_no_name_of_a_program_is_left(printed: str) -> None:
    assert not re.findall(r"\w_\w|#/|\bNone\b|\{|\}", printed)
    assert max(map(len, printed.splitlines())) <= WIDTH


def test_what_fails_is_said_before_any_section(sheet: dict[str, Any], printed: str) -> None:
    failing = [check for check in sheet["checks"] if check["verdict"] == "fail"]
    assert failing
    assert printed.index("Overall verdict: FAIL") < printed.index("FAIL: ring gap, top butting 0.008 in, wanted at least 0.01")
    assert printed.rindex("  FAIL: ") < printed.index("BORE CLEANUP")
    assert printed.count("  FAIL: ") == len(failing)


def test_bores_skirts_and_pistons_tell_one_story(sheet: dict[str, Any]) -> None:
    """The size that cleans up is the bore of the pistons chosen, and no cylinder is honed past it or short of its wear."""
    sections = sheet["sections"]
    clean = sections["bore-cleanup"]["smallest_clean_size"]["value"]
    assert sections["part-selection"]["choices"][0]["results"]["bore"]["value"] == pytest.approx(clean)
    wear = {each["cylinder"]: each["cleanup_diameter"]["value"] for each in sections["bore-cleanup"]["cylinders"]}
    honed = {entry["cylinder"]: entry["diameter"]["value"] for entry in sections["skirt-clearance"]["hone_to"]}
    assert honed.keys() == wear.keys()
    assert all(wear[cylinder] < honed[cylinder] <= clean + 5e-5 for cylinder in honed)
    fits = sections["assembly-fit"], sections["compression"]
    assert fits[0]["deck_clearance"]["value"] == pytest.approx(fits[1]["deck_clearance"]["value"])
    assert fits[0]["squish"]["value"] == pytest.approx(fits[1]["squish"]["value"])


def test_the_valves_are_judged_after_the_first_plan(sheet: dict[str, Any]) -> None:
    plan, valves = sheet["sections"]["compression-target"]["plans"][0], sheet["sections"]["valve-clearance"]
    thinner = sheet["sections"]["compression"]["squish"]["value"] - plan["squish"]["value"]
    assert valves["nearer_by"]["value"] == pytest.approx(plan["head_mill"]["value"] + thinner, abs=5e-5)


def test_what_is_missing_or_refused_is_said(sheet: dict[str, Any]) -> None:
    less: dict[str, Any] = copy.deepcopy({**sheet, "sections": {}, "checks": []})
    less["missing"] = [{"section": "valve-clearance", "fields": ["lift"]}]
    less["refused"] = [{"section": "compression", "errors": [{"pointer": "#/build/bore", "detail": "too wide"}]}]
    printed = summary(less)
    assert "NOT CALCULATED, MISSING\n  valve clearance: lift" in printed
    assert "REFUSED\n  compression: #/build/bore: too wide" in printed


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_a_section_of_little_input_is_written_too(name: str) -> None:
    """Each calculation's least example, whose answer leaves out or nulls what was not given."""
    calculation = calculations()[name]
    for example in calculation.examples.values():
        lines = list(WRITERS[name](answer(calculation, example)))
        assert lines
        assert not any(re.search(r"\bNone\b|\{|nan", line) for line in lines)
