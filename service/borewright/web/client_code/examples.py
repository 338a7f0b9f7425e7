"""The examples in the client's docstrings: the request that the repository keeps an answer to, and the figure it leads with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from borewright.calculations.base.answers import COMMON_FIELDS
from borewright.web.client_code.text import WIDTH, identifier, literal

Steps = tuple[str | int, ...]
ROOM = WIDTH - 30


def single_example(method: str, request: Mapping[str, Any], answer: Mapping[str, Any], headline: Sequence[str]) -> list[str]:
    """The lines that call a method and print the figure its answer leads with.

    >>> lines = single_example("displacement", {"cylinders": 4}, {"displacement": {"value": 2.5, "unit": "L"}}, ["displacement"])
    >>> lines
    ['>>> answer = client.displacement(cylinders=4)', '>>> print(answer.displacement)', '2.5 L']
    """
    steps = leading_figure(answer, headline)
    if not steps:
        return [*call(method, request), ">>> answer.cautions[-1]", repr(answer["cautions"][-1])]
    figure: Any = answer
    for step in steps:
        figure = figure[step]
    place = "".join(f"[{step}]" if isinstance(step, int) else f".{identifier(step)}" for step in steps)
    shown = f"{figure['value']:.6g}" + ("" if figure["unit"] == "1" else f" {figure['unit']}")
    return [*call(method, request), f">>> print(answer{place})", shown]


def batch_example_lines(method: str, request: Mapping[str, Any], answer: Mapping[str, Any], headline: Sequence[str]) -> list[str]:
    """The lines that call a batch method and print a column of its answer.

    >>> answer = {"rows": 1, "columns": {"displacement": [2.5]}}
    >>> lines = batch_example_lines("displacement_batch", {"columns": {"bore": ["84.3 mm"]}}, answer, ["displacement"])
    >>> lines[0], lines[-1]
    ('>>> answer = client.displacement_batch(columns={"bore": ["84.3 mm"]})', "['2.5']")
    """
    for name in (*headline, *answer["columns"]):
        column = answer["columns"].get(name)
        if column and all(isinstance(value, float) for value in column):
            shown = [f"{value:.6g}" for value in column]
            return [*call(method, request), f'>>> [f"{{value:.6g}}" for value in answer.columns["{name}"]]', repr(shown)]
    return [*call(method, request), ">>> answer.rows, answer.failures", repr((answer["rows"], answer["failures"]))]


def leading_figure(answer: Mapping[str, Any], headline: Sequence[str]) -> Steps:
    """The place of the first headline figure that an answer has, else of its first figure; empty where it has none.

    >>> leading_figure({"cylinders": [{"gap": {"value": 0.4, "unit": "mm"}}]}, ["top.gap"])
    ('cylinders', 0, 'gap')
    """
    places = list(_figures({name: held for name, held in answer.items() if name not in COMMON_FIELDS}))
    for dotted in headline:
        for steps in places:
            if steps == tuple(dotted.split(".")):
                return steps
    return places[0] if places else ()


def _figures(value: Any, steps: Steps = ()) -> Iterator[Steps]:
    if isinstance(value, Mapping):
        if "value" in value and "unit" in value:
            yield steps
        else:
            for name, held in value.items():
                yield from _figures(held, (*steps, name))
    elif isinstance(value, list):
        for index, held in enumerate(value):
            yield from _figures(held, (*steps, index))


def call(method: str, request: Mapping[str, Any]) -> list[str]:
    """The lines that call a method, as a docstring has them.

    >>> call("displacement", {"cylinders": 4})
    ['>>> answer = client.displacement(cylinders=4)']
    """
    given = [(identifier(name), value) for name, value in request.items()]
    line = f">>> answer = client.{method}({', '.join(f'{name}={literal(value, WIDTH * 10)}' for name, value in given)})"
    if len(line) <= ROOM:
        return [line]
    lines = [f"answer = client.{method}("]
    for name, value in given:
        lines += f"    {name}={literal(value, ROOM - len(name), '    ')},".split("\n")
    return [f">>> {lines[0]}", *(f"... {line}" for line in lines[1:]), "... )"]
