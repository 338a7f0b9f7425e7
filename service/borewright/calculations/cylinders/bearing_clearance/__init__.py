"""Oil clearance of main and rod bearings: cold and hot, which shells bring it in, side clearance, end float, and the film."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from typing import Any

import numpy as np

from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Basis, Check, Outcome
from borewright.calculations.base.verdicts import worst_verdict
from borewright.calculations.common.defaults import part_or_default
from borewright.calculations.common.duty import CylinderDutyPart
from borewright.calculations.common.materials import mean_expansion
from borewright.calculations.common.own_limits import limited_check, refuse_crossed
from borewright.calculations.common.temperatures import assembly_temperature, hot_or_usual
from borewright.calculations.cylinders.bearing_clearance.answer import BearingClearanceAnswer
from borewright.calculations.cylinders.bearing_clearance.oil_film import INPUTS, OilFilm, oil_film
from borewright.calculations.cylinders.bearing_clearance.request import BearingClearanceRequest
from borewright.physics.arrays import FloatArray
from borewright.physics.fits.journal_bearing import hot_oil_clearance, oil_clearance
from borewright.practice.tables import table
from borewright.quantities import KINDS

STEEL = "steel_4340"
USUAL_HOUSING = {"main": "gray_iron", "rod": STEEL}
STRANGER = 0.02  # of the journal: no shell is that far from its own journal
MEASURED = {
    "rod": (
        "rod-side-clearance",
        "side_clearance",
        "rod_side_clearance",
        "too little and the rods bind when hot; too much and oil is thrown on the bores",
    ),
    "main": (
        "crank-end-float",
        "end_float",
        "end_float",
        "too little and the thrust bearing burns; too much and the crankshaft knocks to and fro",
    ),
}
TIGHT = "tighter than wanted: the film runs hot and thin; fit thinner shells, or grind or polish the journal"
LOOSE = "looser than wanted: oil pressure is lost at idle and the bearing knocks; fit the next undersize, or select shells"


@dataclass(frozen=True)
class Bearing:
    """One bearing [SI].

    largest, smallest : diameters of the journal
    out_of_round, taper : None where the journal was not read for them
    """

    name: str
    largest: FloatArray
    smallest: FloatArray
    out_of_round: FloatArray | None
    taper: FloatArray | None
    housing: FloatArray
    shell: FloatArray

    @property
    def clearance(self) -> FloatArray:
        """Oil clearance by the largest diameter of the journal [m]."""
        return oil_clearance(self.housing, self.shell, self.largest)

    @property
    def loosest(self) -> FloatArray:
        """Oil clearance by the smallest diameter of the journal [m]."""
        return oil_clearance(self.housing, self.shell, self.smallest)


@dataclass(frozen=True)
class Heat:
    """Growth of the parts from cold to running, α·ΔT [1]."""

    housing: FloatArray
    journal: FloatArray

    def hot(self, bearing: Bearing) -> FloatArray:
        """Oil clearance at running temperature [m]."""
        return hot_oil_clearance(bearing.housing, bearing.shell, bearing.largest, self.housing, self.journal, self.journal)


@dataclass(frozen=True)
class Range:
    """The clearance wanted as shares of the journal, or the caller's own lengths."""

    own: Mapping[str, Any] | None
    low: float
    high: float
    basis: Basis
    source: str

    def of(self, diameter: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Smallest and largest clearance wanted on a journal [m]."""
        low, high = self.low * diameter, self.high * diameter
        if self.own is None:
            return low, high
        return self.own.get("low", 0.0 * diameter), self.own.get("high", high)

    def checks(self, diameter: FloatArray, tightest: FloatArray, loosest: FloatArray) -> list[Check]:
        """The two ways in which an oil clearance can be wrong."""
        low, high = self.of(diameter)
        return [
            Check("oil-clearance-tight", "length", tightest, low, None, TIGHT, self.basis, self.source),
            Check("oil-clearance-loose", "length", loosest, None, high, LOOSE, self.basis, self.source, soft=True),
        ]


def compute(request: dict[str, Any]) -> Outcome:
    """C = H − 2t − J cold, each part grown by its own α·ΔT hot, and the film by the solution for a finite width."""
    outcome = Outcome({})
    duty = part_or_default(request, outcome, "duty", CylinderDutyPart)
    row = table("bearings").row(f"{request['kind']}_{duty['service']}")
    limits = request.get("limits", {})
    refuse_crossed(limits, outcome)
    bearings = list(_bearings(request, outcome))
    if not bearings:
        return outcome
    wanted = _range(limits.get("clearance"), row.si("clearance_low"), row.si("clearance_high"), row.source)
    heat, journal_temperature = _heat(request, outcome, f"{request['kind']}_{duty['service']}")
    film = oil_film(request, outcome, journal_temperature)
    rows = [_row(bearing, request, wanted, heat, film, outcome) for bearing in bearings]
    films = [row["film"]["least_film"] for row in rows if row["film"] is not None]
    thinnest = reduce(np.minimum, films) if films else None
    first_low, first_high = wanted.of(bearings[0].largest)
    outcome.values = {
        "bearings": rows,
        "tightest_clearance": reduce(np.minimum, [bearing.clearance for bearing in bearings]),
        "loosest_clearance": reduce(np.maximum, [bearing.loosest for bearing in bearings]),
        "hot_clearance": reduce(np.minimum, [row["hot_clearance"] for row in rows]),
        "wanted": {"low": first_low, "high": first_high},
        "least_film": thinnest,
        "side_clearance": request.get("side_clearance"),
        "end_float": request.get("end_float"),
    }
    outcome.checks.extend(_checks(request, bearings, wanted, limits))
    if any(name in request for name in INPUTS):  # who states none of it asks for no film
        outcome.checks.append(_film_check(thinnest, [name for name in INPUTS if name not in request]))
    return outcome


def _bearings(request: Mapping[str, Any], outcome: Outcome) -> Iterator[Bearing]:
    """Each bearing with what it states itself, and for the rest what is stated for all."""
    listed: Sequence[Mapping[str, Any]] = request.get("bearings", [{"name": request["kind"]}])
    seen: set[str] = set()
    for index, entry in enumerate(listed):
        within = f"#/bearings/{index}" if "bearings" in request else "#"
        outcome.refuse_where(
            entry["name"] in seen, f"{within}/name", "this name stands here twice: give each bearing its own", Code.GIVEN_TWICE
        )
        seen.add(entry["name"])
        parts = {name: entry.get(name, request.get(name)) for name in ("journal", "housing", "shell")}
        lacking = [name for name, part in parts.items() if part is None]
        for name in lacking:
            outcome.refuse_where(True, f"{within}/{name}", f"the {name} is missing: state it here, or once for all bearings", Code.MISSING)
        if lacking:
            continue
        yield _bearing(entry["name"], within, parts, outcome)


def _bearing(name: str, within: str, parts: Mapping[str, Any], outcome: Outcome) -> Bearing:
    journal = parts["journal"]
    round_, taper = None, None
    if "diameter" in journal:
        largest = smallest = np.asarray(journal["diameter"])
    else:
        places = [(each["vertical"], each["horizontal"]) for each in journal["readings"]]
        largest = reduce(np.maximum, [np.maximum(*pair) for pair in places])
        smallest = reduce(np.minimum, [np.minimum(*pair) for pair in places])
        round_ = reduce(np.maximum, [np.abs(a - b) for a, b in places])
        if len({float(each["position"][0]) for each in journal["readings"]}) > 1:
            means = [(a + b) / 2.0 for a, b in places]
            taper = reduce(np.maximum, means) - reduce(np.minimum, means)
    housing, shell = np.asarray(parts["housing"]["bore"]), np.asarray(parts["shell"]["thickness"])
    found = Bearing(name, largest, smallest, round_, taper, housing, shell)
    outcome.refuse_where(
        np.abs(found.clearance) > STRANGER * largest,
        f"{within}/shell" if "#/" in within else "#/shell",
        "with these shells the journal and its housing are more than a fiftieth apart: check the sizes and their units",
        Code.IMPOSSIBLE,
    )
    return found


def _range(own: Mapping[str, Any] | None, low: float, high: float, source: str) -> Range:
    return Range(None, low, high, "common practice", source) if not own else Range(own, low, high, "caller", "the request")


def _heat(request: Mapping[str, Any], outcome: Outcome, row: str) -> tuple[Heat, FloatArray]:
    given, practice = request.get("temperatures", {}), table("bearings").row(row)
    cold = assembly_temperature(given, outcome)
    usual = {name: np.array([practice.si(f"{name}_temperature")]) for name in ("journal", "housing")}
    journal, housing = (hot_or_usual(given, outcome, name, value, practice.source) for name, value in usual.items())
    material = request.get("housing_material")
    if material is None:
        material = USUAL_HOUSING[request["kind"]]
        outcome.assumptions.append(Assumption("housing_material", material, "common practice", "the usual housing where nothing is said"))
    steel = mean_expansion(STEEL, journal) * (journal - cold)
    return Heat(mean_expansion(material, housing) * (housing - cold), steel), journal


def _row(bearing: Bearing, request: Mapping[str, Any], wanted: Range, heat: Heat, film: OilFilm | None, outcome: Outcome) -> dict[str, Any]:
    low, high = wanted.of(bearing.largest)
    clearance, hot = bearing.clearance, heat.hot(bearing)
    verdict, reason = worst_verdict(wanted.checks(bearing.largest, clearance, clearance))
    return {
        "name": bearing.name,
        "clearance": clearance,
        "hot_clearance": hot,
        "wanted": {"low": low, "high": high},
        "out_of_round": bearing.out_of_round,
        "taper": bearing.taper,
        "verdict": verdict,
        "reason": "as wanted" if verdict == "pass" else reason,
        "choose": _choices(bearing, request.get("shells", []), wanted, outcome),
        "film": None if film is None else film.answer(bearing.largest, hot, hot - clearance, low, high),
    }


def _choices(bearing: Bearing, shells: Sequence[Mapping[str, Any]], wanted: Range, outcome: Outcome) -> list[dict[str, Any]]:
    """The shells on offer, those that bring the clearance in first, then by how far they are from the middle."""
    low, high = wanted.of(bearing.largest)
    middle = (low + high) / 2.0
    found = []
    for index, shell in enumerate(shells):
        thickness = shell["thickness"] if "thickness" in shell else bearing.shell + shell["undersize"] / 2.0
        outcome.refuse_where(
            thickness <= 0, f"#/shells/{index}/undersize", "no wall is left: check the undersize and its unit", Code.IMPOSSIBLE
        )
        clearance = oil_clearance(bearing.housing, thickness, bearing.largest)
        journal = bearing.housing - 2.0 * thickness - middle
        verdict, _ = worst_verdict(wanted.checks(bearing.largest, clearance, clearance))
        choice = {
            "name": shell.get("name") or _named(shell),
            "thickness": thickness,
            "clearance": clearance,
            "inside": verdict == "pass",
            "journal_for_middle": journal,
            "grind": bearing.largest - journal,
        }
        found.append((not choice["inside"], float(np.abs(clearance - middle)[0]), index, choice))
    return [choice for *_, choice in sorted(found, key=lambda each: each[:3])]


def _named(shell: Mapping[str, Any]) -> str:
    """A name for shells that have none: their undersize or wall in micrometers."""
    of = "undersize" if "undersize" in shell else "thickness"
    return f"{float(shell[of][0]) / KINDS['length'].units['um'].factor:.0f} um {of}"


def _checks(request: Mapping[str, Any], bearings: Sequence[Bearing], wanted: Range, limits: Mapping[str, Any]) -> Iterator[Check]:
    practice = table("bearings")
    # of all bearings the one nearest to each limit, by what is left to it
    tightest = min(bearings, key=lambda each: float((each.clearance - wanted.of(each.largest)[0])[0]))
    loosest = max(bearings, key=lambda each: float((each.loosest - wanted.of(each.largest)[1])[0]))
    yield wanted.checks(tightest.largest, tightest.clearance, tightest.clearance)[0]
    yield wanted.checks(loosest.largest, loosest.loosest, loosest.loosest)[1]
    for name, found, reason in (
        ("out_of_round", [each.out_of_round for each in bearings], "past it the journal is ground: the film breaks down where it is high"),
        ("taper", [each.taper for each in bearings], "past it the journal is ground: one edge of the shell carries the load"),
    ):
        known = [each for each in found if each is not None]
        check = limited_check(
            f"journal-{name.replace('_', '-')}",
            "length",
            reduce(np.maximum, known) if known else None,
            limits.get(name),
            practice.row(f"journal_{name}"),
            reason,
            soft=True,
        )
        yield check if known else replace(check, missing=("#/journal/readings",))
    name, field, row, reason = MEASURED[request["kind"]]
    check = limited_check(name, "length", request.get(field), limits.get(field), practice.row(row), reason, soft=True)
    yield check if field in request else replace(check, missing=(f"#/{field}",))


def _film_check(thinnest: FloatArray | None, lacking: Sequence[str]) -> Check:
    row = table("bearings").row("film")
    reason = (
        "below it journal and shell touch under the highest load: thicker oil, less clearance, a wider shell or less load; "
        "a load that comes and goes leaves more film than this steady one"
    )
    least = row.si("film_low") * row.si("roughness")
    missing = tuple(f"#/{name}" for name in lacking)
    return Check("oil-film", "length", thinnest, least, None, reason, "common practice", row.source, soft=True, missing=missing)


CALCULATION = Calculation(
    name="bearing-clearance",
    title="Bearing clearance",
    question="Which shells give the oil clearance wanted?",
    text=(
        "The oil clearance of main or rod bearings from journal, housing and shell, cold and hot; which shells or undersizes bring it in; "
        "side clearance, end float, out-of-round and taper of journals; and the thinnest oil film under the highest load."
    ),
    request=BearingClearanceRequest,
    answer=BearingClearanceAnswer,
    compute=compute,
    headline=("tightest_clearance",),
    examples={
        "rod bearings, shells to choose": {
            "units": "inch",
            "kind": "rod",
            "housing": {"bore": "2.2110 in ± 0.0001 in"},
            "shell": {"thickness": "0.0618 in"},
            "bearings": [
                {"name": "1", "journal": {"diameter": "2.0860 in ± 0.0001 in"}},
                {
                    "name": "2",
                    "journal": {
                        "readings": [
                            {"position": 0.2, "vertical": 2.0852, "horizontal": 2.0859},
                            {"position": 0.7, "vertical": 2.0850, "horizontal": 2.0858},
                        ]
                    },
                },
            ],
            "shells": [
                {"name": "standard", "undersize": 0},
                {"name": "one under", "undersize": 0.001},
                {"name": "ten under", "undersize": 0.01},
            ],
            "duty": {"aspiration": "natural", "service": "street"},
            "side_clearance": 0.014,
            "width": 0.78,
            "oil": {"grade": "sae_30"},
            "running": {
                "speed": "5800 rpm",
                "peak_pressure": "950 psi",
                "bore": 3.892,
                "stroke": 3.36,
                "rod_length": 5.86,
                "reciprocating_mass": "760 g",
                "rotating_mass": "430 g",
            },
        },
        "main bearings in an aluminum block": {
            "kind": "main",
            "journal": {"diameter": "52.00 mm"},
            "housing": {"bore": "56.052 mm"},
            "shell": {"thickness": "2.005 mm"},
            "housing_material": "aluminum_356",
            "end_float": "0.15 mm",
        },
    },
    sources=(
        "oil clearance: C = H − 2t − J; hot, each part by its own mean expansion",
        "oil film: Reynolds' equation for a finite width, as A. A. Raimondi and J. Boyd, Trans. ASLE 1 (1958), under a steady load",
        "common practice for the clearances by kind of bearing and duty, as the table bearings says; SAE J300 for the oils, from memory",
    ),
    published=("test_journal_bearing", "test_bearing_clearance"),
    cautions=("rotating-parts", "instructions", "bearing-measuring"),
    batch=True,
    most_toleranced=17,
    light=True,
)
