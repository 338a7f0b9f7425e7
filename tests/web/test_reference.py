"""The reference pages: every row with its source, and answers that can be kept."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask.testing import FlaskClient

from borewright.practice.tables import BASES, table_names
from borewright.quantities import KINDS, read_quantity
from borewright.rules.vocabulary import VOCABULARY
from borewright.web.reference import TABLES

CACHED = [f"/v1/reference/{name}" for name in TABLES] + ["/v1/openapi.json"]


def _tables(client: FlaskClient) -> Iterator[tuple[str, dict[str, Any]]]:
    for name in TABLES:
        found = client.get(f"/v1/reference/{name}").get_json()
        if name in ("units", "checks"):
            continue
        yield from found["tables"].items() if "tables" in found else [(name, found)]


def test_the_pages_of_the_contract() -> None:
    assert TABLES == ("materials", "fuels", "practice", "checks", "units")


def test_every_check_has_a_sentence(client: FlaskClient) -> None:
    found = client.get("/v1/reference/checks").get_json()["checks"]
    assert set(found) == set(VOCABULARY)
    for name, check in found.items():
        assert check["sentence"].endswith("."), name
        assert check["kind"] in KINDS, name


def test_every_table_is_published_and_every_row_has_its_source(client: FlaskClient) -> None:
    published = dict(_tables(client))
    assert set(published) == set(table_names())
    for name, table in published.items():
        assert table["title"], name
        assert table["rows"], name
        for key, row in table["rows"].items():
            assert row["source"].strip(), (name, key)
            assert row["basis"] in BASES, (name, key)
            if row["basis"] == "common practice":
                assert row["source"].startswith("common practice"), (name, key)


def test_quantities_of_the_tables_read_by_their_kind(client: FlaskClient) -> None:
    read = 0
    for _, table in _tables(client):
        for row in table["rows"].values():
            for column in set(row) & set(table["kinds"]):
                for value in row[column] if isinstance(row[column], list) else [row[column]]:
                    read_quantity(value, table["kinds"][column])
                    read += 1
    assert read > 20


def test_units_are_those_that_are_read(client: FlaskClient) -> None:
    found = client.get("/v1/reference/units").get_json()
    assert "NIST SP 811" in found["source"]
    assert set(found["kinds"]) == set(KINDS)
    for name, kind in found["kinds"].items():
        assert {kind["metric"], kind["inch"]} <= set(kind["units"])
        for unit, scale in kind["units"].items():
            assert read_quantity({"value": 3.0, "unit": unit}, name).value == 3.0 * scale["factor"] + scale["offset"]


@pytest.mark.parametrize("path", CACHED)
def test_answers_can_be_kept(client: FlaskClient, path: str) -> None:
    first = client.get(path)
    assert first.status_code == 200
    assert first.content_type == "application/json"
    assert first.cache_control.public
    assert first.cache_control.max_age == 3600
    tag = first.headers["ETag"]
    assert client.get(path).headers["ETag"] == tag
    for sent in (tag, f'"other", {tag}', f"W/{tag}", "*"):
        again = client.get(path, headers={"If-None-Match": sent})
        assert again.status_code == 304
        assert again.get_data() == b""
        assert again.headers["ETag"] == tag
        assert again.cache_control.max_age == 3600
    assert client.get(path, headers={"If-None-Match": '"other"'}).status_code == 200


@pytest.mark.parametrize("path", CACHED)
def test_head_has_the_headers_and_no_body(client: FlaskClient, path: str) -> None:
    whole, head = client.get(path), client.head(path)
    assert head.status_code == 200
    assert head.get_data() == b""
    assert head.headers["ETag"] == whole.headers["ETag"]


def test_tags_tell_the_pages_apart(client: FlaskClient) -> None:
    assert len({client.get(path).headers["ETag"] for path in CACHED}) == len(CACHED)


@pytest.mark.parametrize("name", ["metals", "..", "units.toml", "x" * 500, "%00"])
def test_other_names(client: FlaskClient, name: str, expect_problem: Callable[..., dict[str, Any]]) -> None:
    expect_problem(client.get(f"/v1/reference/{name}"), 404, "not-found")
