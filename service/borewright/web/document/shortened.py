"""Requests that leave out what need not be given: they show which members of an answer come and go."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from borewright.calculations.base.fields import Part, RequestPart


def shortened(schema: RequestPart, request: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    """The request with each of its optional members left out in turn, then with all of them left out.

    Some are refused, as members can replace each other.

    >>> from borewright.calculations.base.registry import calculations
    >>> schema = calculations()["displacement"].request_schema
    >>> list(shortened(schema, {"units": "inch", "bore": "4 in", "stroke": "3 in", "cylinders": 8}))
    []
    """
    optional = [name for name in request if name != "units" and not schema.fields[name].required]
    for name in optional:
        yield {member: value for member, value in request.items() if member != name}
    if len(optional) > 1:
        yield {member: value for member, value in request.items() if member not in optional}
    for name, value in request.items():
        field = schema.fields[name]
        if isinstance(field, Part) and isinstance(field.schema, RequestPart):
            for part in shortened(field.schema, value):
                yield {**request, name: part}
