"""Alerts and the dashboard: they ask for figures that there are, and each alert leads to what is to be done."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from flask.testing import FlaskClient
from prometheus_client.parser import text_string_to_metric_families as families

from borewright.web.app import create_app

FOLDER = Path(__file__).parents[2] / "docker"
(GROUP,) = yaml.safe_load((FOLDER / "watch" / "alerts.yaml").read_text(encoding="utf-8"))["groups"]
BOARD: dict[str, Any] = json.loads((FOLDER / "watch" / "dashboard.json").read_text(encoding="utf-8"))
NAME, LABEL = re.compile(r"\bborewright_\w+"), re.compile(r'\b(\w+)=~?"([^"]*)"')


@pytest.fixture(scope="module")
def figures() -> dict[str, set[str]]:
    """The labels of every series that the service shows once something was asked."""
    client: FlaskClient = create_app().test_client()
    assert client.post("/v1/displacement", json={"bore": "100 mm", "stroke": "80 mm", "cylinders": 4}).status_code == 200
    found: dict[str, set[str]] = {}
    for family in families(client.get("/metrics").text):
        for sample in family.samples:
            found.setdefault(sample.name, set()).update(sample.labels)
    return found


def holds(expression: str, figures: dict[str, set[str]]) -> None:
    names = set(NAME.findall(expression))
    assert names <= set(figures), expression
    labels = set().union(*(figures[name] for name in names)) if names else {"job"}
    asked = {label for label, _ in LABEL.findall(expression)}
    for grouped in re.findall(r"by \(([^)]*)\)", expression):
        asked |= {label.strip() for label in grouped.split(",")}
    assert asked <= labels, expression
    assert expression.count("(") == expression.count(")")


@pytest.mark.parametrize("rule", GROUP["rules"], ids=lambda rule: rule["alert"])
def test_an_alert(rule: dict[str, Any], figures: dict[str, set[str]]) -> None:
    holds(rule["expr"], figures)
    assert rule["labels"]["severity"] in ("page", "ticket")
    assert rule["annotations"]["summary"]
    page, _, advice = rule["annotations"]["what_to_do"].partition(", What to do when: ")
    assert page == "docker/README.md"
    heading = advice[0].upper() + advice[1:]
    assert f"- **{heading}.**" in (FOLDER / "README.md").read_text(encoding="utf-8")


def test_the_dashboard(figures: dict[str, set[str]]) -> None:
    panels = BOARD["panels"]
    assert len({panel["id"] for panel in panels}) == len(panels) >= 6
    places = [(panel["gridPos"]["x"], panel["gridPos"]["y"]) for panel in panels]
    assert len(set(places)) == len(places)
    for panel in panels:
        for target in panel["targets"]:
            holds(target["expr"], figures)


def test_every_figure_is_explained_to_the_operator(figures: dict[str, set[str]]) -> None:
    text = (FOLDER / "README.md").read_text(encoding="utf-8")
    for name in figures:
        assert f"`{re.sub(r'_(bucket|count|sum|created)$', '', name)}`" in text, name
