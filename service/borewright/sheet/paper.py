"""The sheet as a PDF: real text, bookmarks, embedded fonts, and tags by which it can be read aloud (PDF/UA-1).

What the sheet says goes to the typesetter as data, never as markup, and each use has a compiler of its own: nothing is shared.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

import matplotlib as mpl
import typst
from matplotlib.ft2font import FT2Font

from borewright.sheet.content import Content

FONTS = Path(mpl.get_data_path()) / "fonts" / "ttf"  # the fonts that the drawings are set in
TEMPLATES = Path(__file__).parent / "templates"
TEMPLATE = (TEMPLATES / "sheet.typ").read_bytes()
LONGEST_WORD = 18  # characters; a longer word gets places where it may break
LONGEST_HEAD = 24  # characters; a longer head of a column is wrapped
WIDEST = 60
SHORT_ID = 40
# what stands beside a drawing, by its size in the template [pt]
HALF_PAGE, TITLED, LABELLED, SMALL_LINE, HEAD, ROW = 258.0, 18.0, 14.5, 8.0, 26.0, 14.0
SMALL_LETTERS = 46  # of a line of small print there
LEFT_OVER = 2  # figures too few for a table of their own
NARROW = 6  # columns of a table that fits there
_WORD = re.compile(rf"\S{{{LONGEST_WORD},}}")
_STEP = re.compile(rf"\S{{1,{LONGEST_WORD // 2}}}")
FORBIDDEN = "\ufeff\ufffe"  # ISO 14289-1, 7.21.7
ZERO_WIDTH_SPACE = "\u200b"
# embeddings and overrides of direction that are not closed would reach past their own text
DIRECTION = dict.fromkeys([*range(0x202A, 0x202F), *range(0x2066, 0x206A)])
VARIATION = dict.fromkeys(range(0xFE00, 0xFE10))  # choose between forms of a sign that one font does not have


def paper(content: Content) -> bytes:
    """The PDF of a sheet, the same bytes for the same content."""
    tree = asdict(content)
    printable = _printable(tree)
    drawn = [drawing for section in content.sections for drawing in section.drawings]
    drawings = iter(drawn)
    for section in printable["sections"]:
        for drawing in section["drawings"]:
            drawing["svg"] = next(drawings).svg
        for grid in section["results"]["grids"]:
            grid["widths"] = _widths(grid)
        section["beside"] = _beside(section)
    printable["paper"] = "us-letter" if content.letter else "a4"
    printable["short_digest"] = content.short_digest
    printable["digest"] = content.digest
    printable["order_short"] = _text(content.order_id if len(content.order_id) <= SHORT_ID else content.order_id[: SHORT_ID - 1] + "…")
    printable["replaced"] = bool(_lacking(json.dumps(tree, ensure_ascii=False)))
    data = {"sheet": json.dumps(printable)}
    compiler: typst.Compiler = typst.Compiler(TEMPLATE, root=TEMPLATES, font_paths=_fonts(), sys_inputs=data)
    date = datetime.datetime.fromisoformat(content.date).replace(tzinfo=datetime.UTC)
    found = compiler.compile(format="pdf", pdf_standards=["ua-1"], timestamp=date)
    if not isinstance(found, bytes):
        raise TypeError("one document was expected")
    return found


@cache
def _fonts() -> typst.Fonts:
    """The fonts of the drawings and no others, so that the same sheet is the same on every machine."""
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=False, font_paths=[FONTS])


def _printable(tree: Any) -> Any:
    if isinstance(tree, str):
        return _text(tree)
    if isinstance(tree, dict):
        return {name: _printable(inner) for name, inner in tree.items() if name != "svg"}
    return [_printable(inner) for inner in tree] if isinstance(tree, list | tuple) else tree


def _text(words: str) -> str:
    """Text that the fonts can show, and whose long words may break."""
    kept = "".join(f"[U+{ord(sign):04X}]" if sign in _lacking(words) else sign for sign in words.translate(DIRECTION | VARIATION))
    return _WORD.sub(lambda word: ZERO_WIDTH_SPACE.join(_STEP.findall(word[0])), kept)


def _lacking(words: str) -> set[str]:
    return {sign for sign in set(words) if sign in FORBIDDEN or (ord(sign) not in _known() and not sign.isspace())}


@cache
def _known() -> frozenset[int]:
    """The code points that the sheet's font has."""
    regular, bold = (set(FT2Font(FONTS / name).get_charmap()) for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"))
    return frozenset(regular & bold)


def _beside(section: Mapping[str, Any]) -> dict[str, int]:
    """How many of a section's figures and tables fit beside its first drawing, under the others, so that no half of a page is empty.

    >>> figures = [{"meaning": "swept by all cylinders"}] * 40
    >>> _beside({"drawings": [{"aspect": 0.6}], "results": {"figures": figures, "grids": []}})
    {'figures': 6, 'grids': 0}
    """
    if not section["drawings"]:
        return {"figures": 0, "grids": 0}
    first, *others = (TITLED + HALF_PAGE * drawing["aspect"] for drawing in section["drawings"])
    room = first - sum(others) - TITLED
    figures = grids = 0
    for row in section["results"]["figures"]:
        room -= LABELLED + SMALL_LINE * (-(-len(row["meaning"]) // SMALL_LETTERS))
        if room < 0 and (room < -HEAD or figures + LEFT_OVER < len(section["results"]["figures"])):
            return {"figures": figures, "grids": 0}
        figures += 1
    for grid in section["results"]["grids"]:
        room -= TITLED + HEAD + ROW * len(grid["rows"])
        if room < -ROW or any(grid["widths"]) or len(grid["heads"]) > NARROW:
            break
        grids += 1
    return {"figures": figures, "grids": grids}


def _widths(grid: dict[str, Any]) -> list[int]:
    """How a table's columns share its width: 0 is as wide as its text, else a share; columns of long texts get the room that is left."""
    longest = [max((len(cell) for cell in column), default=0) for column in zip(*grid["rows"], strict=True)]
    return [
        min(max(length, len(head)), WIDEST) if length > LONGEST_WORD or len(head) > LONGEST_HEAD else 0
        for length, head in zip(longest, grid["heads"], strict=True)
    ]
