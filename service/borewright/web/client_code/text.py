"""Python text as the formatter would leave it: docstrings, imports, literals. What it writes needs no formatter afterward."""

from __future__ import annotations

import ast
import json
import re
import textwrap
from collections.abc import Iterable
from keyword import iskeyword
from typing import Any

WIDTH = 140
WRITTEN = "Generated from the calculations: `borewright openapi` writes it again, and what is changed here by hand is lost."
# What a generated module may need, in the order in which imports are sorted.
IMPORTABLE = (
    ("collections.abc", ("Mapping", "Sequence")),
    ("typing", ("Any", "Literal", "NotRequired", "TypedDict")),
    ("borewright_client", ("answers", "parts")),
    ("borewright_client._calls", ("Calls",)),
    ("borewright_client._measured", ("Measured",)),
    ("borewright_client._model", ("Model",)),
    (
        "borewright_client._types",
        ("Answer", "Assumption", "BatchAnswer", "Check", "Options", "Quantity", "Sensitivity"),
    ),
    ("borewright_client._words", ("Basis", "CheckName", "Units", "Verdict")),
)


def identifier(name: str) -> str:
    """A name of the wire as Python takes it.

    >>> identifier("from"), identifier("compression-target")
    ('from_', 'compression_target')
    """
    plain = name.replace("-", "_")
    return f"{plain}_" if iskeyword(plain) else plain


def docstring(lines: Iterable[str], indent: str = "") -> str:
    """A docstring of lines, each wrapped where it is too long.

    >>> docstring(["The deck."])
    '\"\"\"The deck.\"\"\"'
    """
    wrapped = [part for line in lines for part in _wrapped(line, WIDTH - len(indent) - 6)]
    safe = [line.replace("\\", "\\\\").replace('"""', r"\"\"\"") for line in wrapped]
    if len(safe) == 1 and not safe[0].endswith('"'):
        return f'{indent}"""{safe[0]}"""'
    body = "\n".join(f"{indent}{line}" if line else "" for line in safe)
    return f'{indent}"""{body.lstrip()}\n{indent}"""'


def _wrapped(line: str, width: int) -> list[str]:
    if line.startswith((">>> ", "... ")):  # an example is laid out already
        return [line]
    hanging = "    " if re.match(r"\w+ : ", line) else ""
    return textwrap.wrap(line, width, subsequent_indent=hanging) or [""]


def imports(body: str) -> str:
    """The import lines that a module's text needs, with the blank line that ends each group.

    >>> imports("bore: NotRequired[Quantity]")
    'from typing import NotRequired\\n\\nfrom borewright_client._types import Quantity\\n\\n'
    """
    used = {node.id for node in ast.walk(ast.parse(body)) if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load)}
    groups: dict[bool, list[str]] = {False: [], True: []}
    for module, names in IMPORTABLE:
        wanted = [name for name in names if name in used]
        if wanted:
            groups[module.startswith("borewright")].append(f"from {module} import {', '.join(wanted)}\n")
    return "".join("".join(lines) + "\n" for lines in groups.values() if lines)


def quoted(text: str) -> str:
    """A text between double quotes.

    >>> print(quoted("3.892 in ± 0.0005 in"))
    "3.892 in ± 0.0005 in"
    """
    return json.dumps(text, ensure_ascii=False)  # what JSON escapes, Python escapes alike


def literal(value: Any, room: int, indent: str = "") -> str:
    """A JSON value as Python writes it, broken over lines where it is longer than `room`.

    >>> literal({"thickness": "1 mm", "sealed": True}, 80)
    '{"thickness": "1 mm", "sealed": True}'
    >>> print(literal(["a long word", "another one"], 20))
    [
        "a long word",
        "another one",
    ]
    """
    flat = _flat(value)
    if len(flat) <= room or not isinstance(value, dict | list) or not value:
        return flat
    inner = f"{indent}    "
    if isinstance(value, dict):
        entries = [f"{quoted(name)}: {literal(held, room - len(name) - 8, inner)}" for name, held in value.items()]
        return "{\n" + "".join(f"{inner}{entry},\n" for entry in entries) + f"{indent}}}"
    return "[\n" + "".join(f"{inner}{literal(held, room - 5, inner)},\n" for held in value) + f"{indent}]"


def _flat(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{quoted(name)}: {_flat(held)}" for name, held in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_flat(held) for held in value) + "]"
    return quoted(value) if isinstance(value, str) else repr(value)
