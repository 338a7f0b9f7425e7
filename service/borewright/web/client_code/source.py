"""The generated modules of the client: a method for every calculation, and the types of what goes in and comes out."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from borewright.calculations.base.batch import columns_of
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.quantities import KINDS
from borewright.quantities.units import Unit
from borewright.web.client_code.examples import batch_example_lines, single_example
from borewright.web.client_code.schema_types import AnswerTypes, Types, about, component, notes
from borewright.web.client_code.text import WIDTH, WRITTEN, docstring, identifier, imports, quoted
from borewright.web.document.batches import rows_taken
from borewright.web.document.converter import WORDS
from borewright.web.document.openapi import MOST_ROWS

QUOTE = '"'
Example = tuple[Mapping[str, Any], Mapping[str, Any]]


def client_source(
    document: Mapping[str, Any],
    examples: Mapping[str, Example],
    batches: Mapping[str, Example],
) -> dict[str, str]:
    """The text of each generated module of the client.

    document : the OpenAPI document
    examples : of each calculation, the request that its docstring shows, with its answer
    batches : the same of each calculation with a batch route

    >>> from borewright.web.document.published_files import generated
    >>> from pathlib import Path
    >>> "class Operations(Calls):" in generated(Path())["client/src/borewright_client/_operations.py"]
    True
    """
    components = document["components"]["schemas"]
    every = calculations()
    parts = Types(components, [_request(document, calculation) for calculation in every.values()], "parts.")
    answers = AnswerTypes(components, [_answer(document, calculation) for calculation in every.values()], "answers.")
    methods = []
    for name, calculation in every.items():
        methods.append(_method(calculation, document, parts, answers, examples[name]))
        if calculation.batch:
            methods.append(_batch_method(calculation, batches[name]))
    about_all = docstring(["The calculations as methods; arguments left at None are not sent."], "    ")
    head_rows = _columns_of_batches(document)
    body = f"{head_rows}\n\nclass Operations(Calls):\n{about_all}\n\n" + "\n\n".join(methods) + "\n"
    head = docstring(["A keyword-only method for each calculation of the service.", "", WRITTEN])
    return {
        "_operations.py": f"{head}\n\n{imports(body)}{body}",
        "answers.py": answers.source("The shapes of the answers, named as in the OpenAPI document."),
        "sections.py": _sections(document),
        "_words.py": _words(),
        "_units.py": _units(),
        "parts.py": parts.source("What goes into requests: the shapes of objects, named as in the OpenAPI document, and the words."),
    }


def _operation(document: Mapping[str, Any], calculation: Calculation) -> Mapping[str, Any]:
    operation: Mapping[str, Any] = document["paths"][f"/v1/{calculation.name}"]["post"]
    return operation


def _request(document: Mapping[str, Any], calculation: Calculation) -> str:
    return component(_operation(document, calculation)["requestBody"]["content"]["application/json"]["schema"]) or ""


def _answer(document: Mapping[str, Any], calculation: Calculation) -> str:
    return component(_operation(document, calculation)["responses"]["200"]["content"]["application/json"]["schema"]) or ""


def _method(calculation: Calculation, document: Mapping[str, Any], parts: Types, answers: Types, example: Example) -> str:
    name = identifier(calculation.name)
    request = parts.components[_request(document, calculation)]
    members = _ordered(request)
    arguments = []
    for member, schema in members.items():
        spelled = parts.python(schema, member, parts.prefix)
        arguments.append(f"{identifier(member)}: {spelled}" + ("" if member in request["required"] else " | None = None"))
    text = [
        f"{calculation.title}: asks /v1/{calculation.name}.",
        "",
        calculation.text,
        "",
        *(f"{identifier(member)} : {about(schema)}" for member, schema in members.items()),
        "options : for this call alone",
        *_set_apart(notes(request)),
        "",
        *single_example(name, *example, calculation.headline),
    ]
    arguments.append("options: Options | None = None")
    answer = f"{answers.prefix}{_answer(document, calculation)}"
    body = "".join(f'                "{member}": {identifier(member)},\n' for member in members)
    return (
        f"    def {name}(\n        self,\n        *,\n"
        + "".join(f"        {argument},\n" for argument in arguments)
        + f"    ) -> {answer}:\n{docstring(text, '        ')}\n"
        + f"        return self._calculate(\n            {answer},\n"
        + f'            "/v1/{calculation.name}",\n            {{\n{body}            }},\n            options,\n        )'
    )


def _batch_method(calculation: Calculation, example: Example) -> str:
    name = f"{identifier(calculation.name)}_batch"
    columns = ", ".join(".".join(steps) for steps, _ in columns_of(calculation.request_schema))
    text = [
        f"{calculation.title}, many rows: asks /v1/{calculation.name}/batch.",
        "",
        "A row that fails is None in every column and listed in `failures`; it fails no other.",
        "",
        f"columns : equally long lists by the name of the field, None where a row has none; they can be {columns}",
        "common : the fields that all rows share, as in the single request; no tolerances",
        "units : what a bare number means, and the units of the answer",
        "options : for this call alone",
        "",
        *batch_example_lines(name, *example, calculation.headline),
    ]
    return (
        f"    def {name}(\n        self,\n        *,\n        columns: Mapping[str, Sequence[object]],\n"
        "        common: Mapping[str, object] | None = None,\n        units: Units | None = None,\n"
        "        options: Options | None = None,\n"
        f"    ) -> BatchAnswer:\n{docstring(text, '        ')}\n"
        f'        return self._batch("{calculation.name}", {{"columns": columns, "common": common, "units": units}}, options)'
    )


def _columns_of_batches(document: Mapping[str, Any]) -> str:
    """How many rows a request of each batch takes, which of its columns hold words, and which columns are answered."""
    rows, words, answered = "", "", ""
    for name, calculation in calculations().items():
        if calculation.batch:
            sent = document["paths"][f"/v1/{name}/batch"]["post"]["requestBody"]["content"]["application/json"]["schema"]
            columns = document["components"]["schemas"][component(sent)]["properties"]["columns"]["properties"]
            rows += f"    {quoted(name)}: {rows_taken(calculation, MOST_ROWS)},\n"
            of_words = [column for column, schema in columns.items() if "string" in schema.get("items", {}).get("type", ())]
            words += f"    {quoted(name)}: {_frozen(of_words)},\n"
            answered += (
                f"    {quoted(name)}: (\n" + "".join(f"        {quoted(column)},\n" for column in _answered(document, name)) + "    ),\n"
            )
    return (
        f"# Most rows of one request, as the service comes; an operator can set fewer.\nMOST_ROWS: dict[str, int] = {{\n{rows}}}\n"
        f"# The columns that hold words, in which digits stay a word.\nWORD_COLUMNS: dict[str, frozenset[str]] = {{\n{words}}}\n"
        f"# The columns of the answers.\nANSWER_COLUMNS: dict[str, tuple[str, ...]] = {{\n{answered}}}\n"
    )


def _answered(document: Mapping[str, Any], name: str) -> list[str]:
    """The columns of a batch's answer."""
    answer = document["paths"][f"/v1/{name}/batch"]["post"]["responses"]["200"]["content"]["application/json"]["schema"]
    components = document["components"]["schemas"]
    columns = components[component(answer)]["properties"]["columns"]
    return list(components[component(columns)]["properties"])


def _frozen(names: list[str]) -> str:
    flat = f"frozenset(({', '.join(map(quoted, names))}{',' * (len(names) == 1)}))" if names else "frozenset()"
    if len(flat) <= WIDTH - 40:
        return flat
    return "frozenset(\n        (\n" + "".join(f"            {quoted(name)},\n" for name in names) + "        )\n    )"


def _ordered(request: Mapping[str, Any]) -> dict[str, Any]:
    """What is needed first, the units last."""
    members = request["properties"]
    needed = [member for member in members if member in request["required"]]
    free = [member for member in members if member not in request["required"] and member != "units"]
    return {member: members[member] for member in (*needed, *free, "units")}


def _sections(document: Mapping[str, Any]) -> str:
    """The type of a build sheet's sections, each there where the build allowed it."""
    kinds = {identifier(name): f"answers.{_answer(document, calculation)}" for name, calculation in calculations().items()}
    entries = "".join(f"    {name}: {kind} | None\n" for name, kind in kinds.items())
    about_all = docstring(["A section is None where the build did not allow it."], "    ")
    body = f'__all__ = ["SheetSections"]\n\n\nclass SheetSections(Model):\n{about_all}\n\n{entries}'
    head = docstring(["The sections of a build sheet, each with the answer of its calculation.", "", WRITTEN])
    return f"{head}\n\n{imports(body)}{body}"


def _words() -> str:
    """The words that many members share."""
    lines = []
    for options, (name, text) in WORDS.items():
        spelled = "".join(f"    {quoted(option)},\n" for option in options)
        flat = f"{name} = Literal[{', '.join(map(quoted, options))}]"
        lines.append(flat if len(flat) <= WIDTH else f"{name} = Literal[\n{spelled}]")
        lines.append(docstring([text.split("\n")[0]]))
    body = "\n".join(lines) + "\n"
    head = docstring(["The words that many members share.", "", WRITTEN])
    return f"{head}\n\n{imports(body)}{body}"


def _units() -> str:
    """What every unit is worth, so that figures can be converted without asking."""
    found: dict[str, tuple[str, float, float]] = {}
    for kind in KINDS.values():
        for unit, scale in kind.units.items():
            found.setdefault(unit, (_dimension(kind.name), scale.factor, scale.offset))
    also = {spelling: unit for kind in reversed(list(KINDS.values())) for spelling, unit in kind.also.items() if spelling not in found}
    entries = "".join(f"    {quoted(unit)}: ({quoted(kind)}, {factor!r}, {offset!r}),\n" for unit, (kind, factor, offset) in found.items())
    spelled = "".join(
        f"    {repr(spelling) if QUOTE in spelling else quoted(spelling)}: {quoted(unit)},\n" for spelling, unit in sorted(also.items())
    )
    head = docstring(["What every unit is worth: its kind, and factor and offset of SI value = value * factor + offset.", "", WRITTEN])
    return (
        f"{head}\n\nUNITS: dict[str, tuple[str, float, float]] = {{\n{entries}}}\n"
        f"# What else is read, each with the unit that it stands for.\nSPELLINGS: dict[str, str] = {{\n{spelled}}}\n"
    )


def _dimension(kind: str) -> str:
    """The first kind whose units are worth the same: a displacement is a volume, a stress a pressure, but no difference a temperature."""
    units = KINDS[kind].units
    return next(other.name.replace("_", " ") for other in KINDS.values() if _alike(units, other.units))


def _alike(units: Mapping[str, Unit], others: Mapping[str, Unit]) -> bool:
    shared = units.keys() & others.keys()
    return bool(shared) and all(units[unit] == others[unit] for unit in shared)


def _set_apart(lines: list[str]) -> list[str]:
    return ["", *lines] if lines else []
