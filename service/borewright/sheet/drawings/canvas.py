"""The sheet's own look, and a figure turned into clean SVG.

Figures are made of matplotlib's objects alone, without pyplot: nothing is shared between requests. The settings below are fixed once,
when this module is loaded, and never changed again.

Everything is told apart by more than its color (hatch, line style, marker, words), and the colors are those of Okabe and Ito,
"Color Universal Design" (2008), which people with any common color blindness can tell apart.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MaxNLocator

from borewright.sheet.showing import number

INK = "#1a1a1a"
FAINT = "#8c8c8c"
PAPER = "#ffffff"
BLUE, ORANGE, GREEN, VERMILION, SKY, PURPLE = "#0072B2", "#E69F00", "#009E73", "#D55E00", "#56B4E9", "#CC79A7"
LINES = ((BLUE, "-"), (VERMILION, "--"), (GREEN, "-."), (PURPLE, ":"), (INK, (0, (6, 1, 1, 1, 1, 1))), (ORANGE, (0, (9, 3))))
MARKS = {"pass": ("o", BLUE), "watch": ("^", ORANGE), "fail": ("X", VERMILION), "unknown": ("D", FAINT)}
WIDTH, HEIGHT = 4.6, 3.0  # inches: what fits twice on a page, and once on a phone

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
_REFERENCE = re.compile(r"url\(#([^)]+)\)")

mpl.rcParams.update(
    {
        "svg.fonttype": "none",  # text stays text
        "svg.hashsalt": "borewright",  # the same drawing is the same bytes
        "text.parse_math": False,
        "font.family": ["DejaVu Sans"],
        "font.size": 9.0,
        "hatch.linewidth": 0.5,
    }
)
ElementTree.register_namespace("", SVG)
ElementTree.register_namespace("xlink", XLINK)


@dataclass(frozen=True)
class Drawing:
    """A drawing with its words.

    name : a word that is unique on the sheet
    section : the section it belongs to
    title : what it shows
    text : the same in words, for who can't see it
    key : what letters in it stand for, by letter (the caller's own names are never drawn)
    aspect : its height over its width
    """

    name: str
    section: str
    title: str
    text: str
    svg: str
    key: tuple[tuple[str, str], ...] = ()
    aspect: float = HEIGHT / WIDTH


@dataclass(frozen=True)
class Margins:
    """Room around and between the panels of a figure [in]."""

    left: float = 0.62
    right: float = 0.15
    top: float = 0.12
    bottom: float = 0.48
    between: float = 0.35


def panels(height: float = HEIGHT, margins: Margins | None = None, shares: Sequence[float] = (1.0,)) -> tuple[Figure, list[Axes]]:
    """An empty figure on its own canvas, with panels one above the other that share its height.

    The margins are given, not measured: measuring the text first takes as long as drawing it.

    >>> figure, axes = panels(4.0, shares=(2.0, 1.0))
    >>> figure.get_size_inches().tolist(), len(axes)
    ([4.6, 4.0], 2)
    """
    room = margins or Margins()
    figure = Figure(figsize=(WIDTH, height), facecolor=PAPER)
    FigureCanvasSVG(figure)
    free = height - room.top - room.bottom - room.between * (len(shares) - 1)
    found, upper = [], height - room.top
    for share in shares:
        tall = free * share / sum(shares)
        upper -= tall
        wide = WIDTH - room.left - room.right
        found.append(figure.add_axes((room.left / WIDTH, upper / height, wide / WIDTH, tall / height)))
        upper -= room.between
    return figure, found


def plain_axes(axes: Axes) -> None:
    """Leave of an axes' frame what is read: the left and the lower side."""
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(INK)
        axes.spines[side].set_linewidth(0.7)
    axes.tick_params(colors=INK, width=0.7, length=3, labelsize=8.5)


def numbered(axis: Axis, decimals: int, most: int = 6) -> None:
    """Round numbers on an axis, all with the same decimals."""
    axis.set_major_locator(MaxNLocator(most, steps=[1, 2, 2.5, 5, 10]))
    axis.set_major_formatter(FuncFormatter(lambda value, _: number(value, decimals)))


def finish(figure: Figure, *, name: str, section: str, title: str, text: str, key: tuple[tuple[str, str], ...] = ()) -> Drawing:
    """Write a figure as SVG that can stand inside a page: named, described, without styles, dates and references outward."""
    buffer = io.BytesIO()
    figure.savefig(buffer, format="svg", metadata={"Date": None, "Creator": None, "Format": None, "Type": None})
    wide, high = figure.get_size_inches()
    return Drawing(name, section, title, text, cleaned(buffer.getvalue(), name, title, text), key, float(high / wide))


def cleaned(raw: bytes, name: str, title: str, text: str) -> str:
    """The SVG with a title and a description, style attributes as plain ones (a page under a strict policy ignores styles), and own ids."""
    root = ElementTree.fromstring(raw)
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag in (f"{{{SVG}}}metadata", f"{{{SVG}}}style"):
                parent.remove(child)
    used = set(_referenced(root))
    for element in root.iter():
        _plain_styles(element)
        own = element.attrib.pop("id", None)
        if own in used:
            element.set("id", f"{name}-{own}")
        for attribute, value in list(element.attrib.items()):
            if attribute == f"{{{XLINK}}}href":
                element.attrib.pop(attribute)
                element.set("href", f"#{name}-{value[1:]}")
            elif "url(#" in value:
                element.set(attribute, _REFERENCE.sub(lambda found: f"url(#{name}-{found[1]})", value))
    for attribute, value in (
        ("role", "img"),
        ("aria-labelledby", f"{name}-title {name}-desc"),
        ("stroke-linejoin", "round"),
        ("font-family", "'DejaVu Sans', Verdana, Arial, Helvetica, sans-serif"),
    ):
        root.set(attribute, value)
    for tag, words in (("desc", text), ("title", title)):
        element = ElementTree.Element(f"{{{SVG}}}{tag}", {"id": f"{name}-{tag}"})
        element.text = words
        root.insert(0, element)
    return ElementTree.tostring(root, encoding="unicode")


def _referenced(root: ElementTree.Element) -> Iterator[str]:
    for element in root.iter():
        for attribute, value in element.attrib.items():
            if attribute == f"{{{XLINK}}}href":
                yield value[1:]
            yield from _REFERENCE.findall(value)
            if attribute == "style":
                yield from _REFERENCE.findall(value)


def _plain_styles(element: ElementTree.Element) -> None:
    for declaration in element.attrib.pop("style", "").split(";"):
        name, _, value = declaration.partition(":")
        if value.strip() and name.strip() != "font-family":  # one family for the whole drawing
            element.set(name.strip(), value.strip())
