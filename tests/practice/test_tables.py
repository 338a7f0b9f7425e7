"""The tables of common practice: every row says where it comes from, and one that does not is no table."""

import pytest

from borewright.practice.tables import BASES, TableError, read_table, table, table_names
from borewright.quantities import KINDS

GOOD = """
title = "Gaps"
[kinds]
gap = "length"
steps = "length"
[rows.top]
gap = "0.4 mm"
steps = ["0.1 mm", "0.2 mm"]
word = "as spoken"
basis = "common practice"
source = "shops"
"""


@pytest.mark.parametrize("name", table_names())
def test_every_row_has_its_basis_and_source_and_every_column_its_kind(name: str) -> None:
    found = table(name)
    assert found.title
    assert found.rows
    for row in found.rows.values():
        assert row.basis in BASES
        assert row.source
        if row.basis == "common practice":
            assert "common practice" in row.source.lower() or "from memory" in row.source.lower(), row.key
    assert set(found.kinds.values()) <= set(KINDS)
    assert set(found.kinds) <= {column for row in found.rows.values() for column in row.values}, "a kind that no row uses"


def test_a_row_is_read_into_si() -> None:
    row = read_table("gaps", GOOD).row("top")
    assert row.si("gap") == pytest.approx(0.4e-3)
    assert row.series("steps") == pytest.approx([0.1e-3, 0.2e-3])
    assert row.word("word") == "as spoken"
    assert row.has("gap")
    assert not row.has("depth")
    assert (row.basis, row.source, row.note) == ("common practice", "shops", "")


@pytest.mark.parametrize(
    ("was", "becomes", "why"),
    [
        ('basis = "common practice"', 'basis = "hearsay"', "gaps.top: every row needs a basis"),
        ('source = "shops"', 'source = ""', "gaps.top: every row needs a basis"),
        ('gap = "length"', 'gap = "width"', "width is not a kind"),
        ('"0.4 mm"', '"0.4 kg"', "gaps.top.gap: .* mass"),
        ('"0.2 mm"', '"0.2"', "gaps.top.steps: .* no unit"),
    ],
)
def test_what_is_no_table_is_refused(was: str, becomes: str, why: str) -> None:
    with pytest.raises(TableError, match=why):
        read_table("gaps", GOOD.replace(was, becomes))
