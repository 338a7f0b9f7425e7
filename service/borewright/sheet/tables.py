"""A section's answer as rows and tables, made from its answer schema, so that a new calculation shows up by itself."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from marshmallow import Schema, fields

from borewright.calculations.base.answers import COMMON_FIELDS, Count, Figure, Plain, Rows, Section, Table, Truth, Word
from borewright.sheet.showing import NOTHING, column, label, shown, spoken, title, worst_case

MOST_ROWS = 72  # three rings of every cylinder of the largest engine
MOST_COLUMNS = 8
NULL = re.compile(r"[;,] null\b[^;]*")
DECIMAL = re.compile(r"[−-]?[0-9][0-9.,]*")
SCALARS = (Figure, Word, Count, Truth, Plain)

# what a table leaves out: columns that matter less than the paper they take, and parts that another section shows
CHOSEN: Mapping[tuple[str, str], tuple[str, ...]] = {
    ("compression-target", "plans"): (
        "steps",
        "head_mill",
        "deck_cut",
        "cost",
        "intake_face_cut",
        "compression_ratio",
        "squish",
        "verdict",
    ),
    ("compression-target", "nearest"): ("steps", "head_mill", "deck_cut", "compression_ratio", "off_target", "squish", "verdict"),
    ("compression-target", "cheapest"): ("steps", "head_mill", "deck_cut", "crown_cut", "cost", "hours", "compression_ratio", "verdict"),
    ("compression-target", "single"): ("feasible", "amount", "limit", "reached", "best"),
    ("part-selection", "choices"): ("parts", "steps", "cost", "results"),
    ("part-selection", "nearest"): ("parts", "steps", "cost", "results"),
    ("part-selection", "closest"): ("rule", "parts"),
    ("strength", "parts"): ("name", "load", "stress", "strength", "temperature", "factor_of_safety", "verdict", "reason"),
    ("detonation-margin", "drivers"): ("text", "share", "low_end", "high_end", "source"),
    ("skirt-clearance", "pairing"): ("cylinder", "piston", "clearance", "verdict", "reason"),
}
# a part of an answer that only groups: its columns need no prefix
GROUPS = ("parts", "results")
# what a member is called in one schema alone
OWN_LABELS = {("PinFitAnswer", "value"): "clearance", ("DriverAnswer", "text"): "what is not known"}
OMITTED = {("compression-target", "now"), ("detonation-margin", "trace"), ("strength", "trace")}


@dataclass(frozen=True)
class FigureRow:
    """One result: its label, how it is written, its worst case, what it is."""

    label: str
    shown: str
    spread: str = ""
    meaning: str = ""


@dataclass(frozen=True)
class Grid:
    """A table: its title, the heads of its columns, its rows, and how many rows it leaves out."""

    title: str
    heads: list[str]
    rows: list[list[str]]
    left_out: int = 0


@dataclass
class Shown:
    """A section's results."""

    figures: list[FigureRow] = field(default_factory=list)
    grids: list[Grid] = field(default_factory=list)


def results(name: str, schema: Schema, section: Mapping[str, Any]) -> Shown:
    """The results of a section, without its checks, cautions, assumptions and sensitivity.

    >>> from borewright.calculations.compression.displacement import DisplacementAnswer
    >>> found = results("displacement", DisplacementAnswer(), {"swept_volume": {"value": 30.5, "unit": "in3"}})
    >>> found.figures[0].label, found.figures[0].shown
    ('Swept volume', '30.5 in³')
    """
    found = Shown()
    parts: dict[type[Schema], list[str]] = {}
    for member, answer in schema.fields.items():
        if member in section and isinstance(answer, Section) and section[member] is not None:
            parts.setdefault(type(answer.schema), []).append(member)
    for member, answer in schema.fields.items():
        if member not in section or member in COMMON_FIELDS or (name, member) in OMITTED:
            continue
        _add(found, name, member, answer, section, parts)
    return found


def _add(
    found: Shown, name: str, member: str, answer: fields.Field[Any], section: Mapping[str, Any], parts: Mapping[type[Schema], list[str]]
) -> None:
    value = section[member]
    if isinstance(answer, Section) and value is not None:
        alike = parts[type(answer.schema)]
        if len(alike) > 1:  # several of one shape (the three rings) are one table
            if alike[0] == member:
                names = ", ".join(label(other).lower() for other in alike)
                found.grids.append(_matrix(names[:1].upper() + names[1:], answer.schema, {other: section[other] for other in alike}))
        elif all(isinstance(inner, Section) for inner in answer.schema.fields.values()):
            found.grids.append(_nested(name, member, answer, {inner: part for inner, part in value.items() if part is not None}))
        elif (name, member) in CHOSEN:
            found.grids.append(_rows(name, member, answer.schema, [value]))
        else:
            found.figures.extend(_figures(answer.schema, value, label(member) + ": "))
    elif isinstance(answer, Rows):
        if isinstance(answer.inner, Section):
            if value:
                found.grids.append(_rows(name, member, answer.inner.schema, value))
        elif isinstance(value, list):
            found.figures.append(FigureRow(label(member), ", ".join(map(str, value)) or NOTHING, "", _meaning(answer.text)))
    elif isinstance(answer, Table):
        if value:
            found.grids.append(_table(member, value))
    elif isinstance(answer, SCALARS):
        found.figures.append(_figure(label(member), answer, value))


def _figures(schema: Schema, values: Mapping[str, Any], prefix: str) -> Iterator[FigureRow]:
    for member, answer in schema.fields.items():
        if member in values and isinstance(answer, SCALARS):
            yield _figure(prefix + label(member).lower(), answer, values[member])
        elif isinstance(answer, Section) and values.get(member) is not None:
            yield from _figures(answer.schema, values[member], f"{prefix}{label(member).lower()}: ")


def _figure(name: str, answer: Any, value: Any) -> FigureRow:
    if isinstance(answer, Figure):
        return FigureRow(name, shown(value), worst_case(value), _meaning(answer.text))
    return FigureRow(name, _written(answer, value), "", _meaning(answer.text))


def _meaning(text: str) -> str:
    """What a result is, without what only matters to a program."""
    return NULL.sub("", text).replace("_", " ")


def _written(answer: Any, value: Any) -> str:
    """A scalar as text; a word of ours reads as words, a name of the caller's stays as it is."""
    return spoken(text_of(value)) if getattr(answer, "options", ()) else text_of(value)


def text_of(value: Any) -> str:
    """A word, number, truth or list of the answer as text.

    >>> text_of(True), text_of(None), text_of([1, 2])
    ('yes', '—', '1, 2')
    """
    if value is None:
        return NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g}" if abs(value) >= 1 else f"{value:.3g}"
    if isinstance(value, Mapping):
        return shown(value)
    if isinstance(value, list):
        return ", ".join(text_of(entry) for entry in value) or NOTHING
    return str(value)


@dataclass(frozen=True)
class Column:
    """A column of a table: where its values stand in each entry, and what they are."""

    path: tuple[str, ...]
    answer: Any

    @property
    def head(self) -> str:
        """What stands over it."""
        own = OWN_LABELS.get((type(self.answer.parent).__name__, self.path[-1]))
        steps = [label(step) for step in self.path[:-1] if step not in GROUPS] + [label(own or self.path[-1])]
        return ": ".join([steps[0], *(step.lower() for step in steps[1:])])

    def of(self, entry: Mapping[str, Any]) -> Any:
        """The value of one entry; None where it has none."""
        value: Any = entry
        for step in self.path:
            value = None if value is None else value.get(step)
        return value


def _columns(schema: Schema, chosen: Sequence[str] | None, values: Sequence[Mapping[str, Any]]) -> list[Column]:
    """The columns that hold anything: figures, words, lists of words, and those of the parts inside."""
    found = [column for column in _possible(schema) if any(column.of(entry) not in (None, []) for entry in values)]
    if chosen is not None:
        found = sorted((column for column in found if column.path[0] in chosen), key=lambda column: chosen.index(column.path[0]))
    return found[:MOST_COLUMNS]


def _possible(schema: Schema) -> Iterator[Column]:
    for member, answer in schema.fields.items():
        if member in COMMON_FIELDS:
            continue
        if isinstance(answer, SCALARS) or (isinstance(answer, Rows) and isinstance(answer.inner, SCALARS)):
            yield Column((member,), answer)
        elif isinstance(answer, Section):
            yield from (Column((member, *inner.path), inner.answer) for inner in _possible(answer.schema))


def _cells(columns: Sequence[Column], values: Sequence[Mapping[str, Any]]) -> tuple[list[str], list[list[str]]]:
    heads, cells = [], []
    for each in columns:
        head = each.head
        found = [each.of(entry) for entry in values]
        if isinstance(each.answer, Figure):
            unit, written = column(found)
            heads.append(head + (f" [{unit}]" if unit else ""))
            cells.append(written)
        else:
            heads.append(head)
            cells.append([_written(each.answer, value) for value in found])
    return heads, [[cell[row] for cell in cells] for row in range(len(values))]


def _rows(name: str, member: str, schema: Schema, values: Sequence[Mapping[str, Any]]) -> Grid:
    kept = values[:MOST_ROWS]
    heads, rows = _cells(_columns(schema, CHOSEN.get((name, member)), kept), kept)
    return Grid(title(member), heads, rows, len(values) - len(kept))


def _matrix(names: str, schema: Schema, values: Mapping[str, Mapping[str, Any]]) -> Grid:
    heads, rows = _cells(_columns(schema, None, list(values.values())), list(values.values()))
    return Grid(names, ["", *heads], [[label(member), *row] for member, row in zip(values, rows, strict=True)])


def _nested(name: str, member: str, answer: Section, values: Mapping[str, Mapping[str, Any]]) -> Grid:
    """Parts of several shapes under one another: the union of their columns."""
    chosen = CHOSEN.get((name, member))
    union: dict[tuple[str, ...], Column] = {}
    for part in values:
        inner = answer.schema.fields[part]
        if isinstance(inner, Section):
            union.update({found.path: found for found in _columns(inner.schema, chosen, [values[part]])})
    columns = list(union.values())
    if chosen is not None:
        columns.sort(key=lambda found: chosen.index(found.path[0]))
    heads, rows = _cells(columns[:MOST_COLUMNS], list(values.values()))
    return Grid(title(member), ["", *heads], [[label(part), *row] for part, row in zip(values, rows, strict=True)])


def _table(member: str, values: Mapping[str, Any]) -> Grid:
    kept = list(values.items())[:MOST_ROWS]
    return Grid(title(member), ["", "Value"], [[label(key), text_of(value)] for key, value in kept], len(values) - len(kept))


def at_the_point(shown: str) -> tuple[str, str]:
    """A written quantity in two, so that a column of them stands with its decimal points in line.

    >>> at_the_point("0.0181 in"), at_the_point("3 hp"), at_the_point("—")
    (('0', '.0181 in'), ('3', ' hp'), ('—', ''))
    """
    whole = re.match(r"[^\s.]*", shown)
    end = whole.end() if whole else 0
    return shown[:end], shown[end:]


def is_decimal(cell: str) -> bool:
    """Whether a cell holds a number alone: such a column stands to the right.

    >>> is_decimal("0.0181"), is_decimal("−3"), is_decimal("as wanted")
    (True, True, False)
    """
    return DECIMAL.fullmatch(cell) is not None
