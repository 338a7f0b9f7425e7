"""Page one: the figures that decide, and blank room beside each that has to be confirmed by measuring."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from borewright.calculations.base.registry import calculations
from borewright.sheet.increments import Increments, Reading, increments, stepped
from borewright.sheet.showing import NOTHING, Digits, Figure, fewest, is_figure, label, limits_shown, places, shown, worst_case

MOST_CYLINDERS = 24
USUAL = increments({}, "inch")
LENGTHS = ("in", "mm")
OCTANE = "rating_required.value"


@dataclass(frozen=True)
class KeyFigure:
    """One figure of page one.

    measure : whether it leaves room for the measured value and initials
    """

    section: str
    label: str
    shown: str
    spread: str
    measure: bool


def tenths(unit: str, values: Iterable[float]) -> int:
    """Octane is read to a tenth.

    >>> tenths("1", [17.48])
    1
    """
    return 1


@dataclass(frozen=True)
class Wanted:
    """A figure for page one: its place in the section, how it is called there, whether it is measured, and how closely.

    ends : where the ends of its band stand; what is not known weighs more than the tolerances of the middle
    low_end : whether it is a limit that is gone by at its low end, which then is the figure
    reading : which of the shop's steps a length is read in
    at_least : whether it is the least that will do, so that a step is rounded up
    """

    path: str
    label: str
    measure: bool = True
    digits: Digits = places
    ends: tuple[str, str] | None = None
    reading: Reading = "length"
    at_least: bool = False
    low_end: bool = False


KEY_FIGURES: Mapping[str, tuple[Wanted, ...]] = {
    "bore-cleanup": (Wanted("smallest_clean_size", "smallest bore that cleans up", measure=False, reading="fit"),),
    "displacement": (Wanted("displacement", "displacement", measure=False, digits=fewest),),
    "compression": (
        Wanted("compression_ratio", "compression ratio", measure=False),
        Wanted("clearance_parts.chamber", "chamber volume"),
        Wanted("deck_clearance", "piston below deck"),
        Wanted("squish", "squish"),
    ),
    "bench-volumes": (Wanted("crown_volume", "crown, recess less dome", measure=False),),
    "cylinder-spread": (Wanted("ratio.spread", "compression, highest less lowest cylinder", measure=False),),
    "compression-target": (
        Wanted("now.compression_ratio", "compression ratio before machining", measure=False),
        Wanted("plans.0.compression_ratio", "compression ratio after plan 1", measure=False),
        Wanted("plans.0.head_mill", "plan 1: mill off each head"),
        Wanted("plans.0.deck_cut", "plan 1: cut off each deck"),
        Wanted("plans.0.crown_cut", "plan 1: cut into each crown"),
        Wanted("plans.0.intake_face_cut", "plan 1: cut off each intake face"),
    ),
    "part-selection": (
        Wanted("choices.0.results.compression_ratio", "compression ratio of choice 1", measure=False),
        Wanted("nearest.results.compression_ratio", "compression ratio of the nearest, which does not fit", measure=False),
    ),
    "assembly-fit": (
        Wanted("deck_clearance", "piston below deck"),
        Wanted("counterweight_clearance", "piston to counterweight", digits=fewest),
        Wanted("pin_fit_rod.value", "pin-to-bore clearance, rod", reading="fit"),
        Wanted("pin_fit_piston.value", "pin-to-bore clearance, piston", reading="fit"),
    ),
    "valve-clearance": (
        Wanted("intake.minimum", "intake valve to piston", digits=fewest),
        Wanted("exhaust.minimum", "exhaust valve to piston", digits=fewest),
    ),
    "valve-train": (
        Wanted("pushrod.same_geometry", "pushrod that keeps the geometry", measure=False),
        Wanted("cam.retard", "overhead cam lags, of the crankshaft", measure=False, digits=tenths),
    ),
    "ring-gap": (
        Wanted("top.recommended_gap", "top ring end gap minimum", reading="fit", at_least=True),
        Wanted("second.recommended_gap", "second ring end gap minimum", reading="fit", at_least=True),
        Wanted("oil_rail.recommended_gap", "oil rail end gap minimum", reading="fit", at_least=True),
    ),
    "skirt-clearance": (Wanted("target_bore", "bore for the largest skirt", reading="fit"),),
    "bearing-clearance": (
        Wanted("tightest_clearance", "tightest bearing", reading="fit"),
        Wanted("loosest_clearance", "loosest bearing", reading="fit"),
    ),
    "detonation-margin": (
        Wanted(OCTANE, "octane requirement", False, tenths, ("rating_required.low", "rating_required.high")),
        Wanted("compression_ratio_limit.low", "knock-limited compression ratio", False, tenths),
        Wanted("retard_allowed", "at a retard from MBT timing of", False, tenths),
    ),
    "strength": (
        Wanted("least_factor", "factor of safety of the weakest part", False, fewest),
        Wanted("boost_to_limit", "boost to stay below (low end)", False, fewest, low_end=True),
    ),
    "power-gain": (
        Wanted("estimate.value.power_gain", "power gained", False, fewest, ("estimate.low.power_gain", "estimate.high.power_gain")),
    ),
    "fuel-air-supply": (
        Wanted("injector.flow", "each injector, on gasoline at its rated pressure", False, tenths),
        Wanted("pump.wanted", "fuel pump, at the pressure it works against", False, fewest),
    ),
    "crank-balance": (Wanted("bob_weight", "bobweight"),),
    "air-correction": (Wanted("corrected_power", "power in the standard's air", False, fewest),),
}

IN_CYLINDER_ROWS = {("ring-gap", "top.recommended_gap"), ("ring-gap", "second.recommended_gap"), ("skirt-clearance", "target_bore")}


def key_figures(
    sections: Mapping[str, Any], *, by_cylinder: bool = False, build: Mapping[str, Any] | None = None, steps: Increments = USUAL
) -> list[KeyFigure]:
    """The figures of page one, none twice; of a section that names none here, its headline.

    by_cylinder : whether page one has a line for each cylinder, so that what stands there is not said twice
    build : what the order states; the fuel's rating stands beside the octane requirement
    steps : the steps in which the shop's tools are read

    >>> key_figures({"displacement": {"displacement": {"value": 370.28, "unit": "in3"}}})[0].shown
    '370.3 in³'
    """
    found: dict[tuple[str, str], KeyFigure] = {}
    for name, section in sections.items():
        for entry in _of(name, section, build or {}, steps, by_cylinder=by_cylinder):
            found.setdefault((entry.label, entry.shown), entry)  # two sections that agree on it ask for one measurement
    return list(found.values())


def _of(name: str, section: Mapping[str, Any], build: Mapping[str, Any], steps: Increments, *, by_cylinder: bool) -> Iterator[KeyFigure]:
    title = calculations()[name].title if name in calculations() else label(name)
    wanted = KEY_FIGURES.get(name) or tuple(Wanted(path, _spoken(path), measure=False) for path in calculations()[name].headline)
    for entry in wanted:
        if by_cylinder and (name, entry.path) in IN_CYLINDER_ROWS:
            continue
        found = at(section, entry.path)
        cut = entry.path.rsplit(".", 1)[-1] in ("head_mill", "deck_cut", "crown_cut", "intake_face_cut")
        if is_figure(found) and not (cut and found["value"] == 0):  # a cut that is not made needs no measuring
            if entry.low_end and found.get("low") is not None:
                found = {"value": found["low"], "unit": found["unit"]}
            ends = None if entry.ends is None else tuple(at(section, end) for end in entry.ends)
            if ends is not None:
                known = all(map(is_figure, ends))
                found = {**found, **dict(zip(("low", "high"), (end["value"] for end in ends) if known else (None, None), strict=True))}
            digits = entry.digits
            if found["unit"] in LENGTHS:
                found, digits = in_steps(found, steps, entry.reading, at_least=entry.at_least)
            called = octane_label(section, build) if entry.path == OCTANE else entry.label
            yield KeyFigure(title, called, shown(found, digits), worst_case(found, digits), entry.measure)
    if name == "skirt-clearance":
        yield KeyFigure(title, "cold clearance wanted", limits_shown(section["recommended"]), "", measure=False)


def octane_label(section: Mapping[str, Any], build: Mapping[str, Any]) -> str:
    """The octane requirement by name, with its scale and the rating of the fuel in the order beside it.

    >>> octane_label({"rating_required": {"scale": "aki"}}, {"fuel": {"octane": {"rating": 93, "scale": "aki"}}})
    'octane requirement, AKI (fuel rated 93 AKI)'
    """
    scale, octane = at(section, "rating_required.scale"), at(build, "fuel.octane") or {}
    rating = octane.get("rating")
    rating = rating["value"] if isinstance(rating, Mapping) else rating
    rated = "" if rating is None else f" (fuel rated {rating} {str(octane.get('scale', '')).upper()})"
    return "octane requirement" + (f", {scale.upper()}" if scale else "") + rated


def in_steps(figure: Figure, steps: Increments, reading: Reading, *, at_least: bool = False) -> tuple[Figure, Digits]:
    """A length as the shop's tools read it, and the decimals that it takes.

    >>> in_steps({"value": 0.018134, "unit": "in"}, USUAL, "fit", at_least=True)[0]["value"]
    0.0182
    """
    step, decimals = steps.of(reading, figure["unit"])
    ends = {end: figure[end] for end in ("value", "low", "high") if figure.get(end) is not None}
    read = {end: round(stepped(value, step, upward=at_least), decimals) for end, value in ends.items()}
    return {**figure, **read}, lambda unit, values: decimals


def _spoken(path: str) -> str:
    return ", ".join(label(step).lower() for step in reversed(path.split(".")))


def at(tree: Any, path: str) -> Any:
    """What stands at a dotted path of an answer; None where nothing does.

    >>> at({"plans": [{"squish": 1}]}, "plans.0.squish"), at({}, "plans.0")
    (1, None)
    """
    for step in path.split("."):
        if isinstance(tree, Mapping):
            tree = tree.get(step)
        elif isinstance(tree, list) and step.isdigit() and int(step) < len(tree):
            tree = tree[int(step)]
        else:
            return None
    return tree


@dataclass(frozen=True)
class CylinderRow:
    """What is wanted in one cylinder; each entry leaves room for the measured value."""

    cylinder: str
    bore: str
    piston: str
    top: str
    second: str


def cylinder_rows(sections: Mapping[str, Any], build: Mapping[str, Any], steps: Increments = USUAL) -> list[CylinderRow]:
    """One line for each cylinder whose bore, piston or rings are known; empty where neither rings nor skirts are.

    steps : the steps in which the shop's tools are read

    >>> cylinder_rows({}, {"cylinders": 8})
    []
    """
    rings, skirts = sections.get("ring-gap"), sections.get("skirt-clearance")
    if rings is None and skirts is None:
        return []
    hones = {entry["cylinder"]: entry["diameter"] for entry in (skirts or {}).get("hone_to", [])}
    pistons = {entry["cylinder"]: entry["piston"] for entry in (skirts or {}).get("pairing", [])}
    gaps = {entry["cylinder"] for entry in (rings or {}).get("cylinders", [])}
    count = build.get("cylinders")
    numbered = set(range(1, int(count) + 1)) if isinstance(count, int | float) and not isinstance(count, bool) else set()

    def fit(figure: Figure | None, *, at_least: bool = False) -> str:
        return NOTHING if figure is None else shown(*in_steps(figure, steps, "fit", at_least=at_least))

    bore = fit(skirts["target_bore"]) if skirts is not None and not hones else NOTHING
    top, second = (fit(at(rings, f"{ring}.recommended_gap"), at_least=True) for ring in ("top", "second"))
    return [
        CylinderRow(
            str(cylinder),
            fit(hones[cylinder]) if cylinder in hones else bore,
            str(pistons.get(cylinder, NOTHING)),
            top,
            second,
        )
        for cylinder in sorted(hones.keys() | gaps | numbered)[:MOST_CYLINDERS]
    ]
