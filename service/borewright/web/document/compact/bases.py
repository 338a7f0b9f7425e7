"""What several objects have alike stands once, in an object that they add to."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from borewright.web.document.compact.references import WHOLE, Schema, bare, key_of, reference, size, target
from borewright.web.document.compact.texts import clause


class Base(NamedTuple):
    """What objects have alike: what those named have in common, or these members of all that have them.

    of : where the objects stand: a component, and a member of it behind a point
    text : what it is, where its name does not say as much
    told : what a member is, where the objects say it each in other words; it must hold for all. Other such members stay where they are
    """

    of: tuple[str, ...] = ()
    members: tuple[str, ...] = ()
    text: str = ""
    told: tuple[tuple[str, str], ...] = ()


BASES: Mapping[str, Base] = {
    "AnyBatchAnswer": Base(
        members=("rows", "units", "failures", "verdicts", "checks", "cautions", "assumptions"), text="what every batch answers"
    ),
    "AnyAnswer": Base(members=("verdict", "checks", "cautions", "assumptions", "sensitivity"), text="what every answer carries"),
    # requests
    "Cycle": Base(("StrengthRequest", "BeforePart", "AfterPart", "DetonationMarginFields")),
    "CycleBuild": Base(("StrengthRequest", "BeforePart", "DetonationMarginFields")),
    "CompressionBuild": Base(
        ("CompressionFields", "CompressionTargetRequest", "CylinderSpreadRequest", "Build"),
        told=(("crown", "the piston crown"), ("duty", "what the engine is for; a diesel has a squish of its own")),
    ),
    "CompressionStack": Base(
        ("CompressionFields", "CompressionTargetRequest", "CylinderSpreadRequest"),
        told=(
            ("gasket", "the head gasket as compressed; 0 mm where the head seats without one"),
            ("stack", "deck height, rod length and compression height, instead of a deck clearance"),
        ),
    ),
    "EngineColumns": Base(("RingGapBatchRequest.columns", "SkirtClearanceBatchRequest.columns", "PowerGainBatchRequest.columns")),
    "GapColumns": Base(("RingGapBatchRequest.columns", "SkirtClearanceBatchRequest.columns")),
    "GapFields": Base(("RingGapFields", "SkirtClearanceFields")),
    "CandidatePart": Base(
        ("CandidateCrankPart", "CandidateRodPart", "CandidatePistonPart", "CandidateGasketPart", "CandidateHeadPart"),
        told=(
            ("id", "the caller's own name of it; each once in its list"),
            ("price", "price for the whole engine, in the caller's own currency; left out, nothing, as for a part in hand"),
        ),
    ),
    "CandidateLists": Base(("PartSelectionRequest", "Build")),
    "FitLimits": Base(("AssemblyFitRequest.limits", "Build.limits")),
    "PistonSizes": Base(("AssemblyFitRequest.piston", "Build.piston")),
    "RodSizes": Base(("CandidateRodPart", "AssemblyFitRequest.rod", "Build.rod")),
    "PowerChange": Base(("PowerGainFields", "Build")),
    "BearingSizes": Base(("BearingClearanceFields", "Build")),
    "ValveTrainParts": Base(("ValveTrainFields", "Build")),
    "CrankParts": Base(("CrankBalanceRequest", "Build")),
    "CrankSizes": Base(("AssemblyFitRequest.crank", "Build.crank", "CandidateCrankPart")),
    "MassesWeighed": Base(("CrankBalanceRequest.masses", "Build.masses")),
    "NitrousFlow": Base(
        ("NitrousPart", "AfterPart.nitrous"),
        told=(
            ("power", "power it is to add at the crank; of a change, left out, as before"),
            ("mass_flow", "nitrous oxide as the kit delivers it, fuel not counted, instead of the power; of a change, left out, as before"),
            ("bottle_temperature", "of the liquid in its bottle; left out, 25 degC, or of a change as before"),
        ),
    ),
    "Compressor": Base(
        ("BoostPart", "BoostChangePart"),
        told=(
            ("compressor_efficiency", "isentropic, of the compressor; left out, 0.70, or of a change as before"),
            ("intercooler_effectiveness", "share of the way back to ambient temperature; left out, none, or of a change as before"),
            ("drive", "what drives it: an exhaust turbine, which holds the exhaust back, or the crank; left out, exhaust, or as before"),
        ),
    ),
    "FuelBurned": Base(
        ("FuelPart", "FuelChangePart"),
        told=(
            ("blend", "a blend instead, in parts by volume; its octane number is the blend's own; of a change, left out, as before"),
            (
                "octane_weight",
                "K of the octane index RON − K(RON − MON); left out, what is usual in this kind of engine, or of a change as before",
            ),
            ("octane", "how it is rated against knock; of a change, left out, as before"),
        ),
    ),
    # answers
    "CompressionFigures": Base(("CompressionAnswer", "PlanAnswer", "CompressionTargetAnswer.now")),
    "Combination": Base(("PartSelectionAnswer.choices", "NearestAnswer")),
    "AnotherSize": Base(("PartSelectionAnswer.closest", "NearestAnswer.gives")),
    "LeverAlone": Base(("CutAnswer", "ChamberAnswer", "GasketsAnswer", "CrownsAnswer")),
    "JudgedValue": Base(("CheckAnswer", "BuildSheetAnswer.checks")),
    "ValveGap": Base(("ValveSide", "ValveSide.before")),
    "AnyGain": Base(("CycleGain", "Gain")),
}
FEWEST = 3  # objects that a base is worth, where it is told by its members


def on_bases(schemas: dict[str, Schema]) -> None:
    """Let objects that have all members of a base add their own to it; they stay closed as a whole.

    >>> carried = {name: {"type": "string"} for name in BASES["AnyAnswer"].members}
    >>> answer = {"type": "object", "properties": carried, "required": list(carried), "additionalProperties": False}
    >>> schemas = {name: {**answer, "properties": {**carried, "own": {"type": "null"}}} for name in ("One", "Two", "Three")}
    >>> on_bases(schemas)
    >>> schemas["Two"]["allOf"][1]["properties"], schemas["Two"]["unevaluatedProperties"]
    ({'own': {'type': 'null'}}, False)
    """
    based: list[Schema] = []
    for name, base in BASES.items():
        objects = list(_objects(schemas, base))
        members = _common(objects, base)
        if len(objects) < (FEWEST if base.members else 2) or not members:
            continue
        if name in schemas:
            raise ValueError(f"{name} is a component already: call the base by another name")
        needed = [set(_own(whole).get("required", ())) | set(whole.get("required", ())) for whole in objects]
        always = [member for member in members if all(member in each for each in needed)]
        schemas[name] = {
            "type": "object",
            **({"description": base.text} if base.text else {}),
            "properties": members,
            **({"required": always} if always else {}),
        }
        for whole in objects:
            _stand_on(whole, name, members, always)
            based.append(whole)
    for whole in based:
        ways = [way for way in whole["allOf"] if way != {"properties": {}}]
        if len(ways) == 1:
            # Of an allOf of one, some generators take that one alone; of a part without members others make an object of any
            # members, or what does not compile: so one member is said again.
            inherited: Schema = schemas[target(ways[0]) or ""]["properties"]
            again = min(inherited, key=lambda member: size({member: bare(inherited[member])}))
            told = {key: part for key, part in inherited[again].items() if key not in ("description", "x-range")}
            ways = [*ways, {"properties": {again: told}}]
        whole["allOf"] = ways


def _objects(schemas: Mapping[str, Schema], base: Base) -> Iterator[Schema]:
    """The objects that a base is of."""
    if not base.members:
        yield from filter(None, (_standing_at(schemas, place) for place in base.of))
        return
    found = [schema for schema in schemas.values() if set(base.members) <= set(_own(schema).get("properties", ()))]
    first = _own(found[0])["properties"] if found else {}
    for schema in found:
        if all(_alike(_own(schema)["properties"][member], first[member]) for member in base.members):
            yield schema


def _standing_at(schemas: Mapping[str, Schema], place: str) -> Schema | None:
    """The object at a place; None where there is none."""
    component, *steps = place.split(".")
    found = schemas.get(component)
    for step in steps:
        if found is None:
            return None
        found = _own(found).get("properties", {}).get(step)
        if found is not None:
            found = found.get("items", found)
            found = found.get("anyOf", [found])[0]
            found = schemas.get(target(found) or "", found)
    return found


def _own(whole: Schema) -> Schema:
    """The part of an object that has its own members: the object itself, or what it adds to a base."""
    if "unevaluatedProperties" not in whole:
        return whole
    part: Schema = next((way for way in whole["allOf"] if "properties" in way), {})
    return part


def _common(objects: list[Schema], base: Base) -> Schema:
    """The members that all objects have alike, with what is told of them."""
    every = [_own(whole).get("properties", {}) for whole in objects]
    names = base.members or tuple(every[0]) if every else ()
    found = {name: [each.get(name) for each in every] for name in names}
    alike = {name: _one(given, dict(base.told).get(name)) for name, given in found.items()}
    return {name: inner for name, inner in alike.items() if inner is not None}


def _one(given: list[Schema | None], text: str | None) -> Schema | None:
    """A member as all objects have it; None where one has it otherwise, or says something else of it."""
    told = {schema.get(WHOLE, schema.get("description")) for schema in given if schema is not None} - {None}
    if not all(_alike(schema, given[0]) for schema in given) or (len(told) > 1 and text is None):
        return None
    most = max((schema for schema in given if schema is not None), key=size)
    if text is None:
        return most
    return {**most, WHOLE: text, **({"description": clause(text)} if "description" in most else {})}


def _alike(one: Schema | None, other: Schema | None) -> bool:
    return one is not None and other is not None and key_of(bare(one)) == key_of(bare(other))


def _stand_on(whole: Schema, name: str, members: Schema, always: list[str]) -> None:
    """Let an object refer to a base, and add what it has besides.

    always : the members of the base that all its objects need; which others this one needs is said of the whole, where generators look
    """
    own = _own(whole)
    needed = [member for member in own.get("required", ()) if member not in always]
    added: Schema = {"properties": {member: inner for member, inner in own["properties"].items() if member not in members}}
    if left := [member for member in needed if member not in members]:
        added["required"] = left
    inherited = [member for member in needed if member in members]
    if own is whole:
        kept = {key: inner for key, inner in whole.items() if key not in ("type", "properties", "required", "additionalProperties")}
        ways = kept.pop("allOf", [])
        whole.clear()
        whole.update({**kept, "allOf": [reference(name), added, *ways], "unevaluatedProperties": False})
    else:
        own.clear()
        own.update(added)
        whole["allOf"].insert(0, reference(name))
        inherited = [*whole.get("required", ()), *inherited]
    if inherited:
        whole["required"] = inherited
