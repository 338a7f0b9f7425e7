"""The sheet as a PDF: real text, bookmarks, embedded fonts, and tags by which it can be read aloud (PDF/UA-1).

What the sheet says goes to the typesetter as data, never as markup, and each use has a compiler of its own: nothing is shared.
"""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Sequence
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

import matplotlib as mpl
import typst
from matplotlib.ft2font import FT2Font

from borewright.sheet.content import Content
from borewright.sheet.tables import at_the_point

FONTS = Path(mpl.get_data_path()) / "fonts" / "ttf"  # the fonts that the drawings are set in
TEMPLATES = Path(__file__).parent / "templates"
TEMPLATE = (TEMPLATES / "sheet.typ").read_bytes()
LONGEST_WORD = 18  # characters; a longer word gets places where it may break
LONGEST_HEAD = 24  # characters; a longer head of a column is wrapped
WIDEST = 60
SHORT_ID = 40
NARROW = 6  # columns of a table that fits into half of a page
NARROW_LETTERS = 62  # of its longest row
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
    for grids in (*(section["results"]["grids"] for section in printable["sections"]), printable["by_cylinder"]):
        for grid in grids:
            grid["widths"], grid["narrow"] = _widths(grid), is_narrow(grid["heads"], grid["rows"])
    for figure in (*printable["key_figures"], *printable["calculated"]):
        figure["whole"], figure["rest"] = at_the_point(figure["shown"])
    printable["scan_code"] = content.scan_code
    printable["paper"] = "us-letter" if content.letter else "a4"
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
        return {name: _printable(inner) for name, inner in tree.items() if name not in ("svg", "scan_code")}
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
    regular, bold = (set(FT2Font(str(FONTS / name)).get_charmap()) for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"))
    return frozenset(regular & bold)


def is_narrow(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> bool:
    """Whether a table fits into half of a page.

    >>> is_narrow(["Cylinder", "Gap [in]"], [["1", "0.018"]]), is_narrow(["Cylinder", "Why"], [["1", "so " * 30]])
    (True, False)
    """
    longest = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    widths = [max(length, max(map(len, head.split()), default=0)) for length, head in zip(longest, heads, strict=True)]
    return len(heads) <= NARROW and sum(widths) <= NARROW_LETTERS


def _widths(grid: dict[str, Any]) -> list[int]:
    """How a table's columns share its width: 0 is as wide as its text, else a share; columns of long texts get the room that is left."""
    longest = [max((len(cell) for cell in column), default=0) for column in zip(*grid["rows"], strict=True)]
    return [
        min(max(length, len(head)), WIDEST) if length > LONGEST_WORD or len(head) > LONGEST_HEAD else 0
        for length, head in zip(longest, grid["heads"], strict=True)
    ]
