"""How our fields appear in an OpenAPI 3.1 document: what apispec is told of each field."""

from __future__ import annotations

from typing import Any

from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from apispec.ext.marshmallow.openapi import OpenAPIConverter

from borewright.calculations.base import answers, fields
from borewright.quantities import BARE_KINDS, KINDS, SYSTEMS, spelling_pattern


class Converter(OpenAPIConverter):
    """apispec's converter, which also writes a request part's alternatives and leaves answers open."""

    def schema2jsonschema(self, schema: Any) -> Any:
        """The JSON Schema of a marshmallow schema."""
        found: dict[str, Any] = super().schema2jsonschema(schema)
        instance = schema() if isinstance(schema, type) else schema
        found["description"] = (type(instance).__doc__ or "").strip().split("\n")[0]
        if isinstance(instance, answers.AnswerPart):
            found["additionalProperties"] = True
        groups = getattr(instance, "alternatives", ())
        if groups:
            found["allOf"] = [{"oneOf": [{"required": list(names)} for names in group]} for group in groups]
        return found


class Plugin(MarshmallowPlugin):
    """apispec's marshmallow plugin with our converter; components are named as their classes."""

    Converter = Converter

    def __init__(self) -> None:
        super().__init__(schema_name_resolver=lambda schema: (schema if isinstance(schema, type) else type(schema)).__name__)

    def init_spec(self, spec: APISpec) -> None:
        """Teach the converter our fields and register the components of the quantities."""
        super().init_spec(spec)
        if self.converter is not None:
            self.converter.add_attribute_function(_property)
        for kind in KINDS:
            for signed in (False, True):
                spec.components.schema(component_name(kind, signed=signed), _quantity(kind, signed))
            spec.components.schema(f"{_camel(kind)}Figure", _figure(kind))


def _camel(kind: str) -> str:
    return kind.title().replace("_", "")


def component_name(kind: str, *, signed: bool) -> str:
    """The component that describes a quantity of a request.

    >>> component_name("length", signed=False), component_name("volume_per_length", signed=True)
    ('Length', 'SignedVolumePerLength')
    """
    return f"Signed{_camel(kind)}" if signed else _camel(kind)


def _quantity(kind: str, signed: bool) -> dict[str, Any]:
    table = KINDS[kind]
    value: dict[str, Any] = {"type": "number"} if signed else {"type": "number", "minimum": 0}
    bare = {system: table.bare_means[system] for system in SYSTEMS}
    always = "it stands for itself" if kind in BARE_KINDS else "only where the request gives units"
    means = f"{always}: metric {bare['metric']}, inch {bare['inch']}"
    size = {"type": "number", "minimum": 0}
    sides = {
        "type": "object",
        "properties": {"plus": size, "minus": size},
        "required": ["plus", "minus"],
        "additionalProperties": False,
    }
    return {
        "description": f"A {kind.replace('_', ' ')}: a text with its unit, an object, or a bare number ({means}).",
        "oneOf": [
            {"type": "string", "pattern": spelling_pattern(kind, signed=signed), "maxLength": 200},
            {
                "type": "object",
                "properties": {"value": value, "unit": {"enum": [*table.units, *table.also]}, "tolerance": {"oneOf": [size, sides]}},
                "required": ["value", "unit"],
                "additionalProperties": False,
            },
            value,
        ],
    }


def _figure(kind: str) -> dict[str, Any]:
    table = KINDS[kind]
    numbers = {
        "value": "the nominal value",
        "low": "smallest over every corner of the tolerances",
        "high": "largest over every corner of the tolerances",
        "uncertainty": "expanded, k = 2 (JCGM 100), each tolerance a rectangle over its width",
    }
    return {
        "description": f"A computed {kind.replace('_', ' ')}; low, high and uncertainty are there where an input had a tolerance.",
        "type": "object",
        "properties": {
            "value": {"type": "number", "description": numbers["value"]},
            "unit": {"enum": list(dict.fromkeys((table.metric, table.inch))), "description": "the unit of all its numbers"},
            **{name: {"type": "number", "description": text} for name, text in numbers.items() if name != "value"},
        },
        "required": ["value", "unit"],
        "additionalProperties": True,
    }


def _property(converter: Any, field: Any, *, ret: dict[str, Any], **_: Any) -> dict[str, Any]:
    """What a field of ours adds to its property."""
    found = _typed(field)
    if isinstance(field, fields.QuantityOrPart):
        found = {"anyOf": [found, converter.resolve_nested_schema(field.schema)]}
    text = getattr(field, "text", None) or field.metadata.get("text")
    if text:
        found["description"] = text
    assumed = getattr(field, "assumed", None)
    if assumed is not None:
        found["default"] = assumed.value
    return found


def _typed(field: Any) -> dict[str, Any]:
    match field:
        case fields.Quantity():
            return {"$ref": f"#/components/schemas/{component_name(field.kind, signed=field.signed)}"}
        case fields.Whole():
            return {"type": "integer", "minimum": field.low, "maximum": field.high}
        case fields.Price():
            return {"type": "number", "minimum": 0, "maximum": field.HIGHEST}
        case fields.Choice():
            return {"type": "string", "enum": list(field.options)}
        case fields.Text():
            return {"type": "string", "minLength": 1, "maxLength": field.longest, "pattern": field.pattern}
        case fields.Flag():
            return {"type": "boolean"}
        case fields.Many():
            return {"minItems": field.shortest, "maxItems": field.longest}
        case answers.Figure():
            reference = {"$ref": f"#/components/schemas/{_camel(field.kind)}Figure"}
            return {"anyOf": [reference, {"type": "null"}]} if field.nullable else dict(reference)
        case answers.Word() if field.options:
            return {"enum": [*field.options, None] if field.nullable else list(field.options)}
    return {}
