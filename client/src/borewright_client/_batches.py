"""The methods for tables and CSV files of any size."""

import itertools
from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from borewright_client._csv import DecimalMark, Output, Reading, Written
from borewright_client._errors import WrongSetting
from borewright_client._flights import Flights
from borewright_client._operations import ANSWER_COLUMNS, MOST_ROWS, WORD_COLUMNS
from borewright_client._tables import CHUNK, IN_FLIGHT, Part, Table, bar, checked_size, index_of, rows_of
from borewright_client._types import Options
from borewright_client._words import Units


class Batches(Flights):
    """Batches of any size: what one request can't take goes in several."""

    def table(
        self,
        name: str,
        data: Any,
        *,
        common: Mapping[str, Any] | None = None,
        units: Units | None = None,
        chunk: int = CHUNK,
        in_flight: int = IN_FLIGHT,
        progress: bool = False,
        options: Options | None = None,
    ) -> Table:
        """Calculate every row of a table; a row that is refused is None in every column and has its errors in `failures`.

        name : the calculation, as in its path or as its method: "displacement", "ring-gap", "ring_gap"
        data : a mapping of columns (lists, NumPy arrays, Series), a pandas or polars frame, or an iterable of rows as mappings; the
            columns are named as the fields, dotted where they are inside ("gasket.thickness"); what is missing or NaN is left out; rows
            count by their place, and the table keeps the index of a pandas frame
        common : the fields that all rows share
        units : what a bare number means, and the units of the answer
        chunk : rows of one request; never more than the operation takes, and halved where its body would be too large
        in_flight : requests that are under way at once
        progress : show a bar; wants the extra `progress`
        options : of each request

        >>> client.table("crank-balance", {"stroke": ["85.3 mm"]})
        Traceback (most recent call last):
        borewright_client._errors.WrongSetting: 'crank-balance' takes no batches: air-correction, ... do
        """
        name = batch_name(name)
        table = Table(columns={column: [] for column in ANSWER_COLUMNS[name]}, index=index_of(data))
        with bar(progress, name, rows_of(data)) as done:

            def take(part: Part) -> None:
                table.add(part)
                done(part.rows)

            self._each(take, name, self._cut(data, chunk_of(name, chunk)), shared(common, units), in_flight, options)
        return table

    def csv(
        self,
        name: str,
        source: str | Path,
        target: str | Path,
        *,
        common: Mapping[str, Any] | None = None,
        units: Units | None = None,
        encoding: str = "utf-8",
        decimal: DecimalMark = ".",
        chunk: int = CHUNK,
        in_flight: int = IN_FLIGHT,
        progress: bool = False,
        resume: bool = True,
        options: Options | None = None,
    ) -> Written:
        """Calculate every row of a CSV file into another, in memory that does not grow with it.

        A run that was broken off goes on where it stood: beside the target lies `<target>.progress` until it is done.

        source : a CSV whose heads are the names of fields, with the unit of their bare numbers if any: "bore [in]"; its cells are parted
            by commas, semicolons or tabs, as the heads show; empty lines are passed over
        target : a row for each row, with its number, the results, the worst verdict of its checks, and what is wrong with it
        encoding, decimal : of the source: "latin-1" and "," for what many spreadsheets save
        resume : False begins anew; the rest as in `table`
        """
        name, reading = batch_name(name), Reading(Path(source), encoding, decimal, WORD_COLUMNS[batch_name(name)])
        rows_each, job = chunk_of(name, chunk), {"name": name, "common": common, "units": units, **reading.known()}
        output = Output(Path(target), job, ANSWER_COLUMNS[name], source=reading.path, resume=resume)
        try:
            with reading.rows() as rows, bar(progress, name, None) as done:
                self._aside(skip, rows, output.rows)
                done(output.rows)

                def take(part: Part) -> None:
                    output.add(part)
                    done(part.rows)

                cut = self._cut(rows, rows_each)
                self._each(take, name, cut, shared(common, units), in_flight, options, output.rows, files=True)
            output.finish()
        finally:
            output.close()
        return Written(output.rows, output.failed)


def batch_name(name: str) -> str:
    """The name of a calculation that takes batches, as in its path.

    >>> batch_name("ring_gap")
    'ring-gap'
    """
    path = str(name).replace("_", "-")
    if path not in MOST_ROWS:
        near = get_close_matches(path, MOST_ROWS, n=1)
        meant = f"is {near[0]!r} meant? " if near else ""
        raise WrongSetting(f"{name!r} takes no batches: {meant}{', '.join(MOST_ROWS)} do")
    return path


def chunk_of(name: str, chunk: int) -> int:
    """The rows of one request: never more than the operation takes.

    >>> chunk_of("detonation-margin", 20_000)
    2000
    """
    return min(checked_size(chunk), MOST_ROWS[name])


def skip(rows: Iterator[object], count: int) -> None:
    """Pass over rows that are written already.

    >>> rows = iter([84, 85, 86])
    >>> skip(rows, 2)
    >>> next(rows)
    86
    """
    next(itertools.islice(rows, count, count), None)


def shared(common: Mapping[str, Any] | None, units: Units | None) -> dict[str, Any]:
    """What every request of a table says beside its columns.

    >>> shared({"cylinders": 4}, "metric")
    {'common': {'cylinders': 4}, 'units': 'metric'}
    """
    return {"common": common, "units": units}
