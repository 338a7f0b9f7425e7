"""A batch beside its single request: the fields that both take are one component, and its columns are told by their names."""

from __future__ import annotations

from typing import Any

from borewright.web.document.compact.references import WHOLE, Schema, reference

BATCH = "BatchRequest"
OF_FIELDS = ("type", "properties", "additionalProperties")
COLUMN = "Column"


def shared_fields(schemas: dict[str, Schema]) -> None:
    """A batch's `common` and the single request refer to the fields that both take; the request says what it needs of them.

    >>> bore = {"type": "object", "properties": {"units": {}, "bore": {}}, "additionalProperties": False, "required": ["bore"]}
    >>> members = {"common": {"properties": {"bore": {}}}, "columns": {"properties": {"bore": {"maxItems": 9}}}}
    >>> schemas = {"OneRequest": bore, "OneBatchRequest": {"properties": members}, "Quantities": {"maxItems": 9}, "SignedValue": {}}
    >>> shared_fields(schemas)
    >>> schemas["OneRequest"]["required"], schemas["OneRequest"]["allOf"][0]
    (['bore'], {'$ref': '#/components/schemas/OneFields'})
    >>> schemas["OneBatchRequest"]["properties"]["common"]
    {'$ref': '#/components/schemas/OneFields', 'propertyNames': {'not': {'const': 'units'}}}
    >>> schemas["OneBatchRequest"]["properties"]["columns"]["propertyNames"]
    {'enum': ['bore']}
    """
    quantities = schemas["Quantities"]
    schemas[COLUMN] = _column(quantities)
    for name in [name for name in schemas if name.endswith(BATCH)]:
        kind = name.removesuffix(BATCH)
        request, fields = schemas[f"{kind}Request"], f"{kind}Fields"
        schemas[fields] = {key: request[key] for key in OF_FIELDS}
        # of an allOf of one, some generators take that one alone, without what stands beside it
        more = request.get("allOf") or [{"type": "object", "properties": {"units": reference("Units")}}]
        rest = {key: inner for key, inner in request.items() if key not in OF_FIELDS}
        schemas[f"{kind}Request"] = {**rest, "allOf": [reference(fields), *more]}
        members = schemas[name]["properties"]
        texts = {WHOLE: members["common"][WHOLE]} if WHOLE in members["common"] else {}
        members["common"] = {**reference(fields), **texts, "propertyNames": {"not": {"const": "units"}}}
        members["columns"] = _columns(members["columns"], quantities["maxItems"])


def _column(quantities: Schema) -> Schema:
    """An entry of a column of any kind: one that is wrong fails its row and no other."""
    items = {"anyOf": [{"type": ["string", "boolean", "null"]}, {"type": "number", "format": "double"}, reference("SignedValue")]}
    return {**quantities, "items": items}


def _columns(columns: Schema, most_rows: int) -> Schema:
    """The columns by their names: they are lists of one kind, so a type for each would say nothing that its name does not."""
    fewest: int = min(column.get("maxItems", most_rows) for column in columns["properties"].values())
    limit: dict[str, Any] = {"maxItems": fewest} if fewest < most_rows else {}
    found = {key: inner for key, inner in columns.items() if key not in ("properties", "additionalProperties", "description")}
    return {**found, "propertyNames": {"enum": list(columns["properties"])}, "additionalProperties": {**reference(COLUMN), **limit}}
