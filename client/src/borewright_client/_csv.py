"""A CSV file of builds into a CSV file of results: in constant memory, and resumed where it was broken off."""

from __future__ import annotations

import csv
import hashlib
import json
import os
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from borewright_client._errors import WrongSetting
from borewright_client._tables import Part, said

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_HEADED = re.compile(r"(.+?)\s*\[(.+)\]")  # "bore [in]"
_LONGEST_FIELD = 131_072


@dataclass(frozen=True)
class Written:
    """What was written.

    rows : all rows of the file, with those that an earlier run had written
    failed : how many of those of this run were refused; each one's reason is in its column `errors`
    """

    rows: int
    failed: int


def cell(text: str | None, unit: str | None = None) -> Any:
    """A cell as the service takes it: nothing where it is empty, a number, a number with the unit of its column, or a text.

    >>> cell("84.5"), cell("84.5", "mm"), cell("3.4 in", "mm"), cell(" "), cell("4032"), cell("race")
    (84.5, '84.5 mm', '3.4 in', None, 4032, 'race')
    """
    plain = (text or "").strip()
    if not plain:
        return None
    if not _NUMBER.fullmatch(plain):
        return plain
    if unit is not None:
        return f"{plain} {unit}"
    return int(plain) if plain.lstrip("+-").isdigit() else float(plain)


def read_rows(lines: Iterable[str], words: frozenset[str]) -> Iterator[dict[str, Any]]:
    """The rows of a CSV, a field's name in each column's head, with the unit of its bare numbers if any: "bore [in]".

    words : the columns that hold words, in which digits stay a word ("4032")

    >>> list(read_rows(["bore [mm],alloy", "84.3,4032", ","], frozenset(["alloy"])))
    [{'bore': '84.3 mm', 'alloy': '4032'}, {'bore': None, 'alloy': None}]
    """
    reader = _whole(csv.reader(lines))
    heads = [_head(head) for head in next(reader, [])]
    for number, row in enumerate(reader, 2):
        if len(row) > len(heads):
            raise WrongSetting(f"line {number} has {len(row)} cells, and there are {len(heads)} columns")
        texts = [*row, *[""] * (len(heads) - len(row))]
        yield {name: (text.strip() or None) if name in words else cell(text, unit) for (name, unit), text in zip(heads, texts, strict=True)}


def _whole(rows: Iterator[list[str]]) -> Iterator[list[str]]:
    """The rows of a file that is a CSV in UTF-8."""
    try:
        yield from rows
    except UnicodeDecodeError:
        raise WrongSetting("the file is not in UTF-8") from None
    except csv.Error as trouble:
        raise WrongSetting(f"the file is no CSV: {trouble}") from None


def _head(head: str) -> tuple[str, str | None]:
    found = _HEADED.fullmatch(head.strip())
    return (found[1], found[2]) if found else (head.strip(), None)


class Output:
    """The file of results, with a note beside it of how far it has come: after each part both are on the disk.

    job : what is asked; a note of another job is not gone on with
    """

    def __init__(self, path: Path, job: Mapping[str, Any], *, resume: bool) -> None:
        self.path, self.note = path, path.with_name(f"{path.name}.progress")
        self.digest = hashlib.sha256(json.dumps(job, sort_keys=True, default=str).encode()).hexdigest()
        self.rows, self._heads = 0, None
        if resume and self.note.is_file():
            kept = json.loads(self.note.read_text(encoding="utf-8"))
            if kept["digest"] != self.digest:
                raise WrongSetting(f"{self.note} belongs to another job: remove it, or name another file to write")
            self.rows, self._heads = kept["rows"], kept["heads"]
            self._file = path.open("r+", encoding="utf-8", newline="")
            self._file.truncate(kept["bytes"])
            self._file.seek(0, os.SEEK_END)
        else:
            self._file = path.open("w", encoding="utf-8", newline="")
        self._writer = csv.writer(self._file)

    _heads: list[str] | None

    def add(self, part: Part) -> None:
        """Write the rows of the next part."""
        if self._heads is None:
            self._heads = list(part.columns)
            titles = [f"{name} [{unit}]" if (unit := part.units.get(name, "1")) != "1" else name for name in self._heads]
            self._writer.writerow(["row", *titles, "verdict", "errors"])
        columns = [part.columns.get(name) or [None] * part.rows for name in self._heads]
        for index, (verdict, *entries) in enumerate(zip(part.verdicts, *columns, strict=True)):
            row = part.start + index
            self._writer.writerow([row + 1, *entries, verdict, said(part.failures.get(row))])
        self.rows = part.start + part.rows
        self._file.flush()
        os.fsync(self._file.fileno())
        fresh = self.note.with_suffix(".new")
        state = {"digest": self.digest, "rows": self.rows, "bytes": self._file.tell(), "heads": self._heads}
        fresh.write_text(json.dumps(state), encoding="utf-8")
        fresh.replace(self.note)

    def finish(self) -> None:
        """Nothing is left to do: the note goes."""
        self.note.unlink(missing_ok=True)

    def close(self) -> None:
        """Close the file; what is noted can be gone on with."""
        self._file.close()


csv.field_size_limit(_LONGEST_FIELD)
