"""The client's types: from the schemas of the OpenAPI document to Python's, each object a TypedDict."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping
from keyword import iskeyword
from typing import Any

from borewright.calculations.base.answers import COMMON_FIELDS
from borewright.quantities import KINDS
from borewright.web.client_code.text import WIDTH, WRITTEN, docstring, identifier, imports, quoted
from borewright.web.document.converter import ANY_FIGURE, WORDS, component_name

Schema = Mapping[str, Any]

# Components that the client has by hand, in borewright_client._types.
BY_HAND = {
    **{component_name(kind, signed=signed): "Quantity" for kind in KINDS for signed in (False, True)},
    **{f"{component_name(kind, signed=False)}Figure": "Measured" for kind in KINDS},
    "CheckAnswer": "Check",
    ANY_FIGURE: "Measured",
    "Checks": "list[Check]",
    "Cautions": "list[str]",
    "Assumptions": "list[Assumption]",
    "Sensitivities": "list[Sensitivity]",
    **{name: name for name, _ in WORDS.values()},
    "AssumptionAnswer": "Assumption",
    "SensitivityAnswer": "Sensitivity",
}
SHARED_TEXTS = dict(WORDS.values())
TAKEN = frozenset(("raw", "headers", "request_id", "get", "items", "keys", "values"))
SIMPLE = {"string": "str", "integer": "int", "number": "float", "boolean": "bool", "null": "None"}


def component(schema: Schema) -> str | None:
    """The name of the component a schema points to.

    >>> component({"$ref": "#/components/schemas/GasketPart", "description": "the gasket"})
    'GasketPart'
    """
    return str(schema["$ref"]).rsplit("/", 1)[1] if "$ref" in schema else None


def within(schema: Schema) -> Iterator[Schema]:
    """A schema and what its lists, tables and alternatives hold; components are not entered.

    >>> [sorted(found) for found in within({"items": {"enum": ["top", "second"]}})]
    [['items'], ['enum']]
    """
    yield schema
    for inner in (schema.get("items"), schema.get("additionalProperties"), *schema.get("anyOf", ())):
        if isinstance(inner, Mapping):
            yield from within(inner)


def notes(schema: Schema) -> list[str]:
    """What a type can't say of an object: which of its members exclude each other.

    >>> notes({"allOf": [{"oneOf": [{"required": ["deck_clearance"]}, {"required": ["stack"]}]}]})
    ['Give exactly one of: deck_clearance; stack.']
    """
    groups = [group["oneOf"] for group in schema.get("allOf", ()) if "oneOf" in group]
    return [f"Give exactly one of: {'; '.join(' with '.join(map(identifier, way['required'])) for way in group)}." for group in groups]


def about(schema: Schema) -> str:
    """What the document says of a member.

    >>> about({"description": "pin offset", "type": "string"})
    'pin offset'
    """
    return str(schema.get("description") or SHARED_TEXTS.get(component(schema) or "", ""))


class Types:
    """The TypedDicts of one module: everything that some components need.

    components : the document's schemas
    roots : the components to start from
    prefix : what stands before the module's names outside of it
    """

    anything, mapping, sequence = "object", "Mapping", "Sequence"

    def __init__(self, components: Mapping[str, Schema], roots: Iterable[str], prefix: str) -> None:
        self.components, self.roots, self.prefix = components, tuple(dict.fromkeys(roots)), prefix
        self.order: list[str] = []
        for root in self.roots:
            self._visit(root, ())
        self.words: dict[str, tuple[str, ...]] = {}
        self._named: dict[tuple[str, tuple[str, ...]], str] = {}
        self._name_words()

    def shown(self) -> list[str]:
        """The components that get a TypedDict: a request's own members are a method's arguments instead."""
        return [name for name in self.order if name not in self.roots]

    def needed(self, name: str) -> set[str]:
        """The members of a component that are always there."""
        return set(self.components[name].get("required", ()))

    def _visit(self, name: str, above: tuple[str, ...]) -> None:
        if name in above:
            raise ValueError(f"{name} holds itself: write its type by hand")
        if name in self.order or name in BY_HAND:
            return
        for schema in self._members(name).values():
            for held in within(schema):
                target = component(held)
                if target is not None:
                    self._visit(target, (*above, name))
        self.order.append(name)

    def _members(self, name: str) -> Mapping[str, Schema]:
        members: Mapping[str, Schema] = self.components[name].get("properties", {})
        return members

    def _name_words(self) -> None:
        found: dict[str, dict[tuple[str, ...], str]] = {}
        for name in self.order:
            for member, schema in self._members(name).items():
                for options in filter(None, map(_options, within(schema))):
                    found.setdefault(member, {}).setdefault(options, name)
        for member, owners in found.items():
            plain = identifier(member).title().replace("_", "")
            for options, owner in owners.items():
                # A name that would mean two things is told apart by where it stands.
                clear = len(owners) == 1 and plain not in self.components
                name = plain if clear else f"{owner.removesuffix('Part').removesuffix('Request').removesuffix('Answer')}{plain}"
                if self.words.setdefault(name, options) != options:
                    raise ValueError(f"{name} would name two sets of words: {self.words[name]} and {options}")
                self._named[member, options] = name

    def python(self, schema: Schema, member: str, prefix: str = "") -> str:
        """The Python type of a member.

        >>> Types({}, [], "parts.").python({"type": "array", "items": {"type": "integer"}}, "cylinders")
        'Sequence[int]'
        """
        target = component(schema)
        if target is not None:
            return BY_HAND.get(target, f"{prefix}{target}")
        options = _options(schema)
        if "anyOf" in schema:
            spelled = [self.python(inner, member, prefix) for inner in schema["anyOf"]]
        elif options:
            spelled = [f"{prefix}{self._named[member, options]}"]
            spelled += ["None"] if None in schema["enum"] else []
        else:
            kinds = schema.get("type", [])
            spelled = [self._plain(kind, schema, member, prefix) for kind in ([kinds] if isinstance(kinds, str) else kinds)]
        return " | ".join(dict.fromkeys(spelled)) or self.anything

    def _plain(self, kind: str, schema: Schema, member: str, prefix: str) -> str:
        if kind == "array":
            return f"{self.sequence}[{self.python(schema.get('items', {}), member, prefix)}]"
        if kind == "object":
            values = schema.get("additionalProperties")
            return f"{self.mapping}[str, {self.python(values, member, prefix) if isinstance(values, Mapping) else self.anything}]"
        return SIMPLE[kind]

    def source(self, title: str) -> str:
        """The text of the module."""
        words = "".join(f"{_words(name, options)}\n" for name, options in sorted(self.words.items()))
        classes = "".join(f"\n\n{self._class(name)}\n" for name in self.shown())
        names = "".join(f"    {quoted(name)},\n" for name in sorted([*self.words, *self.shown()]))
        exported = f"__all__ = [\n{names}]\n" if names else "__all__: list[str] = []\n"
        body = exported + (f"\n{words}" if words else "") + classes
        return f"{docstring([title, '', WRITTEN])}\n\n{imports(body)}{body}"

    def _class(self, name: str) -> str:
        members = self._members(name)
        needed = self.needed(name)
        rows = []
        for member, schema in members.items():
            spelled = self.python(schema, member)
            rows.append((member, spelled if member in needed else f"NotRequired[{spelled}]", about(schema)))
        described = [self.components[name].get("description") or f"{name}.", *notes(self.components[name])]
        if all(member.isidentifier() and not iskeyword(member) for member in members):
            lines = "".join(
                f"\n    {member}: {spelled}" + (f"\n{docstring([text], '    ')}" if text else "") for member, spelled, text in rows
            )
            text = described if len(described) == 1 else [described[0], "", *described[1:]]
            return f"class {name}(TypedDict):\n{docstring(text, '    ')}\n{lines}".rstrip()
        comment = "".join(f"# {line}\n" for line in textwrap.wrap(" ".join(described), WIDTH - 2))
        entries = "".join(f"{_remark(text, '        ')}        {quoted(member)}: {spelled},\n" for member, spelled, text in rows)
        return f'{comment}{name} = TypedDict(\n    "{name}",\n    {{\n{entries}    }},\n)'


class AnswerTypes(Types):
    """The classes of the answers: views with attributes of what JSON brings; every answer stands on Answer."""

    anything, mapping, sequence = "Any", "dict", "list"

    def shown(self) -> list[str]:
        """The components that get a class: all."""
        return self.order

    def _class(self, name: str) -> str:
        base = "Answer" if name in self.roots else "Model"
        members = {member: schema for member, schema in self._members(name).items() if base == "Model" or member not in COMMON_FIELDS}
        wrong = [member for member in members if not member.isidentifier() or iskeyword(member) or member in TAKEN]
        if wrong:
            raise ValueError(f"{name}: an attribute can't be named {', '.join(wrong)}")
        lines = ""
        for member, schema in members.items():
            spelled, text = self.python(schema, member), about(schema)
            if member not in self.needed(name) and "None" not in spelled:
                spelled += " | None"
            lines += f"\n    {member}: {spelled}" + (f"\n{docstring([text], '    ')}" if text else "")
        described = self.components[name].get("description") or f"{name}."
        return f"class {name}({base}):\n{docstring([described], '    ')}\n{lines}".rstrip()


def _options(schema: Schema) -> tuple[str, ...]:
    return tuple(option for option in schema.get("enum", ()) if isinstance(option, str))


def _words(name: str, options: tuple[str, ...]) -> str:
    spelled = [quoted(option) for option in options]
    line = f"{name} = Literal[{', '.join(spelled)}]"
    return line if len(line) <= WIDTH else f"{name} = Literal[\n" + "".join(f"    {option},\n" for option in spelled) + "]"


def _remark(text: str, indent: str) -> str:
    return "".join(f"{indent}# {line}\n" for line in textwrap.wrap(text, WIDTH - len(indent) - 2))
