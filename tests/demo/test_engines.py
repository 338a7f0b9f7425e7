"""The examples and the demo's order are of the two invented engines, and no size of a known engine comes back."""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from borewright.calculations.base.registry import calculations
from borewright.demo.engines import engine
from borewright.demo.run import read_order
from borewright.quantities import read_quantity

ROOT = Path(__file__).parents[2]
TEXTS = {".py", ".md", ".json", ".toml", ".html", ".jinja", ".ts", ".typ", ".yaml", ".txt", ".js", ""}
PLACES = ("README.md", "DEVELOPERS.md", ".ci", "service", "client", "openapi", "tests", "docker")
# sizes that textbooks and papers print stand beside their source in tests/published; requirements hold hashes
LEFT_OUT = re.compile(r"tests/published/|requirements\.txt$|__pycache__|/\.|node_modules")

# each in two pieces, so that this list is not found itself
OLD = [
    *(f"{whole}.{part}" for whole, part in (("4", "03"), ("4", "030"), ("4", "040"), ("4", "018"), ("4", "166"), ("4", "125"))),
    *(f"{whole}.{part}" for whole, part in (("3", "48"), ("3", "480"), ("9", "025"), ("0", "927"), ("0", "9270"), ("0", "9259"))),
    *(f"{whole}.{part}" for whole, part in (("143", "5"), ("0", "1435"), ("0", "086"), ("88", "392"), ("102", "362"))),
    *(f"{whole} {unit}" for whole, unit in (("86", "mm"), ("64", "cm3"), ("5.7", "L"), ("5.7", "liters"), ("5.7", "in"), ("5.700", "in"))),
    *(f"{name}: {size}" for name, size in (('spacing"', "4.4"), ('spacing"', "4.40"), ('journal_diameter"', "2.1"), ('bore"', "4.1"))),
]
FOUND = re.compile(r"(?<![\d.])(?<!\w)(?:" + "|".join(map(re.escape, OLD)) + r")(?![\d]|\w)")


def texts() -> Iterator[tuple[str, str]]:
    for place in PLACES:
        start = ROOT / place
        for path in [start] if start.is_file() else sorted(start.rglob("*")):
            name = str(path.relative_to(ROOT))
            if path.is_file() and path.suffix in TEXTS and not LEFT_OUT.search(name):
                yield name, path.read_text(encoding="utf-8", errors="replace")


def test_no_old_size_is_left() -> None:
    found = [
        f"{name}:{number}: {line.strip()[:100]}"
        for name, text in texts()
        if FOUND.search(text)
        for number, line in enumerate(text.splitlines(), 1)
        if FOUND.search(line)
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize("text", ["bore 4" + ".03 in", "[4" + ".030, 1]", '"86' + ' mm"', "the 5" + ".7 L"])
def test_an_old_size_would_be_found(text: str) -> None:
    assert FOUND.search(text)


@pytest.mark.parametrize("text", ["4" + ".0301", "14" + ".03", "186" + " mm", "3.892 in"])
def test_another_number_is_not(text: str) -> None:
    assert not FOUND.search(text)


SIZES = {"stroke": "strokes", "rod_length": "rod_lengths", "deck_height": "deck_heights", "nominal_bore": "bore"}


def figures(part: Any, units: str | None, name: str = "") -> Iterator[tuple[str, float]]:
    """Each figure that a request states under a name of SIZES, in meters."""
    if isinstance(part, Mapping) and "value" not in part:
        for key, value in part.items():
            yield from figures(value, units, str(key))
    elif isinstance(part, list):
        for value in part:
            yield from figures(value, units, name)
    elif name in SIZES and part is not None:
        yield name, read_quantity(part, "length", units).value


def known(name: str) -> list[float]:
    """What the sheets of both engines give for it, in meters."""
    sizes = []
    for sheet, unit in ((engine("eight"), 0.0254), (engine("four"), 0.001)):
        value = sheet[SIZES[name]]
        sizes += [each * unit for each in (value if isinstance(value, list) else [value])]
    return sizes


OTHER_ENGINES = {"a twin of one's own"}  # of a layout that neither engine has
EXAMPLES = {
    f"{name}: {title}": request
    for name, calculation in calculations().items()
    for title, request in calculation.examples.items()
    if title not in OTHER_ENGINES
} | {"the demo's order": read_order(None)}


@pytest.mark.parametrize("example", EXAMPLES)
def test_examples_have_the_sizes_of_the_sheets(example: str) -> None:
    """Within a twentieth of a millimeter: an inch size may be stated in rounded millimeters."""
    request = EXAMPLES[example]
    for name, size in figures(request, request.get("units")):
        assert min(abs(size - each) for each in known(name)) < 0.05e-3, (name, size)


@pytest.mark.parametrize("name", ["eight", "four"])
def test_an_engines_sizes_go_together(name: str) -> None:
    """A stack of the sheet ends near the deck, the gasket is wider than the bore and the bores are narrower than their spacing."""
    sheet = engine(name)
    unit = 25.4 if sheet["units"] == "inch" else 1.0
    stacks = [
        (deck - stroke / 2 - rod - height) * unit
        for deck in sheet["deck_heights"]
        for stroke in sheet["strokes"]
        for rod in sheet["rod_lengths"]
        for height in sheet["compression_heights"]
    ]
    assert any(0.0 <= each < 1.0 for each in stacks)
    assert min(sheet["gasket_bores"]) > max(sheet["sizes"]) > sheet["bore"]
    assert sheet["maximum_bore"] < sheet.get("cylinder_spacing", 1e3)
