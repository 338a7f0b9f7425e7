"""The generated modules of the client: a method for every calculation, and the types of what goes in and comes out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from borewright.calculations.base.batch import columns_of
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.registry import calculations
from borewright.web.client_code.examples import batch_example_lines, single_example
from borewright.web.client_code.schema_types import AnswerTypes, Types, about, component, notes
from borewright.web.client_code.text import WRITTEN, docstring, identifier, imports

Example = tuple[Mapping[str, Any], Mapping[str, Any]]


def client_source(
    document: Mapping[str, Any],
    examples: Mapping[str, Example],
    batches: Mapping[str, Example],
    given: Mapping[str, Sequence[Mapping[str, Any]]],
) -> dict[str, str]:
    """The text of each generated module of the client.

    document : the OpenAPI document
    examples : of each calculation, the request that its docstring shows, with its answer
    batches : the same of each calculation with a batch route
    given : of each calculation, answers that show which members come and go

    >>> from borewright.web.document.published_files import generated
    >>> from pathlib import Path
    >>> "class Operations(Transport):" in generated(Path())["client/src/borewright_client/_operations.py"]
    True
    """
    components = document["components"]["schemas"]
    every = calculations()
    parts = Types(components, [_request(document, calculation) for calculation in every.values()], "parts.")
    seen = [(_answer(document, calculation), answer) for name, calculation in every.items() for answer in given[name]]
    answers = AnswerTypes(components, seen, "answers.")
    methods = []
    for name, calculation in every.items():
        methods.append(_method(calculation, document, parts, answers, examples[name]))
        if calculation.batch:
            methods.append(_batch_method(calculation, batches[name]))
    about_all = docstring(["The calculations as methods; arguments left at None are not sent."], "    ")
    body = f"class Operations(Transport):\n{about_all}\n\n" + "\n\n".join(methods) + "\n"
    head = docstring(["A keyword-only method for each calculation of the service.", "", WRITTEN])
    return {
        "_operations.py": f"{head}\n\n{imports(body)}\n{body}",
        "answers.py": answers.source("The shapes of the answers, named as in the OpenAPI document."),
        "sections.py": _sections(document),
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
        *_set_apart(notes(request)),
        "",
        *single_example(name, *example, calculation.headline),
    ]
    answer = f"{answers.prefix}{_answer(document, calculation)}"
    body = "".join(f'                    "{member}": {identifier(member)},\n' for member in members)
    return (
        f"    def {name}(\n        self,\n        *,\n"
        + "".join(f"        {argument},\n" for argument in arguments)
        + f"    ) -> {answer}:\n{docstring(text, '        ')}\n"
        + f"        return cast(\n            {answer},\n            self._calculate(\n"
        + f'                "{calculation.name}",\n                {{\n{body}                }},\n            ),\n        )'
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
        "",
        *batch_example_lines(name, *example, calculation.headline),
    ]
    return (
        f"    def {name}(\n        self,\n        *,\n        columns: Mapping[str, Sequence[object]],\n"
        "        common: Mapping[str, object] | None = None,\n        units: Units | None = None,\n"
        f"    ) -> BatchAnswer:\n{docstring(text, '        ')}\n"
        f'        return self._batch("{calculation.name}", {{"columns": columns, "common": common, "units": units}})'
    )


def _ordered(request: Mapping[str, Any]) -> dict[str, Any]:
    """What is needed first, the units last."""
    members = request["properties"]
    needed = [member for member in members if member in request["required"]]
    free = [member for member in members if member not in request["required"] and member != "units"]
    return {member: members[member] for member in (*needed, *free, "units")}


def _sections(document: Mapping[str, Any]) -> str:
    """The type of a build sheet's sections, which the sheet names as the wire does: not all of them are names that Python takes."""
    entries = "".join(f'        "{name}": answers.{_answer(document, calculation)},\n' for name, calculation in calculations().items())
    body = (
        '__all__ = ["SheetSections"]\n\n'
        "# A section is there where the build allowed it.\n"
        f'SheetSections = TypedDict(\n    "SheetSections",\n    {{\n{entries}    }},\n    total=False,\n)\n'
    )
    head = docstring(["The sections of a build sheet, each with the answer of its calculation.", "", WRITTEN])
    return f"{head}\n\n{imports(body)}{body}"


def _set_apart(lines: list[str]) -> list[str]:
    return ["", *lines] if lines else []
