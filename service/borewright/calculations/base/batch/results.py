"""The columns of a batch's answer, filled group by group."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from types import NoneType
from typing import Any

import numpy as np
import numpy.typing as npt
from marshmallow import Schema, fields

from borewright.calculations.base.answers import COMMON_FIELDS, Count, Figure, Plain, Section, Truth, Word
from borewright.calculations.base.batch.failures import Failures
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.loading import UsedDefault
from borewright.calculations.base.outcome import VERDICTS, WORST_LAST, Outcome
from borewright.calculations.base.problems import FieldError
from borewright.calculations.base.single import shown_choices, shown_default
from borewright.physics.arrays import FloatArray
from borewright.quantities import KINDS, System, significant
from borewright.quantities.rounding import BLOCK
from borewright.rules.cautions import caution_texts
from borewright.rules.judging import without_residue

Members = npt.NDArray[np.intp]
Why = tuple[Members, list[FieldError]]
_WORDS = np.array([*VERDICTS, None], dtype=object)
_WEIGHTS = np.array([WORST_LAST.index(verdict) for verdict in VERDICTS], dtype=np.int8)
_WEIGHED = np.array([*WORST_LAST, None], dtype=object)


class Results:
    """The answer's columns while the groups fill them; `failures` has the errors of each row that failed."""

    def __init__(self, calculation: Calculation, rows: int, system: System, failures: Failures) -> None:
        self.calculation, self.rows, self.system, self.failures = calculation, rows, system, failures
        self.columns: dict[str, Any] = {}
        self.units: dict[str, str] = {}
        self.checks: dict[str, npt.NDArray[np.int8]] = {}  # places in _WORDS
        self.verdicts = np.full(rows, len(WORST_LAST), dtype=np.int8)  # places in _WEIGHED
        self.cautions: dict[str, None] = {}
        self.assumptions: dict[str, Any] = {}

    def place(
        self, outcome: Outcome, defaults: Iterable[UsedDefault], members: Members, why: Callable[[str, Members], Iterable[Why]]
    ) -> None:
        """Enter the results of one group of rows; impossible states become failures.

        why : says of a result and states of the group why it is no number
        """
        wrong = np.zeros(members.size, dtype=np.bool_)
        for impossible in outcome.impossible:
            states = np.broadcast_to(impossible.states, members.shape)
            self.failures.add(members[states], FieldError(impossible.pointer, impossible.detail, impossible.code))
            wrong |= states
        found = list(_flat(self.calculation.answer_schema, outcome.values, ""))
        numbers = {name: self._numbers(name, field, value, members) for name, field, value in found if isinstance(field, Figure | Plain)}
        lost = {name: ~np.isfinite(column) for name, column in numbers.items()}
        for name, field, _ in found:
            if isinstance(field, Figure | Plain) and not field.nullable and np.count_nonzero(lost[name]):
                unsaid = lost[name] & ~wrong
                for lost_states, errors in why(name, np.flatnonzero(unsaid)) if np.count_nonzero(unsaid) else ():
                    self.failures.add(members[lost_states], *errors)
                wrong |= unsaid
        fails = bool(np.count_nonzero(wrong))
        for name, field, value in found:
            if name in numbers:
                nothing = wrong | lost[name]
                shown = np.where(nothing, np.nan, numbers[name]) if fails or np.count_nonzero(nothing) else numbers[name]
                if members.size == self.rows:
                    self.columns[name] = shown
                else:
                    self.columns.setdefault(name, np.full(self.rows, np.nan))[members] = shown
            else:
                column = self.columns.setdefault(name, np.full(self.rows, None, dtype=object))
                given = _plain(field, np.broadcast_to(np.asarray(value), members.shape))
                given[wrong] = None
                column[members] = given
        worst = np.zeros(members.size, dtype=np.int8)
        for check in outcome.checks:
            codes = check.codes()
            np.maximum(worst, _WEIGHTS[codes], out=worst)
            verdicts = self.checks.setdefault(check.name, np.full(self.rows, len(VERDICTS), dtype=np.int8))
            verdicts[members] = np.where(wrong, len(VERDICTS), codes) if fails else codes
        self.verdicts[members] = np.where(wrong, len(WORST_LAST), worst) if fails else worst
        self.cautions.update(dict.fromkeys(outcome.cautions))
        for assumed in (*(shown_default(used, self.system) for used in defaults), *shown_choices(outcome, self.system)):
            self.assumptions.setdefault(assumed["name"], assumed)

    def _numbers(self, name: str, field: fields.Field[Any], value: Any, members: Members) -> FloatArray:
        numbers = np.asarray(value, dtype=np.float64)
        if numbers.shape != members.shape:  # one for all rows, mostly
            shown = self._shown(name, field, np.atleast_1d(numbers))
            return np.full(members.shape, shown[0]) if shown.size == 1 else np.broadcast_to(shown, members.shape)
        shown = np.empty(members.shape)
        for at in range(0, members.size, BLOCK):
            shown[at : at + BLOCK] = self._shown(name, field, numbers[at : at + BLOCK])
        return shown

    def _shown(self, name: str, field: fields.Field[Any], numbers: FloatArray) -> FloatArray:
        """Some numbers of a column in its unit, rounded."""
        if not isinstance(field, Figure):
            return significant(numbers)
        unit = self.units[name] = KINDS[field.kind].answer_unit(self.system)
        scale = KINDS[field.kind].units[unit]
        return significant((without_residue(numbers, field.kind) - scale.offset) / scale.factor)

    def answer(self) -> dict[str, Any]:
        """The whole answer; the columns of numbers stay NumPy arrays, NaN standing for null."""
        columns: dict[str, Any] = {}
        for name, field in _columns_of_answer(self.calculation.answer_schema):  # each is there, with nothing in it where no row has it
            if isinstance(field, Figure):
                self.units.setdefault(name, KINDS[field.kind].answer_unit(self.system))
            if isinstance(field, Figure | Plain):
                columns[name] = self.columns[name] if name in self.columns else np.full(self.rows, np.nan)
            else:
                columns[name] = self.columns[name].tolist() if name in self.columns else [None] * self.rows
        return {
            "rows": self.rows,
            "columns": columns,
            "units": self.units,
            "failures": self.failures.listed(),
            "verdicts": _WEIGHED[self.verdicts].tolist(),
            "checks": {name: _WORDS[verdicts].tolist() for name, verdicts in self.checks.items()},
            "cautions": caution_texts([*self.cautions, *self.calculation.cautions]),
            "assumptions": list(self.assumptions.values()),
        }


@cache
def _columns_of_answer(schema: Schema) -> Sequence[tuple[str, fields.Field[Any]]]:
    return tuple(columns_of_answer(schema))


def _plain(field: fields.Field[Any], given: npt.NDArray[Any]) -> npt.NDArray[np.object_]:
    """Words, counts and truths as JSON has them."""
    made = bool if isinstance(field, Truth) else int if isinstance(field, Count) else str
    plain = np.full(given.shape, None, dtype=object)
    entries = given.tolist()
    plain[:] = entries if set(map(type, entries)) <= {made, NoneType} else [None if one is None else made(one) for one in entries]
    return plain


def _flat(schema: Schema, values: Mapping[str, Any], prefix: str) -> Iterator[tuple[str, fields.Field[Any], Any]]:
    for name, field in schema.fields.items():
        if name not in values or name in COMMON_FIELDS or values[name] is None:
            continue
        if isinstance(field, Section):
            yield from _flat(field.schema, values[name], f"{prefix}{name}.")
        elif isinstance(field, Figure | Plain | Word | Truth | Count):
            yield prefix + name, field, values[name]


def columns_of_answer(schema: Schema, prefix: str = "") -> Iterator[tuple[str, fields.Field[Any]]]:
    """Every figure, word, count or truth of an answer that is a column of a batch's answer, by its dotted name: lists are none.

    >>> from borewright.calculations.base.registry import calculations
    >>> [name for name, _ in columns_of_answer(calculations()["displacement"].answer_schema)]
    ['displacement', 'swept_volume', 'bore_area', 'bore_stroke_ratio']
    """
    for name, field in schema.fields.items():
        if name in COMMON_FIELDS:
            continue
        if isinstance(field, Section):
            yield from columns_of_answer(field.schema, f"{prefix}{name}.")
        elif isinstance(field, Figure | Plain | Word | Truth | Count):
            yield prefix + name, field
