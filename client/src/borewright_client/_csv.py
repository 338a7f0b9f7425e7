"""A CSV file of builds into a CSV file of results: in constant memory, and resumed where it was broken off."""

from __future__ import annotations

import codecs
import csv
import hashlib
import itertools
import json
import os
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from borewright_client._errors import WrongSetting
from borewright_client._tables import Part, said

_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_HEADED = re.compile(r"(.+?)\s*\[(.+)\]")  # "bore [in]"
_COMMA_NUMBER = re.compile(r"[+-]?(?:\d+,\d*|,\d+)(?:[eE][+-]?\d+)?")
_PARTED_BY = ",;\t"
DecimalMark = Literal[".", ","]


@dataclass(frozen=True)
class Written:
    """What was written.

    rows : all rows of the file, with those that an earlier run had written
    failed : how many of them were refused; each one's reason is in its column `errors`
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


def read_rows(lines: Iterable[str], words: frozenset[str], decimal: DecimalMark = ".") -> Iterator[dict[str, Any]]:
    """The rows of a CSV, a field's name in each column's head, with the unit of its bare numbers if any: "bore [in]".

    words : the columns that hold words, in which digits stay a word ("4032")

    >>> list(read_rows(["bore [mm],alloy", "84.3,4032", ","], frozenset(["alloy"])))
    [{'bore': '84.3 mm', 'alloy': '4032'}, {'bore': None, 'alloy': None}]
    >>> list(read_rows(["bore;stroke", "84,3;88"], frozenset(), ","))
    [{'bore': 84.3, 'stroke': 88}]
    """
    begin = iter(lines)
    first = next(begin, "")
    reader = csv.reader(itertools.chain([first], begin), delimiter=max(_PARTED_BY, key=first.count))
    heads = [_head(head) for head in next(reader, [])]
    _check_heads([name for name, _ in heads])
    for row in reader:
        if not row:  # an empty line
            continue
        read: dict[str, Any] = {}
        for (name, unit), text in itertools.zip_longest(heads, row, fillvalue=_NO_HEAD):
            text = "" if isinstance(text, tuple) else text.strip()
            if name:
                number = text.replace(",", ".") if decimal == "," and _COMMA_NUMBER.fullmatch(text) else text
                read[name] = (text or None) if name in words else cell(number, unit)
            elif text:
                where = f"line {reader.line_num}"
                raise WrongSetting(f"{where} has {len(row)} cells, and there are {len(heads)} columns: {text[:40]!r} is under no head")
        yield read


_NO_HEAD: Any = ("", None)


def _check_heads(names: list[str]) -> None:
    twice = next((name for place, name in enumerate(names) if name and name in names[:place]), None)
    if twice is not None:
        raise WrongSetting(f"the column {twice!r} is there twice")


class Reading:
    """A file of builds.

    words : the columns that hold words
    """

    def __init__(self, path: Path, encoding: str, decimal: DecimalMark, words: frozenset[str]) -> None:
        if decimal not in (".", ","):
            raise WrongSetting("decimal must be '.' or ','")
        try:
            plain = codecs.lookup(encoding).name
        except (LookupError, TypeError):
            raise WrongSetting(f"there is no encoding {encoding!r}") from None
        self.path, self._words, self._decimal = path, words, decimal
        self._encoding = "utf-8-sig" if plain == "utf-8" else plain

    def known(self) -> dict[str, Any]:
        """What tells this file from another, and from itself as it was before a change."""
        found = self.path.stat()
        how = (self._encoding, self._decimal)
        return {"source": str(self.path.resolve()), "size": found.st_size, "changed": found.st_mtime_ns, "read as": how}

    @contextmanager
    def rows(self) -> Iterator[Iterator[dict[str, Any]]]:
        """The rows, for as long as the file is open."""
        with self.path.open(encoding=self._encoding, newline="") as lines:
            yield self._whole(lines)

    def _whole(self, lines: Iterable[str]) -> Iterator[dict[str, Any]]:
        """The rows of a file that is a CSV in its encoding."""
        try:
            yield from read_rows(lines, self._words, self._decimal)
        except UnicodeError:
            plain = self._encoding.removesuffix("-sig").upper()
            raise WrongSetting(f"the file is not in {plain}: name its encoding, which may be 'latin-1'") from None
        except csv.Error as trouble:
            raise WrongSetting(f"the file is no CSV: {trouble}") from None


def _head(head: str) -> tuple[str, str | None]:
    found = _HEADED.fullmatch(head.strip())
    return (found[1], found[2]) if found else (head.strip(), None)


class Output:
    """The file of results, with a note beside it of how far it has come: after each part both are on the disk.

    job : what is asked; a note of another job is not gone on with
    columns : what is answered, for the heads of a table without a row
    source : what is read meanwhile
    """

    def __init__(self, path: Path, job: Mapping[str, Any], columns: Sequence[str], *, source: Path, resume: bool) -> None:
        if path.exists() and path.samefile(source):
            raise WrongSetting(f"{source} can't be read and written at once: name another file to write")
        self.path, self.note = path, path.with_name(f"{path.name}.progress")
        self.digest = hashlib.sha256(json.dumps(job, sort_keys=True, default=str).encode()).hexdigest()
        self.rows, self.failed, self._columns = 0, 0, columns
        kept = self._kept() if resume else None
        if kept is None:
            self._file = path.open("w", encoding="utf-8", newline="")
        else:
            self.rows, self.failed, self._heads = kept["rows"], kept["failed"], kept["heads"]
            self._file = path.open("r+", encoding="utf-8", newline="")
            self._file.truncate(kept["bytes"])
            self._file.seek(0, os.SEEK_END)
        self._writer = csv.writer(self._file)

    _heads: list[str] | None = None

    def _kept(self) -> dict[str, Any] | None:
        """How far an earlier run had come, where what it had written is still there."""
        if not self.note.is_file():
            return None
        try:
            kept: dict[str, Any] = json.loads(self.note.read_text(encoding="utf-8"))
            mine, written = kept["digest"] == self.digest, kept["bytes"]
        except (ValueError, LookupError, TypeError):
            raise WrongSetting(f"{self.note} tells nothing: remove it") from None
        if not mine:
            trouble = "belongs to another job, or the file that is read has changed: remove it, or name another file to write"
            raise WrongSetting(f"{self.note} {trouble}")
        return kept if self.path.is_file() and self.path.stat().st_size >= written else None

    def add(self, part: Part) -> None:
        """Write the rows of the next part."""
        if self._heads is None:
            self._begin(list(part.columns), part.units)
        columns = [part.columns.get(name) or [None] * part.rows for name in self._heads or ()]
        for index, (verdict, *entries) in enumerate(zip(part.verdicts, *columns, strict=True)):
            row = part.start + index
            self._writer.writerow([row + 1, *entries, verdict, said(part.failures.get(row))])
        self.rows = part.start + part.rows
        self.failed += len(part.failures)
        self._file.flush()
        os.fsync(self._file.fileno())
        state = {"digest": self.digest, "rows": self.rows, "failed": self.failed, "bytes": self._file.tell(), "heads": self._heads}
        self._fresh.write_text(json.dumps(state), encoding="utf-8")
        self._fresh.replace(self.note)

    def _begin(self, names: list[str], units: Mapping[str, str]) -> None:
        self._heads = names
        titles = [f"{name} [{unit}]" if (unit := units.get(name, "1")) != "1" else name for name in names]
        self._writer.writerow(["row", *titles, "verdict", "errors"])

    @property
    def _fresh(self) -> Path:
        return self.note.with_suffix(".new")

    def finish(self) -> None:
        """Nothing is left to do: the note goes."""
        if self._heads is None:
            self._begin(list(self._columns), {})
        for note in (self.note, self._fresh):
            note.unlink(missing_ok=True)

    def close(self) -> None:
        """Close the file; what is noted can be gone on with."""
        self._file.close()
