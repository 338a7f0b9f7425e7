"""The document as it is served: what several places say is said once, and no longer than it has to be."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from borewright.web.document.compact.bases import on_bases
from borewright.web.document.compact.builds import merged, untold
from borewright.web.document.compact.columns import shared_columns
from borewright.web.document.compact.fields import shared_fields
from borewright.web.document.compact.inlined import inlined
from borewright.web.document.compact.operations import answer_alone, header_alone, operations
from borewright.web.document.compact.pruned import coming_out, pruned
from borewright.web.document.compact.shared import or_null, ranged, recurring, shared_members, untyped_ways
from borewright.web.document.compact.texts import annotated, told


def compact(document: Mapping[str, Any], *, whole: bool) -> dict[str, Any]:
    """The document with a component for what recurs, and with short texts and an example for each operation.

    whole : with whole texts and every example; its structure is the same

    >>> from borewright.web.document.openapi import outspoken
    >>> short, long = (compact(outspoken(), whole=whole) for whole in (False, True))
    >>> short["components"]["schemas"].keys() == long["components"]["schemas"].keys()
    True
    """
    made: dict[str, Any] = deepcopy(dict(document))
    schemas = made["components"]["schemas"]
    answers = coming_out(made)
    annotated(schemas, answers)
    merged(made)
    shared_fields(schemas)
    shared_columns(schemas)
    untyped_ways(schemas)
    or_null(schemas)
    shared_members(schemas)
    recurring(schemas)
    untold(schemas)
    merged(made)
    made = pruned(made)
    inlined(made, answers)
    recurring(made["components"]["schemas"], texts=True)
    ranged(made["components"]["schemas"])
    made = pruned(made)
    on_bases(made["components"]["schemas"])
    made["paths"] = operations(made["paths"], whole=whole)
    if not whole:
        made["components"]["responses"] = {name: answer_alone(answer) for name, answer in made["components"]["responses"].items()}
        made["components"]["headers"] = {name: header_alone(header) for name, header in made["components"]["headers"].items()}
    made["components"]["schemas"] = {name: told(inner, whole=whole) for name, inner in sorted(made["components"]["schemas"].items())}
    return made
