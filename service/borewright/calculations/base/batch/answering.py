"""Answering many rows at once: columns in, columns out, computed on whole arrays."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt
from marshmallow import Schema, fields

from borewright.calculations.base.batch.columns import NO_TOLERANCES, Column, Steps, read_column
from borewright.calculations.base.batch.failures import Failures
from borewright.calculations.base.batch.results import Results, Why
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import MOST_SUGGESTED, Many, Part, Request
from borewright.calculations.base.loading import load, readings, system_of
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError, InvalidRequest, Refusal, nearest, pointer
from borewright.calculations.base.single import arrays_of, unanswered
from borewright.physics.arrays import Undefined, undefined
from borewright.quantities import SYSTEMS, Reading, System

MOST_CODES = 2**16  # of groups, as many as 16 bits hold
MEMBERS = ("units", "common", "columns")


def columns_of(schema: Schema, path: Steps = ()) -> Iterator[tuple[Steps, fields.Field[Any]]]:
    """Every field of a request that can be a column, with its path: lists can't.

    >>> from borewright.calculations.base.registry import calculations
    >>> [".".join(steps) for steps, _ in columns_of(calculations()["displacement"].request_schema)]
    ['bore', 'stroke', 'cylinders']
    """
    for name, field in schema.fields.items():
        if isinstance(field, Part):
            yield from columns_of(field.schema, (*path, name))
        elif name != "units" and not isinstance(field, Many):
            yield (*path, name), field


def answer_batch(calculation: Calculation, body: Any, *, most_rows: int) -> dict[str, Any]:
    """Answer {"units", "common", "columns"}; a failed row is null in the columns and listed in failures.

    Raises InvalidRequest, or ImpossibleBuild for a range, where the request as a whole can't be used.

    >>> from borewright.calculations.base.registry import calculations
    >>> columns = {"bore": ["84.3 mm", "85.3 mm"], "stroke": ["85.3 mm", "85.3 kg"]}
    >>> found = answer_batch(calculations()["displacement"], {"common": {"cylinders": 4}, "columns": columns}, most_rows=10)
    >>> found["columns"]["displacement"].tolist(), [failure["row"] for failure in found["failures"]]
    ([1904.38193506, nan], [1])
    """
    most = most_rows if calculation.most_rows is None else min(most_rows, calculation.most_rows)
    common, columns, rows, system = _envelope(calculation, body, most)
    failures = Failures(rows)
    read = {steps: read_column(field, given, steps, system_of(body), failures) for steps, (field, given) in columns.items()}
    results = Results(calculation, rows, system, failures)
    for members in _groups(read, rows, failures):
        _answer_group(calculation, common, read, members, results)
    return results.answer()


def _envelope(
    calculation: Calculation, body: Any, most_rows: int
) -> tuple[dict[str, Any], dict[Steps, tuple[Any, list[Any]]], int, System]:
    if not isinstance(body, Mapping):
        raise InvalidRequest(
            [FieldError("#", 'the body must be a JSON object, like {"units": "inch", "common": {…}, "columns": {…}}', Code.WRONG_TYPE)]
        )
    errors = [
        FieldError(pointer(name), f"there is no member {name[:80]!r} here; a batch has units, common and columns", Code.UNKNOWN_FIELD)
        for name in body
        if name not in MEMBERS
    ]
    if "units" in body and system_of(body) is None:
        errors.append(FieldError("#/units", f"this must be one of {', '.join(map(repr, SYSTEMS))}", Code.NOT_AN_OPTION))
    common, columns = body.get("common", {}), body.get("columns")
    if not isinstance(common, Mapping):
        errors.append(FieldError("#/common", "this must be an object with the fields that all rows share", Code.WRONG_TYPE))
    if not isinstance(columns, Mapping) or not columns:
        code = Code.MISSING if "columns" not in body else Code.WRONG_LENGTH if columns == {} else Code.WRONG_TYPE
        errors.append(FieldError("#/columns", 'this must be an object of lists, like {"bore": [3.862, 3.892]}', code))
        raise InvalidRequest(errors)
    found, wrong = _columns_given(calculation.request_schema, columns)
    errors += wrong
    if errors:
        raise InvalidRequest(errors)
    lengths = {len(given) for _, given in found.values()}
    if len(lengths) > 1:
        sizes = ", ".join(f"{'.'.join(steps)} {len(given)}" for steps, (_, given) in found.items())
        raise InvalidRequest([FieldError("#/columns", f"all columns must be equally long: {sizes}", Code.UNEQUAL_COLUMNS)])
    rows = lengths.pop()
    if rows > most_rows:
        raise InvalidRequest(
            [
                FieldError(
                    "#/columns", f"{rows} rows are too many for one request: send at most {most_rows} and split the rest", Code.WRONG_LENGTH
                )
            ]
        )
    return dict(common), found, rows, _common_checked(calculation.request_schema, body, common, found)


@cache
def _by_name(schema: Schema) -> Mapping[str, tuple[Steps, fields.Field[Any]]]:
    return {".".join(steps): (steps, field) for steps, field in columns_of(schema)}


def _columns_given(schema: Schema, columns: Mapping[str, Any]) -> tuple[dict[Steps, tuple[Any, list[Any]]], list[FieldError]]:
    """The columns by their paths, each with its field, and what is wrong with the others."""
    errors: list[FieldError] = []
    fields_by_name = _by_name(schema)
    for name in [name for name in columns if name not in fields_by_name][:MOST_SUGGESTED]:
        close = nearest(name, fields_by_name)
        hint = f"did you mean {close!r}?" if close else f"the columns are {', '.join(fields_by_name)}"
        errors.append(FieldError(pointer("columns", name), f"there is no column {name[:80]!r} here; {hint}", Code.UNKNOWN_FIELD))
    found: dict[Steps, tuple[Any, list[Any]]] = {}
    for name, given in columns.items():
        if name not in fields_by_name:
            continue
        if not isinstance(given, list) or not given:
            code = Code.WRONG_LENGTH if given == [] else Code.WRONG_TYPE
            errors.append(FieldError(pointer("columns", name), "a column must be a list with one entry a row", code))
        else:
            steps, field = fields_by_name[name]
            found[steps] = (field, given)
    return found, errors


def _common_checked(schema: Request, body: Mapping[str, Any], common: Mapping[str, Any], found: Mapping[Steps, Any]) -> System:
    """Check what all rows share, beside the columns found; the system of units is what comes of it."""
    if "units" in common:
        raise InvalidRequest(
            [FieldError("#/common/units", "units belongs beside common, not inside it: move it there", Code.UNKNOWN_FIELD)]
        )
    # columns fill what the top of common lacks; an object in it is whole, but for what columns put inside
    partial = [*schema.fields, *(".".join(steps[:depth]) for steps in found for depth in range(2, len(steps) + 1))]
    units = {"units": body["units"]} if "units" in body else {}
    loaded = load(schema, {**common, **units}, partial=partial, prefix=("common",))
    doubled = [steps for steps in found if _holds(common, steps)]
    if doubled:
        raise InvalidRequest(
            [FieldError(pointer("common", *steps), "this is given as a column too: give it once", Code.GIVEN_TWICE) for steps in doubled]
        )
    toleranced = [steps for steps, reading in readings(loaded.data) if reading.tolerance]
    if toleranced:
        raise InvalidRequest([FieldError(pointer("common", *steps), NO_TOLERANCES, Code.TOLERANCE_NOT_TAKEN) for steps in toleranced])
    return loaded.system


def _groups(read: Mapping[Steps, Column], rows: int, failures: Failures) -> Iterator[npt.NDArray[np.intp]]:
    """The rows that can be computed together: the same words, the same fields present; failed rows are left out."""
    members = np.flatnonzero(~failures.failed)
    split = [kinds for column in read.values() if (kinds := column.kinds()) is not None]
    if not split or not members.size:
        yield members
        return
    codes, different = np.zeros(members.size, dtype=np.intp), 1
    for kinds in split:
        several = int(kinds.max()) + 1
        if different * several > MOST_CODES:
            codes = np.unique(codes, return_inverse=True)[1]
            different = int(codes.max()) + 1
        codes, different = codes * several + kinds[members], different * several
    small = codes.astype(np.uint16) if different <= MOST_CODES else codes  # these are sorted by their digits, without comparing
    order = np.argsort(small, kind="stable")
    parts = np.split(members[order], np.flatnonzero(np.diff(codes[order])) + 1)
    yield from sorted(parts, key=lambda part: int(part[0]))


def _answer_group(
    calculation: Calculation,
    common: Mapping[str, Any],
    read: Mapping[Steps, Column],
    members: npt.NDArray[np.intp],
    results: Results,
) -> None:
    if not members.size:
        return
    first = int(members[0])
    body: dict[str, Any] = _copied(common)
    arrays: dict[tuple[Any, ...], Any] = {}
    for steps, column in read.items():
        if column.numbers is not None:
            if np.isnan(column.numbers[first]):
                continue
            arrays[steps] = column.numbers if members.size == column.numbers.size else column.numbers[members]
            _place(body, steps, Reading(float(column.numbers[first])))
        elif column.words[first] is not None:
            _place(body, steps, column.words[first])
    try:
        loaded = load(calculation.request_schema, {**body, "units": results.system})
    except Refusal as refusal:
        results.failures.add(members, *refusal.errors)
        return
    inputs = arrays_of(calculation.request_schema, loaded.data, arrays)
    with np.errstate(all="ignore"), undefined() as told:
        outcome = calculation.compute(inputs)
    results.place(outcome, loaded.defaults, members, lambda name, states: _said(name, told, inputs, states))


def _said(name: str, told: list[Undefined], inputs: Mapping[str, Any], states: npt.NDArray[np.intp]) -> Iterator[Why]:
    """Why a result is no number, for all states of which the same is said."""
    kinds = np.zeros(states.size, dtype=np.intp)
    for one in told:
        held = one.states()
        kinds = np.unique(kinds * 2 + (held[states] if held.size > 1 else held), return_inverse=True)[1]
    for kind in np.unique(kinds):
        chosen = states[kinds == kind]
        yield chosen, unanswered(name, told, inputs, int(chosen[0]))


def _holds(tree: Any, steps: Steps) -> bool:
    for step in steps:
        if not isinstance(tree, Mapping) or step not in tree:
            return False
        tree = tree[step]
    return True


def _copied(tree: Mapping[str, Any]) -> dict[str, Any]:
    return {name: _copied(inner) if isinstance(inner, Mapping) else inner for name, inner in tree.items()}


def _place(body: dict[str, Any], steps: Steps, value: Any) -> None:
    for step in steps[:-1]:
        body = body.setdefault(step, {})
    body[steps[-1]] = value
