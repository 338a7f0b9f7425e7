"""Tables of any size: cut into the columns of requests, and put together again from the answers."""

from __future__ import annotations

import importlib
import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence, Set
from contextlib import contextmanager
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from borewright_client._errors import FieldError, MissingExtra, UnexpectedAnswer, Unsendable, WrongSetting
from borewright_client._types import BatchAnswer
from borewright_client._wire import has_a_unit
from borewright_client._words import Verdict

Columns = dict[str, list[Any]]
CHUNK = 20_000
IN_FLIGHT = 2
_WORST_LAST: tuple[Verdict, ...] = ("pass", "unknown", "watch", "fail")


@dataclass(frozen=True)
class Part:
    """The answer to some consecutive rows of a table.

    start : the number of its first row in the table
    verdicts : the worst verdict of each row's checks, None where the row failed
    failures : what is wrong with a row, by its number in the table
    """

    start: int
    rows: int
    columns: Columns
    units: dict[str, str]
    verdicts: list[Verdict | None]
    failures: dict[int, list[FieldError]]
    cautions: list[str]
    assumptions: list[Any]
    request_id: str | None = None


@dataclass(repr=False)
class Table:
    """A whole table of results, its columns as long as the rows that were given; see `Part` for its members.

    request_ids : of the requests, in the order of their rows; each names one in the service's log
    index : of the pandas frame or the Series that was given, which the frame that comes out has too
    """

    rows: int = 0
    columns: Columns = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    verdicts: list[Verdict | None] = field(default_factory=list)
    failures: dict[int, list[FieldError]] = field(default_factory=dict)
    cautions: list[str] = field(default_factory=list)
    assumptions: list[Any] = field(default_factory=list)
    request_ids: list[str] = field(default_factory=list)
    index: Any = None

    def __repr__(self) -> str:
        return f"Table(rows={self.rows}, failures={len(self.failures)}, columns={list(self.columns)})"

    def add(self, part: Part) -> None:
        """Append the answer to the next rows."""
        for name in part.columns:
            self.columns.setdefault(name, [None] * self.rows)
        for name, column in self.columns.items():
            column.extend(part.columns.get(name) or [None] * part.rows)
        self.rows += part.rows
        self.units.update(part.units)
        self.verdicts.extend(part.verdicts)
        self.failures.update(part.failures)
        self.request_ids += [part.request_id] if part.request_id else []
        self.cautions = list(dict.fromkeys([*self.cautions, *part.cautions]))
        self.assumptions = [*self.assumptions, *(one for one in part.assumptions if one not in self.assumptions)]

    def to_pandas(self) -> Any:
        """The columns, the verdicts and what is wrong with a row as a pandas frame, over the index that was given."""
        pandas = _extra("pandas")
        return pandas.DataFrame(self._whole(), index=self.index)

    def to_polars(self) -> Any:
        """The columns, the verdicts and what is wrong with a row as a polars frame."""
        polars = _extra("polars")
        texts = dict.fromkeys(("verdict", "errors"), polars.String)  # where no row has any, too
        return polars.DataFrame(self._whole(), schema_overrides=texts, strict=False)

    def _whole(self) -> Columns:
        return {**self.columns, "verdict": list(self.verdicts), "errors": [said(self.failures.get(row)) for row in range(self.rows)]}


def _extra(name: str, module: str | None = None) -> Any:
    """A package that an extra brings."""
    try:
        return importlib.import_module(module or name)
    except ModuleNotFoundError as missing:
        raise MissingExtra(name, missing) from None


def said(errors: Sequence[FieldError] | None) -> str | None:
    """What is wrong with a row, in one line.

    >>> said([FieldError("#/bore", "this is missing")])
    '#/bore: this is missing'
    """
    return "; ".join(f"{error.pointer}: {error.detail}" for error in errors) if errors else None


def chunks(data: Any, size: int) -> Iterator[Columns]:
    """Equally long columns of at most `size` rows, from a mapping of columns, a pandas or polars frame, or an iterable of rows.

    What is missing in a frame (NaN, NaT, null) or in a row is None.

    >>> list(chunks([{"bore": 84}, {"bore": 85, "stroke": 80}, {"bore": float("nan")}], 2))
    [{'bore': [84, 85], 'stroke': [None, 80]}, {'bore': [None]}]
    >>> list(chunks({"bore": [84, 85, 86]}, 2))
    [{'bore': [84, 85]}, {'bore': [86]}]
    """
    checked_size(size)
    columns = given_columns(data)
    if columns is not None:
        lengths = {name: len(column) for name, column in columns.items()}
        if len(set(lengths.values())) > 1:
            raise WrongSetting(f"the columns are not equally long: {', '.join(f'{name} {rows}' for name, rows in lengths.items())}")
        index_of(data)
        for start in range(0, next(iter(lengths.values()), 0), size):
            yield {name: _entries(column, start, start + size) for name, column in columns.items()}
    elif isinstance(data, Iterable) and not isinstance(data, str | bytes):
        rows = iter(data)
        while taken := list(itertools.islice(rows, size)):
            yield columns_of(taken)
    else:
        raise WrongSetting(f"a table is a mapping of columns, a frame or an iterable of rows, not {type(data).__name__}")


def given_columns(data: Any) -> dict[str, Any] | None:
    """The columns of what is given by column, each of which can be counted and cut; None for what is given by row.

    >>> given_columns({"bore": (84, 85)}), given_columns([{"bore": 84}])
    ({'bore': (84, 85)}, None)
    """
    names: list[Any]
    if type(data).__name__ == "LazyFrame":
        raise WrongSetting("a LazyFrame is not calculated yet: give what its `collect` makes of it")
    if hasattr(data, "to_pydict"):  # Arrow
        data = data.to_pydict()
    if isinstance(data, Mapping):
        names = list(data)
    elif hasattr(data, "columns"):
        names = list(data.columns)
    elif getattr(getattr(data, "dtype", None), "names", None):  # an array of records
        names = list(data.dtype.names)
    else:
        return None
    if len({str(name) for name in names}) < len(names):
        raise WrongSetting(f"a column is there twice: {', '.join(map(str, names))}")
    return {str(name): _column(str(name), data[name]) for name in names}


def index_of(data: Any) -> Any:
    """The index of a pandas frame, or of the Series of a mapping; rows are taken as they stand, so that these must agree.

    >>> index_of({"bore": [84, 85]}) is None
    True
    """
    if hasattr(data, "iloc"):
        return data.index
    if not isinstance(data, Mapping):
        return None
    found = [column.index for column in data.values() if hasattr(column, "iloc")]
    if any(not found[0].equals(other) for other in found):
        raise WrongSetting("the indexes of the Series differ: put them into a frame, or give their values")
    return found[0] if found else None


def _column(name: str, column: Any) -> Any:
    if has_a_unit(column):
        raise WrongSetting(
            f"the column {name} is a {type(column).__name__} with a unit of its own: give its numbers in the units asked for"
        )
    if isinstance(column, str | bytes | Mapping | Set) or not isinstance(column, Iterable) or getattr(column, "ndim", 1) != 1:
        raise WrongSetting(f"the column {name} is no list but {type(column).__name__}: what all rows share goes into `common`")
    return column if hasattr(column, "__len__") and hasattr(column, "__getitem__") else list(column)


def columns_of(given: Sequence[Any]) -> Columns:
    """Rows as columns: what a row lacks is None.

    >>> columns_of([{"bore": 84}, {"stroke": 80}])
    {'bore': [84, None], 'stroke': [None, 80]}
    """
    rows = [_row(row) for row in given]
    names = list(dict.fromkeys(name for row in rows for name in row))
    return {str(name): [_entry(row.get(name)) for row in rows] for name in names}


def _row(row: Any) -> Mapping[str, Any]:
    """A row as a mapping: databases and frames have kinds of their own."""
    if isinstance(row, Mapping):
        return row
    if hasattr(row, "_asdict"):  # a named tuple
        found: Mapping[str, Any] = row._asdict()
        return found
    if hasattr(row, "keys") and hasattr(row, "__getitem__"):
        return {name: row[name] for name in list(row.keys())}
    raise WrongSetting(f"a row is a mapping of fields, not {type(row).__name__}")


def checked_size(rows: int) -> int:
    """The rows of one request.

    >>> checked_size(20_000)
    20000
    """
    if isinstance(rows, bool) or not isinstance(rows, int) or rows < 1:
        raise WrongSetting("a chunk has one row at least")
    return rows


def _entries(column: Any, start: int, end: int) -> list[Any]:
    part = column.iloc[start:end] if hasattr(column, "iloc") else column[start:end]  # by place, whatever the labels are
    for listing in ("to_list", "tolist"):
        if hasattr(part, listing):
            part = getattr(part, listing)()
            break
    return [_entry(entry) for entry in part]


def _entry(entry: Any) -> Any:
    if isinstance(entry, float):
        return None if math.isnan(entry) else entry
    if isinstance(entry, Decimal):
        return None if entry.is_nan() else entry
    if entry is None or isinstance(entry, str | int):
        return entry
    if type(entry).__name__ in ("NAType", "NaTType"):  # what pandas has for nothing
        return None
    # Numbers of NumPy, one at a time, as rows have them.
    return None if getattr(entry, "ndim", None) == 0 and bool(entry != entry) else entry


def checked_in_flight(count: int) -> int:
    """How many requests may be under way at once.

    >>> checked_in_flight(2)
    2
    """
    if isinstance(count, bool) or not isinstance(count, int) or count < 1:
        raise WrongSetting("one request at least is in flight")
    return count


def rows_of(data: Any) -> int | None:
    """How many rows a table has, where that is known before they are drawn.

    >>> rows_of({"bore": [84, 85]}), rows_of(iter([]))
    (2, None)
    """
    column = next(iter(data.values()), ()) if isinstance(data, Mapping) else data
    return len(column) if hasattr(column, "__len__") else None


def counted_from(wrong: Unsendable, start: int) -> Unsendable:
    """What can't be sent of a chunk, told so that its row is found in the table.

    >>> counted_from(Unsendable("#/columns/bore/3: inf is no number"), 2000)
    <Unsendable: #/columns/bore/3: inf is no number (counted from row 2000 of the table)>
    """
    return Unsendable(f"{wrong.detail} (counted from row {start} of the table)") if start else wrong


def length(columns: Columns) -> int:
    """The number of rows.

    >>> length({"bore": [84, 85]})
    2
    """
    return len(next(iter(columns.values()), ()))


def halves(columns: Columns) -> tuple[Columns, Columns]:
    """The rows in two halves, for what the service finds too large.

    >>> halves({"bore": [84, 85, 86]})
    ({'bore': [84]}, {'bore': [85, 86]})
    """
    half = length(columns) // 2
    return {name: column[:half] for name, column in columns.items()}, {name: column[half:] for name, column in columns.items()}


def part(answer: BatchAnswer, start: int, rows: int) -> Part:
    """A batch's answer as the part of a table that begins at row `start`.

    Raises UnexpectedAnswer for one that has not as many rows as were asked for: no row is to be taken for another.
    """
    raw = answer.raw
    try:
        failures = {
            start + failure["row"]: [FieldError(e["pointer"], e["detail"], e.get("code", "")) for e in failure["errors"]]
            for failure in raw["failures"]
        }
        verdicts = _worst(list(raw["checks"].values()), rows)
        for row in failures:
            verdicts[row - start] = None
        found = Part(start, rows, raw["columns"], raw["units"], verdicts, failures, raw["cautions"], raw["assumptions"], answer.request_id)
        if {raw["rows"], *map(len, found.columns.values()), *map(len, raw["checks"].values())} == {rows}:
            return found
    except (LookupError, TypeError, ValueError, AttributeError):
        pass
    raise UnexpectedAnswer(f"this is no answer to a batch of {rows} rows: does another service stand there?", 200, answer.request_id)


def _worst(checks: Sequence[Sequence[Verdict | None]], rows: int) -> list[Verdict | None]:
    if not checks:
        return ["pass"] * rows
    rank = {verdict: place for place, verdict in enumerate(_WORST_LAST)}
    return [_WORST_LAST[max((rank[verdict] for verdict in row if verdict is not None), default=0)] for row in zip(*checks, strict=True)]


@contextmanager
def bar(wanted: bool, title: str, total: int | None) -> Iterator[Callable[[int], None]]:
    """A progress bar that is told of rows as they are done; it wants `rich` (the extra `progress`).

    >>> with bar(False, "rows", 3) as done:
    ...     done(3)
    """
    if not wanted:
        yield lambda rows: None
        return
    rich = _extra("progress", "rich.progress")
    columns = (rich.TextColumn("{task.description}"), rich.BarColumn(), rich.MofNCompleteColumn(), rich.TimeRemainingColumn())
    # Standard output is for results, which may go into a file or a pipe.
    with rich.Progress(*columns, console=_extra("progress", "rich.console").Console(stderr=True)) as progress:
        task = progress.add_task(title, total=total)
        yield lambda rows: progress.update(task, advance=rows)
