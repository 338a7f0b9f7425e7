"""What the operator allows reaches who reads it."""

from collections.abc import Iterator

import pytest

from borewright.calculations.base.limits import Limits, configure, limits
from borewright.calculations.base.registry import calculations
from borewright.web.app import create_app
from borewright.web.settings import Settings


@pytest.fixture(autouse=True)
def as_before() -> Iterator[None]:
    before = limits()
    yield
    configure(before)


def test_the_default_is_that_of_the_search_itself() -> None:
    assert Limits().search_work == Settings().search_work


def test_the_app_hands_down_its_setting() -> None:
    create_app(Settings(search_work=77))
    assert limits() == Limits(search_work=77)


def test_a_search_beyond_it_is_refused_with_the_bound() -> None:
    example = next(iter(calculations()["part-selection"].examples.values()))
    assert create_app(Settings()).test_client().post("/v1/part-selection", json=example).status_code == 200
    refused = create_app(Settings(search_work=1)).test_client().post("/v1/part-selection", json=example)
    assert (refused.status_code, refused.get_json()["type"]) == (422, "/problems/invalid-request")
    assert "1 is the most" in refused.get_json()["detail"]
