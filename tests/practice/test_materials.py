"""The table of materials: what must hold between its columns."""

import pytest

from borewright.practice.tables import Row, table

ROWS = list(table("materials").rows.values())
USES = {"piston", "ring", "bore", "pin", "rod"}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.key)
def test_every_material_says_what_it_is_and_grows(row: Row) -> None:
    assert row.word("name")
    assert set(row.values["uses"]) <= USES
    assert row.values["uses"]
    assert 5e-6 < row.si("expansion") < 30e-6
    assert row.si("elastic_modulus") > 5e10
    assert 2000 < row.si("density") < 9000
    assert "from memory" in row.source or "published" in row.source


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.key)
def test_strengths_stand_in_order(row: Row) -> None:
    if row.has("yield"):
        assert row.si("yield") <= row.si("ultimate")
    if row.has("fatigue"):
        assert row.si("fatigue") < row.si("ultimate")


@pytest.mark.parametrize("row", [row for row in ROWS if row.has("hot_temperatures")], ids=lambda row: row.key)
def test_heat_never_strengthens(row: Row) -> None:
    temperatures, ultimate, tensile_yield = (row.series(column) for column in ("hot_temperatures", "hot_ultimate", "hot_yield"))
    assert len(temperatures) == len(ultimate) == len(tensile_yield)
    assert temperatures == sorted(temperatures)
    assert ultimate == sorted(ultimate, reverse=True)
    assert tensile_yield == sorted(tensile_yield, reverse=True)
    assert all(low <= high for low, high in zip(tensile_yield, ultimate, strict=True))
    assert (ultimate[0], tensile_yield[0]) == (row.si("ultimate"), row.si("yield"))
    assert row.word("hot_exposure")


@pytest.mark.parametrize("row", [row for row in ROWS if row.has("expansions")], ids=lambda row: row.key)
def test_mean_expansion_rises_with_temperature(row: Row) -> None:
    temperatures, means = row.series("expansion_temperatures"), row.series("expansions")
    assert len(temperatures) == len(means)
    assert temperatures == sorted(temperatures)
    assert means == sorted(means)
    assert means[0] == row.si("expansion")
