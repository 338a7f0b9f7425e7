"""From a JSON body to SI readings: every wrong field at once, defaults named as assumptions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, cast

from marshmallow import Schema, ValidationError, fields

from borewright.calculations.base.fields import Assumed, Many, Part, Quantity, QuantityOrPart, Request, RequestPart, request_units
from borewright.calculations.base.mistakes import Code, Said
from borewright.calculations.base.problems import FieldError, ImpossibleBuild, InvalidRequest, pointer
from borewright.quantities import SYSTEMS, Reading, System, read_quantity


@dataclass(frozen=True)
class UsedDefault:
    """A default that was used because the caller left a field out."""

    name: str
    field: fields.Field[Any]
    assumed: Assumed


@dataclass(frozen=True)
class Loaded:
    """A request in SI readings, with what it left out and the units of its answer."""

    data: dict[str, Any]
    defaults: list[UsedDefault]
    system: System


def system_of(body: Any) -> System | None:
    """The system of units a body asks for, or None where it names none that exists.

    >>> system_of({"units": "inch"}), system_of({"units": "furlong"}), system_of([])
    ('inch', None, None)
    """
    named = body.get("units") if isinstance(body, Mapping) else None
    return next((system for system in SYSTEMS if system == named), None)


def load(schema: Request, body: Any, *, partial: Sequence[str] = (), prefix: tuple[str, ...] = ()) -> Loaded:
    """Read a body by its schema.

    partial : dotted names of required fields that may be missing; with any, no default is filled in

    Raises InvalidRequest where the schema says no, ImpossibleBuild where only a range does.

    >>> from borewright.calculations.base.registry import calculations
    >>> schema = calculations()["displacement"].request_schema
    >>> load(schema, {"bore": "100 mm ± 1 mm", "stroke": "85.3 mm", "cylinders": 4}).data["bore"]
    Reading(value=0.1, below=0.001, above=0.001)
    """
    named = system_of(body)
    token = request_units.set(named)
    try:
        if not isinstance(body, Mapping):
            raise InvalidRequest(
                [FieldError(pointer(*prefix), 'the body must be a JSON object, like {"units": "inch", …}', Code.WRONG_TYPE)]
            )
        data = schema.load(body, partial=partial or False)
    except ValidationError as error:
        raise _refusal(error, prefix) from None
    finally:
        request_units.reset(token)
    defaults: list[UsedDefault] = []
    if not partial:
        _fill(schema, data, "", defaults)
    return Loaded(data, defaults, named or "metric")


def _refusal(error: ValidationError, prefix: tuple[str, ...]) -> InvalidRequest | ImpossibleBuild:
    found = list(_walk(error.messages, prefix))
    errors = [FieldError(pointer(*steps), str(said), said.code) for steps, said in found]
    return ImpossibleBuild(errors) if all(said.impossible for _, said in found) else InvalidRequest(errors)


def _walk(messages: Any, steps: tuple[Any, ...]) -> Iterator[tuple[tuple[Any, ...], Said]]:
    if isinstance(messages, Mapping):
        for name, inner in messages.items():
            yield from _walk(inner, steps if name == "_schema" else (*steps, name))
    elif isinstance(messages, list):
        for message in messages:
            yield from _walk(message, steps)
    else:
        yield steps, messages


def _fill(schema: Schema, data: dict[str, Any], path: str, used: list[UsedDefault]) -> None:
    """Fill in the defaults of what was left out, and list them."""
    for name, field, assumed in cast("RequestPart", schema).defaulting:
        if name not in data:
            if assumed is not None:
                data[name] = _read(assumed.value, field.kind) if isinstance(field, Quantity) else assumed.value
                used.append(UsedDefault(path + name, field, assumed))
        elif isinstance(field, Part) or (isinstance(field, QuantityOrPart) and isinstance(data[name], Mapping)):
            _fill(field.schema, data[name], f"{path}{name}.", used)
        elif isinstance(field, Many) and isinstance(field.inner, Part):
            for index, entry in enumerate(data[name]):
                _fill(field.inner.schema, entry, f"{path}{name}[{index}].", used)


@cache
def _read(value: str, kind: str) -> Reading:
    return read_quantity(value, kind)


def readings(data: Any, steps: tuple[Any, ...] = ()) -> Iterator[tuple[tuple[Any, ...], Reading]]:
    """Every reading of a loaded request with its place.

    >>> list(readings({"gasket": {"thickness": Reading(0.001)}, "levels": [Reading(0.1)]}))
    [(('gasket', 'thickness'), Reading(value=0.001, below=0.0, above=0.0)), (('levels', 0), Reading(value=0.1, below=0.0, above=0.0))]
    """
    found: list[tuple[tuple[Any, ...], Reading]] = []
    _gather(data, steps, found)
    return iter(found)


def _gather(data: Any, steps: tuple[Any, ...], found: list[tuple[tuple[Any, ...], Reading]]) -> None:
    if isinstance(data, Reading):
        found.append((steps, data))
    elif isinstance(data, dict | list):
        for name, inner in data.items() if isinstance(data, dict) else enumerate(data):
            if isinstance(inner, Reading):
                found.append(((*steps, name), inner))
            elif isinstance(inner, dict | list):
                _gather(inner, (*steps, name), found)
