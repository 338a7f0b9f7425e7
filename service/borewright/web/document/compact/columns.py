"""The columns of the batches' requests: a component for each kind of column, so that a generated type says what is in it."""

from __future__ import annotations

from collections import defaultdict
from typing import Any, NamedTuple

from borewright.web.document.compact.references import WHOLE, Schema, bare, camel, key_of, kind_of_name, reference, target, unused

BATCH = "BatchRequest"
COLUMN = "Column"
VAGUE = ("kind", "name")  # steps that mean nothing without what they are of


class _Use(NamedTuple):
    """A column of a batch: whose columns they are, and its dotted name."""

    columns: dict[str, Any]
    owner: str
    name: str

    @property
    def schema(self) -> Schema:
        found: Schema = self.columns[self.name]
        return found


def shared_columns(schemas: dict[str, Schema]) -> None:
    """Make a component of each kind of column; one that takes fewer rows says so beside it.

    >>> lengths = {"type": "array", "items": {"anyOf": [reference("Length"), {"type": "null"}]}, "maxItems": 9}
    >>> few = {"bore": {**lengths, "maxItems": 2}}
    >>> schemas = {f"{name}BatchRequest": {"properties": {"columns": {"properties": columns}}}
    ...            for name, columns in {"One": {"bore": lengths, "stroke": dict(lengths)}, "Two": few}.items()}
    >>> shared_columns(schemas)
    >>> few, schemas["Lengths"] == lengths
    ({'bore': {'$ref': '#/components/schemas/Lengths', 'maxItems': 2}}, True)
    """
    alike: dict[bytes, list[_Use]] = defaultdict(list)
    for request in [name for name in schemas if name.endswith(BATCH)]:
        columns = schemas[request]["properties"]["columns"]["properties"]
        for name, column in columns.items():
            alike[key_of({**bare(column), "maxItems": 0})].append(_Use(columns, kind_of_name(request), name))
    most = max((use.schema["maxItems"] for uses in alike.values() for use in uses), default=0)
    for uses in alike.values():
        if len(uses) == 1:
            uses[0].schema[WHOLE] = "an entry a row, as the single request takes it there; null leaves it out"
            continue
        component = unused(schemas, *_names(uses))
        schemas[component] = {**uses[0].schema, "maxItems": most}
        for use in uses:
            rows = use.schema["maxItems"]
            use.columns[use.name] = {**reference(component), **({"maxItems": rows} if rows < most else {})}


def _names(uses: list[_Use]) -> list[str]:
    """What a kind of column may be called: after the quantities it holds, else as what is named so everywhere."""
    first = uses[0]
    items = first.schema["items"]
    held = target(items.get("anyOf", ({},))[0])
    if held is not None:
        return [_plural(held)]
    if items == {"type": ["boolean", "null"]}:
        return [f"Truth{COLUMN}"]
    steps = [use.name.split(".") for use in uses]
    lasts, parents = {each[-1] for each in steps}, {each[-2] if len(each) > 1 else each[-1] for each in steps}
    plain = lasts.pop() if len(lasts) == 1 else parents.pop() if len(parents) == 1 else steps[0][-1]
    names = [f"{first.owner}{camel(plain)}{COLUMN}"]
    return names if plain in VAGUE else [f"{camel(plain)}{COLUMN}", *names]


def _plural(name: str) -> str:
    return f"{name}es" if name.endswith("s") else f"{name.removesuffix('y')}ies" if name.endswith("y") else f"{name}s"
