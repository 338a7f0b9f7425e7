"""A batch beside its single request: the fields that both take are one component."""

from __future__ import annotations

from borewright.web.document.compact.references import WHOLE, Schema, reference

BATCH = "BatchRequest"
OF_FIELDS = ("type", "properties", "additionalProperties")


def shared_fields(schemas: dict[str, Schema]) -> None:
    """A batch's `common` and the single request refer to the fields that both take; the request says what it needs of them.

    >>> bore = {"type": "object", "properties": {"units": {}, "bore": {}}, "additionalProperties": False, "required": ["bore"]}
    >>> schemas = {"OneRequest": bore, "OneBatchRequest": {"properties": {"common": {"properties": {"bore": {}}}}}}
    >>> shared_fields(schemas)
    >>> schemas["OneRequest"]["required"], schemas["OneRequest"]["allOf"][0]
    (['bore'], {'$ref': '#/components/schemas/OneFields'})
    >>> schemas["OneBatchRequest"]["properties"]["common"]
    {'$ref': '#/components/schemas/OneFields', 'propertyNames': {'not': {'const': 'units'}}}
    """
    for name in [name for name in schemas if name.endswith(BATCH)]:
        kind = name.removesuffix(BATCH)
        request, fields = schemas[f"{kind}Request"], f"{kind}Fields"
        schemas[fields] = {key: request[key] for key in OF_FIELDS}
        # of an allOf of one, some generators take that one alone, without what stands beside it
        more = request.get("allOf") or [{"properties": {"units": reference("Units")}}]
        rest = {key: inner for key, inner in request.items() if key not in OF_FIELDS}
        schemas[f"{kind}Request"] = {**rest, "allOf": [reference(fields), *more]}
        members = schemas[name]["properties"]
        texts = {WHOLE: members["common"][WHOLE]} if WHOLE in members["common"] else {}
        members["common"] = {**reference(fields), **texts, "propertyNames": {"not": {"const": "units"}}}
