"""The methods for tables and CSV files of any size, for asyncio.

Generated from `_batches.py`: `borewright openapi` writes it again, and what is changed here by hand is lost.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from borewright_client._async.flights import AsyncFlights
from borewright_client._batches import batch_name, chunk_of, shared, skip
from borewright_client._csv import DecimalMark, Output, Reading, Written
from borewright_client._operations import ANSWER_COLUMNS, WORD_COLUMNS
from borewright_client._tables import CHUNK, IN_FLIGHT, Part, Table, bar, index_of, rows_of
from borewright_client._types import Options
from borewright_client._words import Units


class AsyncBatches(AsyncFlights):
    """Batches of any size: what one request can't take goes in several."""

    async def table(
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

        >>> await client.table("crank-balance", {"stroke": ["85.3 mm"]})
        Traceback (most recent call last):
        borewright_client._errors.WrongSetting: 'crank-balance' takes no batches: air-correction, ... do
        """
        name = batch_name(name)
        table = Table(columns={column: [] for column in ANSWER_COLUMNS[name]}, index=index_of(data))
        with bar(progress, name, rows_of(data)) as done:

            def take(part: Part) -> None:
                table.add(part)
                done(part.rows)

            await self._each(take, name, self._cut(data, chunk_of(name, chunk)), shared(common, units), in_flight, options)
        return table

    async def csv(
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
                await self._aside(skip, rows, output.rows)
                done(output.rows)

                def take(part: Part) -> None:
                    output.add(part)
                    done(part.rows)

                cut = self._cut(rows, rows_each)
                await self._each(take, name, cut, shared(common, units), in_flight, options, output.rows, files=True)
            output.finish()
        finally:
            output.close()
        return Written(output.rows, output.failed)
