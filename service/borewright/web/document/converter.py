"""How our fields appear in an OpenAPI 3.1 document: what apispec is told of each field."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import Any

from apispec import APISpec
from apispec.ext.marshmallow import MarshmallowPlugin
from apispec.ext.marshmallow.openapi import OpenAPIConverter

from borewright.calculations.base import answers, fields
from borewright.calculations.base.outcome import VERDICTS
from borewright.practice.tables import EVERY_BASIS
from borewright.quantities import BARE_KINDS, KINDS, MAX_SPELLING, SYSTEMS, from_si, spelling_pattern
from borewright.rules.vocabulary import VOCABULARY
from borewright.web.document.compact.texts import BRIEF

NUMBER: Mapping[str, Any] = MappingProxyType({"type": "number", "format": "double"})
# Words that many members share are a component each, so that generated code has one type for them.
WORDS: Mapping[tuple[str, ...], tuple[str, str]] = MappingProxyType(
    {
        VERDICTS: ("Verdict", "How a check came out. Of several the worst counts: fail, watch, unknown, pass, in this order."),
        EVERY_BASIS: ("Basis", "What kind of knowledge a limit or a default rests on."),
        tuple(VOCABULARY): (
            "CheckName",
            "What was checked; one name is one rule, wherever it is asked. /v1/reference/checks has a sentence on each.\n\n"
            + "\n".join(f"- `{name}`: {entry.sentence}" for name, entry in VOCABULARY.items()),
        ),
        SYSTEMS: ("Units", "What a bare number means, and the units of the answer."),
    }
)
SIZE: Mapping[str, Any] = MappingProxyType({**NUMBER, "minimum": 0})
ANY_FIGURE = "AnyFigure"
UNITLESS = "1"  # first among the units: see _figure_in
ANY_TEXT = (
    "A computed quantity of any kind. Where an input had a tolerance: low and high over its corners, and the uncertainty (k = 2, JCGM 100)."
)
# What every answer carries is described once.
CARRIED: Mapping[str, str] = MappingProxyType(
    {"verdict": "Verdict", "checks": "Checks", "cautions": "Cautions", "assumptions": "Assumptions", "sensitivity": "Sensitivities"}
)


class Converter(OpenAPIConverter):
    """apispec's converter, which also writes a request part's alternatives, and that an answer has every member and no other."""

    def schema2jsonschema(self, schema: Any) -> Any:
        """The JSON Schema of a marshmallow schema."""
        found: dict[str, Any] = super().schema2jsonschema(schema)
        instance = schema() if isinstance(schema, type) else schema
        found["description"] = (type(instance).__doc__ or "").strip().split("\n")[0]
        if isinstance(instance, answers.AnswerPart):
            found["required"] = list(found.get("properties", {}))
            found["additionalProperties"] = False
        if isinstance(instance, answers.Answer):
            self._carry(instance, found["properties"])
        if "units" in found.get("properties", {}) and isinstance(instance, fields.Request):
            found["properties"]["units"] = {"$ref": "#/components/schemas/Units"}
        groups = getattr(instance, "alternatives", ())
        if groups:
            found["allOf"] = [{"oneOf": [_way(found["properties"], names) for names in group]} for group in groups]
        return found

    def _carry(self, instance: answers.Answer, members: dict[str, Any]) -> None:
        for member, component in CARRIED.items():
            if member in members:
                known = self.spec.components.schemas
                if component not in known:
                    known[component] = {**members[member], "description": getattr(instance.fields[member], "text", "")}
                members[member] = {"$ref": f"#/components/schemas/{component}"}


def _way(members: Mapping[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    """One of the sets of members of which exactly one is given: their types again, as generators want them there."""
    typed = {name: {key: value for key, value in members[name].items() if key in ("$ref", "type", "items", "anyOf")} for name in names}
    return {"type": "object", "properties": typed, "required": list(names)}


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
            table = KINDS[kind]
            text = f"A computed {kind.replace('_', ' ')}; low, high and uncertainty as in AnyFigure."
            spec.components.schema(f"{_camel(kind)}Figure", _figure_in(text, dict.fromkeys((table.metric, table.inch))))
        spec.components.schema("Value", _value(signed=False))
        spec.components.schema("SignedValue", _value(signed=True))
        spec.components.schema("Sides", _sides())
        spec.components.schema(
            "Tolerance",
            {
                "description": "How far it may be off, in its own unit: to both sides alike, or each for itself.",
                "oneOf": [dict(SIZE), {"$ref": "#/components/schemas/Sides"}],
            },
        )
        every = dict.fromkeys((UNITLESS, *(unit for table in KINDS.values() for unit in (table.metric, table.inch))))
        spec.components.schema(ANY_FIGURE, _figure(ANY_TEXT, every))
        for options, (name, text) in WORDS.items():
            spec.components.schema(name, {"type": "string", "enum": list(options), "description": text})


def _camel(kind: str) -> str:
    return kind.title().replace("_", "")


def component_name(kind: str, *, signed: bool) -> str:
    """The component that describes a quantity of a request.

    >>> component_name("length", signed=False), component_name("volume_per_length", signed=True)
    ('Length', 'SignedVolumePerLength')
    """
    return f"Signed{_camel(kind)}" if signed else _camel(kind)


def _article(kind: str) -> str:
    spaced = kind.replace("_", " ")
    return f"{'An' if spaced[0] in 'aeiou' else 'A'} {spaced}"


def _quantity(kind: str, signed: bool) -> dict[str, Any]:
    table = KINDS[kind]
    value: dict[str, Any] = dict(NUMBER) if signed else {**NUMBER, "minimum": 0}
    bare = {system: table.bare_means[system] for system in SYSTEMS}
    always = "which stands for itself" if kind in BARE_KINDS else "where the request gives units"
    means = bare["metric"] if bare["metric"] == bare["inch"] else f"metric {bare['metric']}, inch {bare['inch']}"
    unit = {"enum": list(table.units)}  # further spellings are read too: generated code wants one name each
    return {
        "description": f"{_article(kind)}: a text with its unit, an object, or a number {always} ({means}).",
        BRIEF: f"with unit; bare: {means}",
        "oneOf": [
            {"type": "string", "pattern": spelling_pattern(kind, signed=signed), "maxLength": MAX_SPELLING},
            {"allOf": [_reference("SignedValue" if signed else "Value", nullable=False)], "properties": {"unit": unit}},
            value,
        ],
    }


def _value(*, signed: bool) -> dict[str, Any]:
    """A quantity as an object, of any kind."""
    return {
        "description": "A quantity as an object: its value, its unit, and how far it may be off, if that is known.",
        "type": "object",
        "properties": {
            "value": dict(NUMBER) if signed else dict(SIZE),
            "unit": {"type": "string"},
            "tolerance": {"$ref": "#/components/schemas/Tolerance"},
        },
        "required": ["value", "unit"],
        "additionalProperties": False,
    }


def _sides() -> dict[str, Any]:
    return {
        "description": "A tolerance that reaches further to one side than to the other.",
        "type": "object",
        "properties": {"plus": dict(SIZE), "minus": dict(SIZE)},
        "required": ["plus", "minus"],
        "additionalProperties": False,
    }


def _figure(text: str, units: Iterable[str]) -> dict[str, Any]:
    band = {name: dict(NUMBER) for name in ("low", "high", "uncertainty")}
    return {
        "description": text,
        "type": "object",
        "properties": {"value": dict(NUMBER), "unit": {"type": "string", "enum": list(dict.fromkeys(units))}, **band},
        "required": ["value", "unit"],
        "additionalProperties": False,
    }


def _figure_in(text: str, units: Iterable[str]) -> dict[str, Any]:
    """A figure of one kind: the members of any figure, in the units of its kind."""
    names = list(units)
    narrower = {"properties": {"unit": {"type": "string", "enum": names}}}
    whole = {"description": text, "allOf": [_reference(ANY_FIGURE, nullable=False)]}
    # Of an allOf of one, some generators take that one alone, and a length would be of the same class as a mass: so there are two parts.
    # But a unit that is no word is named by its place among the units: there they would find two units of one name.
    if names[0][0].isalpha() or names == [UNITLESS]:
        return {**whole, "allOf": [*whole["allOf"], narrower]}
    return {**whole, **narrower}


def quantity_range(field: fields.Quantity) -> list[str]:
    """The range a quantity has to lie in, in the unit of a metric answer.

    >>> quantity_range(fields.Quantity("length", "1 mm", "2 m", "a size"))
    ['1 mm', '2000 mm']
    """
    unit = KINDS[field.kind].metric
    shown = "" if unit == "1" else f" {unit}"
    return [f"{from_si(value, unit, field.kind):.6g}{shown}" for value in (field.low, field.high)]


def quantity_reference(field: fields.Quantity) -> dict[str, Any]:
    """What refers to the component of a quantity's kind.

    >>> quantity_reference(fields.Quantity("length", "1 mm", "2 m", "a size"))
    {'$ref': '#/components/schemas/Length'}
    """
    return _reference(component_name(field.kind, signed=field.signed), nullable=False)


def typed_words(options: Iterable[str], *, nullable: bool = False) -> dict[str, Any]:
    """The schema of one of some words: a component where many members share them.

    >>> typed_words(VERDICTS), typed_words(["top"], nullable=True)
    ({'$ref': '#/components/schemas/Verdict'}, {'type': ['string', 'null'], 'enum': ['top', None]})
    """
    given = tuple(options)
    if given in WORDS and not nullable:
        return {"$ref": f"#/components/schemas/{WORDS[given][0]}"}
    return {"type": ["string", "null"], "enum": [*given, None]} if nullable else {"type": "string", "enum": list(given)}


def _property(converter: Any, field: Any, *, ret: dict[str, Any], **_: Any) -> dict[str, Any]:
    """What a field of ours adds to its property."""
    found = _typed(field)
    if isinstance(field, fields.QuantityOrPart):
        found = {"anyOf": [found, converter.resolve_nested_schema(field.schema)]}
    text, assumed = getattr(field, "text", None), getattr(field, "assumed", None)
    if text:
        # in words: a default as a member of the schema would make generators believe that it has to be given
        found["description"] = text if assumed is None else f"{text} (default {assumed.value!r})"
    if isinstance(field, fields.Quantity):
        found["x-range"] = quantity_range(field)
    if "$ref" in found or "anyOf" in found:  # what apispec found by itself is in there
        for name in ("type", "enum", "format"):
            ret.pop(name, None)
    return found


def _typed(field: Any) -> dict[str, Any]:
    match field:
        case fields.Quantity():
            return quantity_reference(field)
        case fields.Whole():
            return {"type": "integer", "minimum": field.low, "maximum": field.high}
        case fields.Price():
            return {**NUMBER, "minimum": 0, "maximum": field.HIGHEST}
        case fields.Choice():
            return typed_words(field.options)
        case fields.Text():
            return {"type": "string", "minLength": 1, "maxLength": field.longest, "pattern": field.pattern}
        case fields.Flag():
            return {"type": "boolean"}
        case fields.Many():
            return {"minItems": field.shortest, "maxItems": field.longest}
        case answers.Figure():
            return _reference(f"{_camel(field.kind)}Figure", nullable=field.nullable)
        case answers.AnyFigure():
            return _reference(ANY_FIGURE, nullable=field.nullable)
        case answers.AnyValue():
            return {"anyOf": [_reference(ANY_FIGURE, nullable=False), {"type": "string"}, dict(NUMBER), {"type": "boolean"}]}
        case answers.Plain():
            return {"format": "double"}
        case answers.Word() if field.options:
            return typed_words(field.options, nullable=field.nullable)
    return {}


def _reference(component: str, *, nullable: bool) -> dict[str, Any]:
    reference = {"$ref": f"#/components/schemas/{component}"}
    return {"anyOf": [reference, {"type": "null"}]} if nullable else reference
