"""Reading the tables: TOML files whose every row carries its basis and its source."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Literal, get_args

from borewright.quantities import KINDS, QuantityError, read_quantity

Basis = Literal["common practice", "published", "calibrated", "derived", "caller"]
"""What a figure rests on. "published": its source holds this very value; "calibrated": fitted, and the source says to what;
"derived": it follows from geometry or from other figures of the answer; "caller": the request says so."""

EVERY_BASIS: tuple[Basis, ...] = get_args(Basis)
BASES: tuple[Basis, ...] = tuple(basis for basis in EVERY_BASIS if basis != "caller")


class TableError(ValueError):
    """A table that does not follow the rules; found by the tests, never by a caller."""


@cache
def _read(value: str, kind: str) -> float:
    """A quantity as a table writes it; there are only so many of them."""
    return read_quantity(value, kind).value


@dataclass(frozen=True)
class Row:
    """One row of a table."""

    key: str
    basis: Basis
    source: str
    note: str
    kinds: Mapping[str, str]
    values: Mapping[str, Any]

    def has(self, column: str) -> bool:
        """Whether the row has a value in a column.

        >>> table("compression").row("squish").has("low")
        True
        """
        return column in self.values

    def si(self, column: str) -> float:
        """A quantity of the row in SI.

        >>> round(table("compression").row("squish").si("low"), 6)
        0.000889
        """
        return _read(self.values[column], self.kinds[column])

    def series(self, column: str) -> list[float]:
        """A list of quantities of the row in SI.

        >>> table("compression").row("squish").series("nothing")
        []
        """
        return [_read(value, self.kinds[column]) for value in self.values.get(column, [])]

    def word(self, column: str) -> str:
        """A text of the row.

        >>> table("compression").row("squish").word("applies_to")
        'all'
        """
        return str(self.values[column])


@dataclass(frozen=True)
class Table:
    """One table: a title, the kinds of its columns and its rows."""

    name: str
    title: str
    kinds: Mapping[str, str]
    rows: Mapping[str, Row]

    def row(self, key: str) -> Row:
        """The row of a key; KeyError where there is none.

        >>> table("compression").row("squish").basis
        'common practice'
        """
        return self.rows[key]


def table_names() -> tuple[str, ...]:
    """The names of all tables, sorted.

    >>> "compression" in table_names()
    True
    """
    files = resources.files("borewright.practice") / "rows"
    return tuple(sorted(file.name.removesuffix(".toml") for file in files.iterdir() if file.name.endswith(".toml")))


@cache
def table(name: str) -> Table:
    """A table of the package, read once.

    Raises TableError where it does not follow the rules.

    >>> table("compression").title
    'Compression and squish'
    """
    return read_table(name, (resources.files("borewright.practice") / "rows" / f"{name}.toml").read_text(encoding="utf-8"))


def read_table(name: str, text: str) -> Table:
    """Read a table from its TOML.

    Raises TableError where a row lacks its basis or source, names an unknown kind, or holds a value that is not of its kind.

    >>> text = '''
    ... title = "Gaps"
    ... rows.top = {basis = "common practice", source = "shops"}
    ... '''
    >>> read_table("gaps", text).row("top").source
    'shops'
    """
    content = tomllib.loads(text)
    kinds = content.get("kinds", {})
    rows = {}
    for key, given in content["rows"].items():
        values = dict(given)
        basis, source, note = values.pop("basis", ""), values.pop("source", ""), values.pop("note", "")
        if basis not in BASES or not source:
            raise TableError(f"{name}.{key}: every row needs a basis out of {BASES} and a source")
        for column, value in values.items():
            if column in kinds:
                if kinds[column] not in KINDS:
                    raise TableError(f"{name}: {kinds[column]} is not a kind of quantity")
                for single in value if isinstance(value, list) else [value]:
                    try:
                        read_quantity(single, kinds[column])
                    except QuantityError as error:
                        raise TableError(f"{name}.{key}.{column}: {error}") from error
        rows[key] = Row(key, basis, source, note, kinds, MappingProxyType(values))
    return Table(name, content["title"], MappingProxyType(dict(kinds)), MappingProxyType(rows))
