"""The client's modules for asyncio, from those that both clients share: `async` and `await` are put in, and classes named anew."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

from borewright.web.client_code.text import WIDTH, docstring

ROOM = "_async"
# What is written twice by hand: how a request is sent, how some are in flight, what may wait for a disk. In the twins it is awaited.
BY_HAND = ("_send", "_aside", "_each")
# The modules that are shared, each behind those that it stands on, and the classes in them and below them.
SHARED = ("_calls.py", "_operations.py", "_sheet.py", "_service.py", "_batches.py")
CLASSES = ("Transport", "Calls", "Flights", "Operations", "Sheets", "Service", "Batches")
HOMES = {"Transport": "transport", "Calls": "calls", "Flights": "flights"}
PACKAGE = "borewright_client"
Function = ast.FunctionDef | ast.AsyncFunctionDef


def twins(written: Mapping[str, str], folder: Path) -> dict[str, str]:
    """The text of each module for asyncio, by its place in the client.

    written : the modules that are generated themselves
    folder : the client, which has the others; those that it lacks have no twin

    >>> sorted(twins({"_operations.py": "class Operations(Calls): ..."}, Path("no such folder")))
    ['_async/operations.py']
    """
    awaited, found = set(BY_HAND), {}
    for name in SHARED:
        path = folder / name
        text = written.get(name) or (path.read_text(encoding="utf-8") if path.is_file() else None)
        if text is not None:
            found[f"{ROOM}/{name.removeprefix('_')}"] = twin(name, text, awaited)
    return found


def twin(name: str, text: str, awaited: set[str]) -> str:
    """A module for asyncio.

    awaited : the methods that are awaited, to which those of this module are added

    >>> text = 'class Sheets(Calls):\\n    def fetch(self) -> bytes:\\n        return self._document("/v1/build-sheet")\\n'
    >>> print(twin("_sheet.py", text, {"_document"}).partition("class ")[2])
    AsyncSheets(AsyncCalls):
        async def fetch(self) -> bytes:
            return await self._document("/v1/build-sheet")
    <BLANKLINE>
    """
    module = ast.parse(text)
    (shared,) = (node for node in module.body if isinstance(node, ast.ClassDef) and _bases(node) & set(CLASSES))
    lines = text.splitlines(keepends=True)
    edits = list(_edits(shared, awaited))
    for line, column, put_in in sorted(edits, reverse=True):
        before = lines[line - 1].encode()[:column].decode()
        lines[line - 1] = before + put_in + lines[line - 1][len(before) :]
    body = "".join(lines[shared.lineno - 1 : shared.end_lineno]).rstrip() + "\n"
    head, _, rest = body.partition("\n")
    for known in CLASSES:
        head = re.sub(rf"\b{known}\b", f"Async{known}", head)
    methods = "|".join(sorted((method for method in awaited if not method.startswith("_")), key=len, reverse=True))
    rest = re.sub(rf"((?:>>>|\.\.\.) .*?)client\.({methods})\(", r"\1await client.\2(", rest) if methods else rest
    title = (ast.get_docstring(module) or "").partition("\n")[0].removesuffix(".")
    about = docstring(
        [
            f"{title}, for asyncio.",
            "",
            f"Generated from `{name}`: `borewright openapi` writes it again, and what is changed here by hand is lost.",
        ]
    )
    made = f"{about}\n\n{_imports(name, module, shared)}\n\n{head}\n{rest}"
    long = [line for line in made.splitlines() if len(line) > WIDTH]
    if long:
        raise ValueError(f"{name}: with `await` this line is too long: {long[0].strip()}")
    return made


def _bases(node: ast.ClassDef) -> set[str]:
    return {base.id for base in node.bases if isinstance(base, ast.Name)}


def _edits(shared: ast.ClassDef, awaited: set[str]) -> Iterator[tuple[int, int, str]]:
    """What is put in where: `async` before the functions that await, `await` before the calls."""
    methods = [node for node in shared.body if isinstance(node, ast.FunctionDef)]
    while True:
        fresh = {method.name for method in methods if _calls(method, awaited)} - awaited
        if not fresh:
            break
        awaited |= fresh
    for function in (node for node in ast.walk(shared) if isinstance(node, ast.FunctionDef)):
        calls = _calls(function, awaited)
        if calls:
            yield function.lineno, function.col_offset, "async "
        for call in calls:
            yield call.lineno, call.col_offset, "await "


def _calls(function: Function, awaited: set[str]) -> list[ast.Call]:
    """The calls of a function itself, not of those inside it, that are awaited."""
    found, waiting = [], list[ast.AST](function.body)
    while waiting:
        node = waiting.pop()
        if isinstance(node, Function):
            continue
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and ast.unparse(node.func.value) == "self":
            found += [node] if node.func.attr in awaited else []
        waiting += ast.iter_child_nodes(node)
    return found


def _imports(name: str, module: ast.Module, shared: ast.ClassDef) -> str:
    """The imports of the module that its class needs, and what else of the module itself."""
    used = {node.id for node in ast.walk(shared) if isinstance(node, ast.Name)}
    lines: dict[str, list[str]] = {}
    for node in module.body:
        if isinstance(node, ast.ImportFrom):
            for alias in node.names:
                if (alias.asname or alias.name) in used:
                    _put(lines, str(node.module), alias)
    own = {target.id for node in module.body for target in _targets(node)} | {
        node.name for node in module.body if isinstance(node, ast.FunctionDef)
    }
    for needed in sorted(own & used):
        lines.setdefault(f"{PACKAGE}.{name.removesuffix('.py')}", []).append(needed)
    groups: dict[bool, str] = {False: "", True: ""}
    for place, names in sorted(lines.items()):
        ours = place.startswith(PACKAGE)
        for plain in ([held for held in names if " as " not in held], *([held] for held in names if " as " in held)):
            if plain:
                groups[ours] += f"from {place} import {', '.join(sorted(plain, key=_order))}\n"
    return "\n".join(text for text in groups.values() if text)


def _put(lines: dict[str, list[str]], place: str, alias: ast.alias) -> None:
    if alias.name in CLASSES:
        lines.setdefault(f"{PACKAGE}.{ROOM}.{HOMES[alias.name]}", []).append(f"Async{alias.name}")
    else:
        lines.setdefault(place, []).append(f"{alias.name} as {alias.asname}" if alias.asname else alias.name)


def _targets(node: ast.stmt) -> Iterator[ast.Name]:
    targets = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
    yield from (target for target in targets if isinstance(target, ast.Name))


def _order(name: str) -> tuple[int, str]:
    """As imports are sorted: constants, classes, the rest."""
    return (0 if name.isupper() else 1 if name[:1].isupper() else 2), name
