"""The table of materials: what must hold between its columns."""

import numpy as np
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
    assert "from memory" in row.source or "published" in row.source or row.source.startswith(("common practice: ", "derived: "))


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


SERIES = list(table("hot_strength").rows.values())


@pytest.mark.parametrize("row", SERIES, ids=lambda row: row.key)
def test_hot_series_fall_and_stand_in_order(row: Row) -> None:
    temperatures, *strengths = (row.series(column) for column in ("temperatures", "ultimate", "yield", "fatigue"))
    ultimate, tensile_yield, fatigue = strengths
    assert temperatures == sorted(temperatures)
    assert all(len(each) == len(temperatures) and each == sorted(each, reverse=True) for each in strengths)
    assert all(low <= high for low, high in zip(tensile_yield, ultimate, strict=True))
    assert all(low < high for low, high in zip(fatigue, ultimate, strict=True))
    assert row.word("exposure").startswith(row.key.rsplit("_", 1)[-1])


@pytest.mark.parametrize("alloy", [row.key for row in ROWS if "piston" in row.values["uses"]])
def test_a_short_exposure_leaves_no_less_and_a_very_long_one_less(alloy: str) -> None:
    short, long = (table("hot_strength").row(f"{alloy}_{exposure}") for exposure in ("short", "long"))
    for column in ("ultimate", "yield", "fatigue"):
        assert all(least <= most for least, most in zip(long.series(column), short.series(column), strict=True))
    row = table("materials").row(alloy)
    for at, after in zip(row.series("hot_temperatures"), row.series("hot_ultimate"), strict=True):
        if 470.0 < at < 620.0:
            assert np.interp(at, long.series("temperatures"), long.series("ultimate")) > after
