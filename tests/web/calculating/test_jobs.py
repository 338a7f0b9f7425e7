"""What calculators do, by name."""

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from borewright.calculations.base.registry import calculations
from borewright.web.calculating.jobs import DOCUMENTS, FORMS, jobs, outcome
from borewright.web.document.openapi import batch_example
from borewright.web.operations import LIGHT_BYTES, is_light
from borewright.web.problems import Problem
from borewright.web.settings import Settings

JOBS = jobs(Settings(batch_rows=50))


def test_there_is_a_job_for_every_route(client: FlaskClient) -> None:
    rules = list(client.application.url_map.iter_rules())
    posted = {str(rule) for rule in rules if "POST" in (rule.methods or ())}
    calculated = JOBS.keys() - set(DOCUMENTS.values())
    assert {f"/v1/{name.split(' ')[0]}" for name in calculated} == posted
    assert {name.split(" ")[1] for name in calculated if " " in name} == set(FORMS)
    assert {f"/v1/{name.split('?')[0]}" for name in DOCUMENTS.values()} <= {str(rule) for rule in rules}


@pytest.mark.parametrize("name", [name for name, calculation in calculations().items() if calculation.batch])
def test_a_batch_says_how_many_rows_it_had(name: str) -> None:
    example = json.loads(json.dumps(batch_example(calculations()[name]), default=dict))
    column, given = next(iter(example["columns"].items()))
    example["columns"] = {column: given[:1] * 7}
    found = JOBS[f"{name}/batch"](json.dumps(example).encode())
    assert found.rows == 7
    assert json.loads(found.body)["rows"] == 7


def test_a_refusal_is_an_outcome() -> None:
    found = outcome(JOBS["displacement"], b"{")
    assert isinstance(found, Problem)
    assert found.kind.name == "not-json"


@pytest.mark.parametrize(
    ("name", "body", "light"),
    [
        ("compression", {"bore": "4 in"}, True),
        ("compression", {"bore": "4 in", "x": "y" * LIGHT_BYTES}, False),
        ("compression", {str(number): "4 in ± 1 in" for number in range(8)}, True),
        ("compression", {str(number): "4 in ± 1 in" for number in range(9)}, False),
        ("compression", {str(number): {"value": 1, "tolerance": 1} for number in range(9)}, False),
        ("strength", {"bore": "4 in"}, False),
        ("part-selection", {}, False),
    ],
)
def test_what_is_light(name: str, body: dict[str, Any], light: bool) -> None:
    for raw in (json.dumps(body), json.dumps(body, ensure_ascii=False), json.dumps(body).replace("\\u00b1", "+/-")):
        assert is_light(calculations()[name], raw.encode()) is light
