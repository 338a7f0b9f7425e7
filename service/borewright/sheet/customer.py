"""The customer's page: what was asked, what was found and what comes next, in plain words and without the shop's figures."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from borewright.sheet.showing import Figure, fewest, is_figure, label, shown
from borewright.sheet.sign_off import at

Section = Mapping[str, Any]
VERDICTS = {
    "fail": "This combination can't be built as it stands. The shop will suggest what to change before anything is bought or cut.",
    "watch": "This combination can be built. A few points need care, and the shop will go through them with you.",
    "unknown": "Before the shop can say yes, something still has to be measured or chosen.",
    "pass": "Everything that was checked fits and stays within its limits.",
}
STANDS = {"fail": "something has to be changed", "watch": "needs attention", "unknown": "still to be measured or chosen"}
SUBJECTS = {
    "bore-cleanup": "The worn cylinders",
    "compression": "The compression as the parts stand",
    "bench-volumes": "The volumes of the pistons' crowns",
    "cylinder-spread": "How alike the cylinders are",
    "compression-target": "Reaching the compression wanted",
    "part-selection": "The choice of parts",
    "assembly-fit": "How crank, rods, pistons and block go together",
    "valve-clearance": "The room between valves and pistons",
    "valve-train": "The valve train after machining",
    "ring-gap": "The gaps of the piston rings",
    "skirt-clearance": "The clearance of the pistons in the cylinders",
    "bearing-clearance": "The clearance of the bearings",
    "detonation-margin": "Fuel and compression",
    "strength": "The strength of pistons, pins and rods",
    "power-gain": "The power expected",
    "fuel-air-supply": "Fuel and air for the power aimed at",
    "crank-balance": "The balance of the crankshaft",
    "air-correction": "The power measured",
}


@dataclass(frozen=True)
class CustomerPage:
    """A page for the customer.

    says : what was found, a sentence each
    open_points : what has to be changed, looked after, or measured yet, a sentence each
    """

    verdict_says: str
    says: list[str]
    open_points: list[str]


def customer_page(sheet: Mapping[str, Any]) -> CustomerPage:
    """The customer's page of a sheet that was calculated.

    >>> sections = {"displacement": {"displacement": {"value": 370.28, "unit": "in3"}}}
    >>> customer_page({"verdict": "pass", "sections": sections, "checks": [], "refused": [], "disagreements": []}).says
    ['The engine displaces 370 in³.']
    """
    sections: Mapping[str, Section] = sheet["sections"]
    said = [line for name, sentences in SENTENCES.items() if name in sections for line in sentences(sections[name])]
    return CustomerPage(VERDICTS[sheet["verdict"]], said, list(_open_points(sheet)))


def _open_points(sheet: Mapping[str, Any]) -> Iterator[str]:
    """One line for each section that is not in order, the worst first."""
    seen = set()
    if sheet["disagreements"]:
        yield f"What was written down of the engine does not agree with itself, {STANDS['unknown']}."
    for entry in sheet["refused"]:
        seen.add(entry["section"])
        yield f"{_subject(entry['section'])}: the sizes given can't be right, {STANDS['unknown']}."
    for check in sheet["checks"]:
        if check["verdict"] in STANDS and check["section"] not in seen:
            seen.add(check["section"])
            yield f"{_subject(check['section'])}: {STANDS[check['verdict']]}."


def _subject(name: str) -> str:
    return SUBJECTS.get(name) or label(name)


def _rounded(figure: Figure) -> str:
    return shown(figure, lambda unit, values: 0 if max(map(abs, values), default=0.0) >= 10 else 1)


def _displacement(section: Section) -> Iterator[str]:
    yield f"The engine displaces {_rounded(section['displacement'])}."


def _cleanup(section: Section) -> Iterator[str]:
    size = section.get("smallest_clean_size")
    if size is None:
        yield "The cylinders are worn beyond the pistons on offer: larger pistons or sleeves are needed."
    else:
        yield f"The worn cylinders are cleaned up for pistons of {shown(size)}."


def _compression(section: Section) -> Iterator[str]:
    yield f"As the parts stand the compression ratio is {shown(section['compression_ratio'], _tenth)}:1."


def _target(section: Section) -> Iterator[str]:
    plans = section.get("plans") or []
    if plans and section.get("feasible"):
        yield f"With the work planned it becomes {shown(plans[0]['compression_ratio'], _tenth)}:1."


def _parts(section: Section) -> Iterator[str]:
    choices = section.get("choices") or []
    if choices:
        parts = ", ".join(f"{role} {part}" for role, part in choices[0]["parts"].items())
        yield f"Parts that suit: {parts}."
    elif "choices" in section:
        yield "None of the parts on offer suit each other and the target."


def _fuel(section: Section) -> Iterator[str]:
    margin = at(section, "octane_margin.low")
    if is_figure(margin):
        enough = margin["value"] >= 0
        yield (
            "The fuel stated is good enough for this combination."
            if enough
            else "With the fuel stated this combination can detonate: better fuel, less compression or later spark timing is needed."
        )


def _strength(section: Section) -> Iterator[str]:
    boost = section.get("boost_to_limit")
    boost = boost.get("low") if isinstance(boost, Mapping) and not is_figure(boost) else boost
    if is_figure(boost):
        yield f"For boost later on, these parts are good for about {shown(boost, _tenth)}, if the fuel allows it."


def _power(section: Section) -> Iterator[str]:
    low, high = at(section, "estimate.low.power_gain"), at(section, "estimate.high.power_gain")
    if is_figure(low) and is_figure(high):
        yield f"The change is worth about {shown(low, fewest).split()[0]} to {shown(high, fewest)} at full throttle."


def _tenth(unit: str, values: Any) -> int:
    return 1


SENTENCES: Mapping[str, Callable[[Section], Iterator[str]]] = {
    "displacement": _displacement,
    "bore-cleanup": _cleanup,
    "compression": _compression,
    "compression-target": _target,
    "part-selection": _parts,
    "detonation-margin": _fuel,
    "power-gain": _power,
    "strength": _strength,
}
