"""Every calculation of the registry has its routes, and every example of it is answered."""

from collections.abc import Callable, Iterable
from typing import Any

import pytest
from flask.testing import FlaskClient

from borewright.calculations.base.batch import answering
from borewright.calculations.base.fields import MOST_SUGGESTED
from borewright.calculations.base.problems import nearest
from borewright.calculations.base.registry import calculations
from borewright.practice.tables import EVERY_BASIS
from borewright.rules.cautions import ESTIMATE
from borewright.web.app import create_app
from borewright.web.calculating.calculators import Calculators
from borewright.web.calculating.jobs import Done, Kind
from borewright.web.document.batches import batch_example
from borewright.web.operations import LIGHT_BATCH_BYTES
from borewright.web.settings import Settings
from borewright.web.strict_json import MOST_NAMES

Check = Callable[..., dict[str, Any]]
EXAMPLES = [(name, title) for name, calculation in calculations().items() for title in calculation.examples]
BATCHES = [name for name, calculation in calculations().items() if calculation.batch]


def test_routes_are_those_of_the_registry() -> None:
    served = {str(rule) for rule in create_app().url_map.iter_rules() if rule.methods and "POST" in rule.methods}
    wanted = {f"/v1/{name}" for name in calculations()} | {f"/v1/{name}/batch" for name in BATCHES} | {"/v1/build-sheet"}
    assert served == wanted


@pytest.mark.parametrize(("name", "title"), EXAMPLES)
def test_every_example_is_answered_in_full(client: FlaskClient, name: str, title: str) -> None:
    response = client.post(f"/v1/{name}", json=calculations()[name].examples[title])
    assert response.status_code == 200, response.get_json()
    answer = response.get_json()
    assert ESTIMATE in answer["cautions"]
    for check in answer["checks"]:
        assert check["verdict"] in ("pass", "watch", "fail", "unknown")
        assert check["basis"] in EVERY_BASIS
        assert check["source"]
        assert check["reason"]
    for assumption in answer["assumptions"]:
        assert assumption["basis"] in EVERY_BASIS
        assert assumption["source"]
    shares = [share["contribution"] for share in answer["sensitivity"]]
    assert shares == sorted(shares, reverse=True)
    if shares:
        assert sum(shares) == pytest.approx(1.0, abs=1e-9)


@pytest.mark.parametrize(("name", "title"), EXAMPLES)
def test_the_same_request_gets_the_same_bytes(client: FlaskClient, name: str, title: str) -> None:
    request = calculations()[name].examples[title]
    assert client.post(f"/v1/{name}", json=request).get_data() == client.post(f"/v1/{name}", json=request).get_data()


@pytest.mark.parametrize("name", BATCHES)
def test_every_batch_example_is_answered_in_full(client: FlaskClient, name: str) -> None:
    answer = client.post(f"/v1/{name}/batch", json=batch_example(calculations()[name])).get_json()
    assert answer["rows"] == 2
    assert answer["failures"] == []
    assert answer["columns"]
    assert set(answer["units"]) <= set(answer["columns"])
    for column in [*answer["columns"].values(), *answer["checks"].values()]:
        assert len(column) == 2
        assert column[0] == column[1], "both rows of the example are the same"
    assert ESTIMATE in answer["cautions"]


@pytest.mark.parametrize("name", BATCHES)
def test_columns_are_there_where_every_row_failed(client: FlaskClient, name: str) -> None:
    example = batch_example(calculations()[name])
    column = next(iter(example["columns"]))
    answer = client.post(f"/v1/{name}/batch", json={**example, "columns": {column: ["what", "ever"]}}).get_json()
    assert [failure["row"] for failure in answer["failures"]] == [0, 1]
    assert answer["columns"]
    assert all(values == [None, None] for values in answer["columns"].values())


@pytest.mark.parametrize("name", BATCHES)
def test_most_rows(name: str, expect_problem: Check) -> None:
    small = create_app(Settings(batch_rows=3)).test_client()
    example = batch_example(calculations()[name])
    column, (entry, _) = next(iter(example["columns"].items()))
    assert small.post(f"/v1/{name}/batch", json={**example, "columns": {column: [entry] * 3}}).status_code == 200
    response = small.post(f"/v1/{name}/batch", json={**example, "columns": {column: [entry] * 4}})
    assert "at most 3" in expect_problem(response, 422, "invalid-request")["detail"]


def test_few_rows_of_a_light_calculation_are_answered_where_they_are_read(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    run = Calculators.run

    def counted(self: Calculators, name: str, raw: bytes, kind: Kind) -> Done:
        asked.append(name)
        return run(self, name, raw, kind)

    monkeypatch.setattr(Calculators, "run", counted)
    common = {"common": {"stroke": "85.3 mm", "cylinders": 4}}
    few = client.post("/v1/displacement/batch", json={**common, "columns": {"bore": ["84.3 mm", "84.3 kg"]}}).get_json()
    assert not asked
    many = client.post(
        "/v1/displacement/batch", json={**common, "columns": {"bore": ["84.3 mm", "84.3 kg"] * LIGHT_BATCH_BYTES}}
    ).get_json()
    assert asked == ["displacement/batch"]
    assert (few["rows"], many["rows"]) == (2, 2 * LIGHT_BATCH_BYTES)
    assert few["failures"] == many["failures"][:1]
    assert few["columns"] == {name: column[:2] for name, column in many["columns"].items()}
    example = batch_example(calculations()["detonation-margin"])
    client.post("/v1/detonation-margin/batch", json=example)
    assert asked[1:] == ["detonation-margin/batch"]


def test_different_wrong_words_fail_their_rows_and_take_no_time(client: FlaskClient) -> None:
    rows = 2000
    columns = {"bore": ["100 mm"] * rows, "duty.fuel": [f"fuel {row}" if row else "gasoline" for row in range(rows)]}
    common = {
        "stroke": "80 mm",
        "cylinders": 4,
        "chamber_volume": "50 cm3",
        "gasket": {"bore": "101 mm", "thickness": "1 mm"},
        "deck_clearance": "0 mm",
    }
    answer = client.post("/v1/compression/batch", json={"common": common, "columns": columns}).get_json()
    assert [failure["row"] for failure in answer["failures"]] == list(range(1, rows))
    assert {error["pointer"] for failure in answer["failures"] for error in failure["errors"]} == {"#/duty/fuel"}
    assert answer["columns"]["compression_ratio"][0] > 1
    assert answer["checks"]["compression-for-duty"][1] is None


def test_a_batch_names_its_assumptions(client: FlaskClient) -> None:
    answer = client.post("/v1/compression/batch", json=batch_example(calculations()["compression"])).get_json()
    assert {assumption["name"] for assumption in answer["assumptions"]} == {"pin_offset", "crown.dome"}


def test_a_batch_knows_what_it_does_not_know(client: FlaskClient) -> None:
    """Squish without a gasket thickness is unknown in a row as it is alone."""
    common = {"stroke": "80 mm", "cylinders": 4, "chamber_volume": "50 cm3", "gasket": {"volume": "8 cm3"}, "deck_clearance": "0 mm"}
    alone = client.post("/v1/compression", json={**common, "bore": "100 mm"}).get_json()
    assert {check["name"]: check["verdict"] for check in alone["checks"]}["squish"] == "unknown"
    batch = client.post("/v1/compression/batch", json={"common": common, "columns": {"bore": ["100 mm"]}}).get_json()
    assert batch["checks"]["squish"] == ["unknown"]


def test_a_flood_of_unknown_columns_is_compared_for_a_few_alone(
    client: FlaskClient, expect_problem: Check, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Finding the nearest name costs about a millisecond: a thousand would hold a worker for a second."""
    compared = []

    def counted(name: str, known: Iterable[str]) -> str | None:
        compared.append(name)
        return nearest(name, known)

    monkeypatch.setattr(answering, "nearest", counted)
    columns = {f"gasket.thicknesses{n}": [1] for n in range(MOST_NAMES)}
    problem = expect_problem(client.post("/v1/compression/batch", json={"columns": columns}), 422, "invalid-request")
    assert 0 < len(compared) <= MOST_SUGGESTED
    assert "did you mean 'gasket.thickness'?" in problem["errors"][0]["detail"]
