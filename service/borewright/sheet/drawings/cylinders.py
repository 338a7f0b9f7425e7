"""Ring gaps and skirt clearances, cylinder by cylinder against their limits."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from matplotlib.axes import Axes

from borewright.sheet.drawings.canvas import BLUE, FAINT, INK, MARKS, SKY, VERMILION, Drawing, Margins, finish, numbered, panels, plain_axes
from borewright.sheet.drawings.scales import unit, value
from borewright.sheet.sections import Worked
from borewright.sheet.showing import DECIMALS, shown, sign

LEVELS = Margins(left=0.68, right=1.3, top=0.28)  # limits are named at the right, marks above
RINGS = ("top", "second", "oil_rail")


def rings(worked: Worked) -> Drawing | None:
    """The gaps that were measured, ring by ring; where none was, the gaps that are wanted. None without the section."""
    section = worked.sheet["sections"].get("ring-gap")
    if section is None:
        return None
    measured = {ring: [entry for entry in section.get("cylinders", []) if entry["ring"] == ring] for ring in RINGS}
    present = [ring for ring in RINGS if measured[ring]]
    if not present:
        return _wanted(section)
    figure, stacked = panels(0.75 + 1.55 * len(present), LEVELS, shares=(1.0,) * len(present))
    told = []
    for ring, axes in zip(present, stacked, strict=True):
        name = ring.replace("_", " ")
        limits = _limits(section, ring)
        entries = [(entry["cylinder"], value(entry["gap"]), entry["verdict"]) for entry in measured[ring]]
        unit_of = measured[ring][0]["gap"]["unit"]
        word = name if ring == "oil_rail" else f"{name} ring"
        _points(axes, entries, f"{word} gap [{sign(unit_of)}]", DECIMALS[unit_of][0])
        for label, limit, style in limits:
            _level(axes, value(limit), f"{label}  {shown(limit)}", style)
        axes.set_ylim(bottom=0.0, top=max(*(gap for _, gap, _ in entries), *(value(limit) for _, limit, _ in limits)) * 1.16)
        told.append(f"{name}: {_told(measured[ring], 'gap')}; " + ", ".join(f"{label} at {shown(limit)}" for label, limit, _ in limits))
    stacked[-1].set_xlabel("cylinder", fontsize=9, color=INK)
    _legend(stacked[0], {entry["verdict"] for ring in present for entry in measured[ring]})
    return finish(
        figure, name="rings", section="ring-gap", title="Ring gaps as measured", text="Each gap as a mark. " + ". ".join(told) + "."
    )


def _limits(section: Mapping[str, Any], ring: str) -> list[tuple[str, Mapping[str, Any], str]]:
    """What the section's own checks held the ring's gaps against."""
    named = ring.replace("_", "-")
    found = {check["name"]: check["limits"] for check in section["checks"]}
    wanted = (
        ("butts hot", f"{named}-butting", "low", "-"),
        ("wanted", f"{named}-gap", "low", "--"),
        ("wide", f"{named}-blow-by", "high", ":"),
    )
    return [(label, found[name][side], style) for label, name, side, style in wanted if name in found and side in found[name]]


def _wanted(section: Mapping[str, Any]) -> Drawing:
    figure, (axes,) = panels(1.7, Margins(left=0.8))
    plain_axes(axes)
    names = [ring for ring in RINGS if ring in section]
    widest = max((value(section[ring]["recommended_gap"]) for ring in names), default=0.0)
    for place, ring in enumerate(names):
        butting, wanted = section[ring]["butting_gap"], section[ring]["recommended_gap"]
        axes.barh(place, value(wanted), height=0.62, facecolor=SKY, edgecolor=INK, lw=0.8)
        axes.barh(place, value(butting), height=0.62, facecolor=VERMILION, edgecolor=INK, lw=0.8, hatch="////", alpha=0.85)
        axes.text(value(wanted) + 0.02 * widest, place, shown(wanted), va="center", fontsize=8.5, color=INK)
    axes.set_yticks(range(len(names)), [ring.replace("_", " ") for ring in names])
    axes.invert_yaxis()
    axes.margins(x=0.18)
    axes.set_xlabel(f"gap [{unit(section[names[0]]['recommended_gap'])}]; hatched: it butts hot", fontsize=9, color=INK)
    told = "; ".join(
        f"{ring.replace('_', ' ')} {shown(section[ring]['recommended_gap'])}, butts hot at {shown(section[ring]['butting_gap'])}"
        for ring in names
    )
    return finish(figure, name="rings", section="ring-gap", title="Ring gaps wanted", text=f"A bar for each ring: {told}.")


def skirts(worked: Worked) -> Drawing | None:
    """The clearance of each piston in its cylinder; None where none was measured."""
    section = worked.sheet["sections"].get("skirt-clearance")
    if section is None or not section.get("pairing"):
        return None
    pairs = sorted(section["pairing"], key=lambda pair: pair["cylinder"])
    low, high = section["recommended"]["low"], section["recommended"]["high"]
    figure, (axes,) = panels(2.5, LEVELS)
    entries = [(pair["cylinder"], value(pair["clearance"]), pair["verdict"]) for pair in pairs]
    _points(axes, entries, f"skirt clearance [{unit(low)}]", DECIMALS[low["unit"]][1])
    axes.axhspan(value(low), value(high), facecolor=SKY, alpha=0.35, edgecolor=INK, hatch="//", lw=0.0)
    _level(axes, value(low), f"tightest  {shown(low)}", "--")
    _level(axes, value(high), f"widest  {shown(high)}", ":")
    ends = [value(low), value(high), *(clearance for _, clearance, _ in entries)]
    room = (max(ends) - min(ends)) * 0.22
    axes.set_ylim(min(ends) - room, max(ends) + room)
    axes.set_xlabel("cylinder", fontsize=9, color=INK)
    _legend(axes, {pair["verdict"] for pair in pairs})
    return finish(
        figure,
        name="skirts",
        section="skirt-clearance",
        title="Skirt clearance as measured",
        text=f"Each piston in its cylinder as a mark: {_told(pairs, 'clearance')}; wanted {shown(low)} to {shown(high)}.",
    )


def _points(axes: Axes, entries: list[tuple[int, float, str]], label: str, decimals: int) -> None:
    plain_axes(axes)
    for verdict, (marker, color) in MARKS.items():
        chosen = [(place, size) for place, (_, size, found) in enumerate(entries) if found == verdict]
        if chosen:
            axes.plot(*zip(*chosen, strict=True), ls="", marker=marker, ms=7, mfc=color, mec=INK, mew=0.8, zorder=3)
    axes.set_xticks(range(len(entries)), [str(cylinder) for cylinder, _, _ in entries])
    axes.set_xlim(-0.6, len(entries) - 0.4)
    axes.set_ylabel(label, fontsize=8.5, color=INK)
    numbered(axes.yaxis, decimals, 5)


def _level(axes: Axes, level: float, words: str, style: str) -> None:
    """A limit as a line across, named beside its end."""
    axes.axhline(level, color=INK, lw=1.1, ls=style, zorder=2)
    where: dict[str, Any] = {
        "xycoords": ("axes fraction", "data"),
        "textcoords": "offset points",
        "va": "center",
        "fontsize": 7.5,
        "color": INK,
    }
    axes.annotate(words, (1.0, level), xytext=(3, 0), annotation_clip=False, **where)


def _legend(axes: Axes, verdicts: set[str]) -> None:
    """Say what the marks mean, above the drawing."""
    for verdict, (marker, color) in MARKS.items():
        if verdict in verdicts:
            axes.plot([], [], ls="", marker=marker, ms=6, mfc=color, mec=INK, mew=0.8, label=verdict)
    axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.0), ncols=4, frameon=False, fontsize=8, handletextpad=0.2, columnspacing=1.0)


def _told(entries: list[Mapping[str, Any]], name: str) -> str:
    return ", ".join(f"cylinder {entry['cylinder']} {shown(entry[name])} ({entry['verdict']})" for entry in entries)


def bores(worked: Worked) -> Drawing | None:
    """The wear that was measured in each cylinder, what it cleans up at, and each size on offer; None without the section."""
    section = worked.sheet["sections"].get("bore-cleanup")
    if section is None or not section.get("cylinders"):
        return None
    cylinders, sizes = section["cylinders"], section["sizes"]
    figure, (axes,) = panels(3.1, LEVELS)
    plain_axes(axes)
    for place, entry in enumerate(cylinders):
        worn, clean = value(entry["largest"]), value(entry["cleanup_diameter"])
        axes.plot([place, place], [worn, clean], color=FAINT, lw=4, solid_capstyle="butt", zorder=2)
        axes.plot([place], [worn], ls="", marker="o", ms=5.5, mfc="white", mec=INK, zorder=3)
        axes.plot([place], [clean], ls="", marker="v", ms=7, mfc=BLUE, mec=INK, zorder=3)
    for size in sizes:
        cleans = size["cleans_up"]
        _level(axes, value(size["size"]), shown(size["size"]) + (": cleans" if cleans else ": no"), "-" if cleans else ":")
    axes.plot([], [], ls="", marker="o", ms=5.5, mfc="white", mec=INK, label="largest measured")
    axes.plot([], [], ls="", marker="v", ms=7, mfc=BLUE, mec=INK, label="cleans up at")
    axes.legend(loc="lower right", bbox_to_anchor=(1.0, 1.0), ncols=2, frameon=False, fontsize=8, handletextpad=0.2)
    axes.set_xticks(range(len(cylinders)), [str(entry["cylinder"]) for entry in cylinders])
    axes.set_xlim(-0.6, len(cylinders) - 0.4)
    axes.set_xlabel("cylinder", fontsize=9, color=INK)
    axes.set_ylabel(f"diameter [{unit(cylinders[0]['largest'])}]", fontsize=9, color=INK)
    numbered(axes.yaxis, DECIMALS[cylinders[0]["largest"]["unit"]][0])
    told = ", ".join(
        f"cylinder {entry['cylinder']} largest {shown(entry['largest'])}, cleans up at {shown(entry['cleanup_diameter'])}"
        for entry in cylinders
    )
    offered = ", ".join(f"{shown(size['size'])} {'cleans up' if size['cleans_up'] else 'does not clean up'}" for size in sizes)
    return finish(figure, name="bores", section="bore-cleanup", title="Wear against the sizes on offer", text=f"{told}. Sizes: {offered}.")
