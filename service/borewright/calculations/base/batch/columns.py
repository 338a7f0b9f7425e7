"""Reading the columns of a batch: each as a whole, and what is not written as the others are by itself."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from itertools import compress
from types import NoneType
from typing import Any, cast

import numpy as np
import numpy.typing as npt
from marshmallow import ValidationError, fields

from borewright.calculations.base.batch.failures import Failures
from borewright.calculations.base.batch.spelled import Numbered, Spelled, all_left, bare_column, object_column, spelled_column
from borewright.calculations.base.fields import Quantity, Whole, code_of
from borewright.calculations.base.mistakes import Code, Said
from borewright.calculations.base.problems import FieldError, pointer
from borewright.physics.arrays import FloatArray
from borewright.quantities import QuantityError, System, read_quantity

Steps = tuple[str, ...]
Rows = npt.NDArray[np.intp]
NUMBERS = {float, int}
ALONE = 16  # entries of a column that are read sooner one by one
NO_TOLERANCES = "tolerances are calculated by the single calculation, not in a batch: leave this one out"


@dataclass
class Column:
    """One column of the request: numbers in SI with NaN where the row has none, or words.

    codes : a number for each word, None where all are the same or where there are numbers
    """

    field: fields.Field[Any]
    numbers: FloatArray | None
    words: list[Any]
    codes: Rows | None = None

    def kinds(self) -> Rows | None:
        """What decides whether two rows can be computed in one array: a number for each word, or whether there is a number.

        None where all rows can be.
        """
        if self.numbers is None:
            return self.codes
        empty = np.isnan(self.numbers)
        return empty.astype(np.intp) if np.count_nonzero(empty) else None


def read_column(field: fields.Field[Any], given: list[Any], steps: Steps, units: System | None, failures: Failures) -> Column:
    """Read one column; what can't be read becomes a failure of its row.

    units : what a bare number means, or None where the request does not say

    >>> failures = Failures(3)
    >>> bore = Quantity("length", "5 mm", "500 mm", "bore")
    >>> read_column(bore, ["84.3 mm", None, "8 kg"], ("bore",), None, failures).numbers, failures.failed.tolist()
    (array([0.0843,    nan,    nan]), [False, False, True])
    """
    if isinstance(field, Quantity):
        numbers = _quantities(field, given, steps, units, failures)
        low, high = field.low, field.high
        limits = f"this is outside what can be: {field.allowed(units)}"
    elif isinstance(field, Whole) and field.numeric:  # a label stays a word: rows with different ones are computed apart
        numbers = _wholes(field, given, steps, failures)
        low, high = field.low, field.high
        limits = f"this is outside the allowed range {low} to {high}"
    else:
        return _words(field, given, steps, failures)
    failures.add(np.flatnonzero((numbers < low) | (numbers > high)), FieldError(pointer(*steps), limits, Code.OUT_OF_RANGE))
    return Column(field, numbers, [])


def _quantities(field: Quantity, given: list[Any], steps: Steps, units: System | None, failures: Failures) -> FloatArray:
    place = pointer(*steps)
    with np.errstate(over="ignore", invalid="ignore"):  # what is too large is left, and then said
        together = list(_together(field.kind, given, units))
    whole = len(together) == 1 and together[0][0].size == len(given)
    numbers = together[0][1].numbers if whole else np.full(len(given), np.nan)
    alone: list[int] = []
    for rows, found in together:
        if not whole:
            numbers[rows] = found.numbers
        alone += rows[found.left].tolist()
        for alike in found.alike:
            said = _alone(field, given[int(rows[alike[0]])], place, units)
            if isinstance(said, FieldError):
                failures.add(rows[alike], said)
        for toleranced in found.toleranced:
            failures.add(rows[toleranced], FieldError(place, NO_TOLERANCES, Code.TOLERANCE_NOT_TAKEN))
    wrong: dict[int, FieldError] = {}
    known: dict[str, float | FieldError] = {}  # what is left is often a few spellings again and again
    for row in sorted(alone):
        entry = given[row]
        if entry is None:
            continue
        read = known.get(entry) if type(entry) is str else None
        if read is None:
            read = _alone(field, entry, place, units)
            if type(entry) is str:
                known[entry] = read
        if isinstance(read, FieldError):
            wrong[row] = read
        else:
            numbers[row] = read
    failures.each(wrong)
    return numbers


def _together(kind: str, given: list[Any], units: System | None) -> Iterator[tuple[Rows, Spelled]]:
    """Each kind of JSON value in a column, read at once, with the rows that it stands in."""
    if len(given) <= ALONE:
        yield np.arange(len(given)), all_left(given)
        return
    types = {str} if _are_texts(given) else set(map(type, given))
    if types <= {*NUMBERS, NoneType}:
        yield np.arange(len(given)), bare_column(kind, units, given)
        return
    if types == {str, NoneType}:
        yield np.arange(len(given)), spelled_column(kind, [entry or "" for entry in given])
        return
    readers = ((NUMBERS, partial(bare_column, kind, units)), ({str}, partial(spelled_column, kind)), ({dict}, partial(object_column, kind)))
    for of, read in (*readers, (types - {*NUMBERS, str, dict, NoneType}, all_left)):
        if types <= of:
            yield np.arange(len(given)), read(given)
        elif not types.isdisjoint(of):
            chosen = bytes(map(of.__contains__, map(type, given)))
            yield np.flatnonzero(np.frombuffer(chosen, dtype=np.bool_)), read(list(compress(given, chosen)))


def _are_texts(given: list[Any]) -> bool:
    """Whether all entries are texts, found sooner than from the type of each."""
    if type(given[0]) is not str:
        return False
    try:
        "".join(given)
    except TypeError:
        return False
    return True


def _alone(field: Quantity, entry: Any, place: str, units: System | None) -> float | FieldError:
    """One entry as the reader of quantities reads it [SI], or what it says against it."""
    try:
        reading = read_quantity(entry, field.kind, units)
    except QuantityError as error:
        return FieldError(place, str(error), code_of(error))
    return FieldError(place, NO_TOLERANCES, Code.TOLERANCE_NOT_TAKEN) if reading.tolerance else reading.value


def _wholes(field: Whole, given: list[Any], steps: Steps, failures: Failures) -> FloatArray:
    wrong = FieldError(pointer(*steps), f"this must be a whole number from {field.low} to {field.high}", Code.WRONG_TYPE)
    if set(map(type, given)) <= {float, int, NoneType}:
        with suppress(OverflowError):
            numbers = np.asarray(given, dtype=np.float64)
            broken = (numbers != np.floor(numbers)) & ~np.isnan(numbers)
            if not np.isinf(numbers).any():
                failures.add(np.flatnonzero(broken), wrong)
                # beyond the range, how far is all the same
                return np.where(broken, np.nan, np.clip(numbers, field.low - 1, field.high + 1))
    numbers = np.full(len(given), np.nan)
    for row, entry in enumerate(given):
        if type(entry) is int or (isinstance(entry, float) and entry.is_integer()):
            numbers[row] = max(field.low - 1, min(entry, field.high + 1))
        elif entry is not None:
            failures.add(row, wrong)
    return numbers


def _words(field: fields.Field[Any], given: list[Any], steps: Steps, failures: Failures) -> Column:
    """Each different word is read once: else wrong words, all different, would each be a group of rows of its own."""
    plain = set(map(type, given)) <= {str, NoneType}
    spelled = given if plain else list(map(repr, given))
    numbered = Numbered()
    codes = np.fromiter(map(numbered.__getitem__, spelled), np.intp, len(given))
    wrong: dict[int, list[FieldError]] = {}
    different = {word: word for word in numbered} if plain else dict(zip(spelled, given, strict=True))
    for word, entry in different.items():
        if entry is not None:
            try:
                field.deserialize(entry)
            except ValidationError as error:
                wrong[numbered[word]] = [FieldError(pointer(*steps), str(said), cast(Said, said).code) for said in error.messages]
    if wrong:
        order = np.argsort(codes, kind="stable")
        ends = np.cumsum(np.bincount(codes))
        for number, errors in wrong.items():
            failures.add(order[ends[number - 1] if number else 0 : ends[number]], *errors)
    return Column(field, None, given, codes if len(numbered) > 1 else None)
