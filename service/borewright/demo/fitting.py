"""What each section on sizes and fits says on a terminal: bores, compression, parts, pins, valves, rings, skirts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from borewright.demo.wording import coarse, field, fine, listed, plain, ratio, show, span
from borewright.sheet.showing import spoken

Lines = Iterator[str]
Section = Mapping[str, Any]

CUTS = {"head_mill": "heads", "deck_cut": "decks", "crown_cut": "crowns", "intake_face_cut": "intake faces"}


def cleanup(section: Section) -> Lines:
    """The bore that every cylinder cleans up at, and what holds the smaller ones up."""
    clean = section["smallest_clean_size"]
    yield f"smallest size that cleans up every bore: {show(clean)}" if clean else "no size on offer cleans up every bore"
    worst = max(section["cylinders"], key=lambda each: float(each["cleanup_diameter"]["value"]))
    yield f"the governing one is {listed([worst['cylinder']])}, which cleans up at {show(worst['cleanup_diameter'])}"
    for size in section["sizes"]:
        if size["cleans_up"]:
            said = "cleans up"
        elif len(size["holdouts"]) == len(section["cylinders"]):
            said = "no cylinder cleans up"
        else:
            said = f"held up by {listed(size['holdouts'])}"
        doubt = f"; within the gauge's tolerance in {listed(size['uncertain'])}: read again" if size["uncertain"] else ""
        yield f"{show(size['size'])}: {said}{doubt}"
    for holdout in section["holdouts"]:
        yield f"sleeving {listed(holdout['cylinders'])} alone would let the rest stay at {show(holdout['size'])}"


def displacement(section: Section) -> Lines:
    """How large the engine is."""
    yield f"{show(section['displacement'], 1)}, {show(section['swept_volume'], 2)} a cylinder"


def compression(section: Section) -> Lines:
    """The ratio as it stands, what it is made of, and what its tolerance comes from."""
    parts = ", ".join(f"{spoken(name)} {show(plain(figure))}" for name, figure in section["clearance_parts"].items() if figure["value"])
    yield f"as it stands {ratio(section['compression_ratio'])}"
    yield f"squish {show(section['squish'])}, piston below deck {show(section['deck_clearance'])}"
    yield f"clearance volume {show(section['clearance_volume'])}: {parts}"
    if section["dynamic_compression_ratio"] is not None:
        yield f"dynamic compression ratio {ratio(section['dynamic_compression_ratio'])}"
    shares = [f"{field(share['input'])} {share['contribution']:.0%}" for share in section["sensitivity"][:3] if share["contribution"] > 0]
    if shares:
        yield f"what its tolerance comes from: {', '.join(shares)}"


def crown(section: Section) -> Lines:
    """The crown's volume by pour and by sizes."""
    ways = [
        (words, section[name]) for name, words in (("poured", "by the pour"), ("by_sizes", "by its sizes")) if section[name] is not None
    ]
    yield "crown, recess less dome: " + ", ".join(f"{show(figure)} {words}" for words, figure in ways)


def cylinders(section: Section) -> Lines:
    """How far the cylinders lie apart, and what evens them."""
    ratios = section["ratio"]
    ends = f"{ratio(ratios['lowest'])} in {listed([ratios['lowest_cylinder']])} to {ratio(ratios['highest'])}"
    yield f"compression from {ends} in {listed([ratios['highest_cylinder']])}, spread {show(plain(ratios['spread']), 2)}"
    yield f"chambers within {show(plain(section['chamber']['spread']))}, deck clearances within {coarse(plain(section['deck']['spread']))}"
    opened = [(row["cylinder"], row["open_chamber"]) for row in section["cylinders"] if row["open_chamber"]["value"]]
    if opened:
        yield "to even them open the chambers by " + ", ".join(f"{show(plain(figure))} in {number}" for number, figure in opened)


def target(section: Section) -> Lines:
    """The plans that reach the ratio wanted."""
    if not section["feasible"]:
        nearest = section.get("nearest")
        yield "no combination of the levers reaches the target" + (f"; nearest {ratio(nearest['compression_ratio'])}" if nearest else "")
    for order, plan in enumerate(section["plans"][:4], 1):
        cuts = [(words, plan[name]) for name, words in CUTS.items() if plan.get(name)]
        cut = ", ".join(f"{words} {show(plain(figure))}" for words, figure in cuts if abs(figure["value"]) > 1e-9)
        result = f"{ratio(plan['compression_ratio'])}, squish {show(plan['squish'])}"
        yield f"plan {order} ({plan['verdict']}): {', '.join(plan['steps'])} → {result}" + (f"; cut {cut}" if cut else "") + _cost(plan)
    cheapest = section["cheapest"]
    if cheapest is not None and section["saving"]:
        yield f"cheaper by {section['saving']:g}: {', '.join(cheapest['steps'])} → {ratio(cheapest['compression_ratio'])}{_cost(cheapest)}"


def _cost(plan: Section) -> str:
    return "" if plan["cost"] is None else f"; costs {plan['cost']:g}"


def selection(section: Section) -> Lines:
    """The best combinations of the parts on offer."""
    yield f"{section['fitting']} of {section['considered']} combinations fit"
    if section["rejected"]:
        reasons = ", ".join(f"{spoken(reason)} {count}" for reason, count in section["rejected"].items())
        yield f"turned away, by the first rule broken: {reasons}"
    near = section["nearest"]
    numbered = [(f"choice {order}", choice) for order, choice in enumerate(section["choices"][:3], 1)]
    for name, choice in [*numbered, *([("nearest", near)] if near else [])]:
        result = f"{ratio(choice['results']['compression_ratio'])}, squish {show(choice['results']['squish'])}"
        parts = ", ".join(f"{part} {named}" for part, named in choice["parts"].items())
        work = ", ".join(choice["steps"]) or "no machining"
        yield f"{name} ({choice['verdict']}): {parts}; {work} → {result}; parts and work cost {choice['cost']:g}"
    for give in near["gives"] if near else ():
        yield f"{spoken(give['rule'])}: {give['what']}"


def assembly(section: Section) -> Lines:
    """Whether block, crank, rod and piston go together."""
    squish = "" if section["squish"] is None else f", squish {show(section['squish'])}"
    yield f"piston below deck {show(section['deck_clearance'])}{squish}"
    speed = section["mean_piston_speed"]
    yield f"rod ratio {show(plain(section['rod_ratio']), 2)}" + ("" if speed is None else f", mean piston speed {show(plain(speed), 0)}")
    near = [
        f"{words} {coarse(section[name])}"
        for name, words in (
            ("boss_counterweight_clearance", "pin boss to counterweight"),
            ("skirt_counterweight_clearance", "skirt to counterweight"),
            ("skirt_exposed_at_bdc", "skirt out of the cylinder at the bottom"),
        )
        if section[name] is not None
    ]
    if near:
        yield ", ".join(near)
    for name, words in (("pin_fit_rod", "pin-to-bore clearance in the rod"), ("pin_fit_piston", "pin-to-bore clearance in the piston")):
        fit = section[name]
        if fit["value"] is None:
            yield f"{words}: not known"
            continue
        wanted = "" if fit["wanted_low"] is None else f", wanted {span(fit['wanted_low'], fit['wanted_high'])}"
        hone = ""
        if fit["wanted_low"] is not None and fit["value"]["value"] < fit["wanted_low"]["value"]:
            hone = f": hone to {fine(fit['hone_to'])}"
        yield f"{words}: clearance {show(fit['value'])}{wanted}{hone}"
    if section["pin_end_room"] is not None:
        yield f"from each end of the pin to the wall {coarse(section['pin_end_room'])}"
    left, before = (section[name] for name in ("skirt_in_bore_at_bdc", "original_skirt_in_bore_at_bdc"))
    if left is not None:
        compared = "" if before is None else f", {before['value']:.0%} with the parts that came out"
        yield f"skirt left in the bore at the bottom {left['value']:.0%}{compared}"
    if section["rock"] is not None:
        yield f"rock of the piston {show(plain(section['rock']['edge_rise']), 4)} at the edge of its crown"
    if section["pin_to_ring_pack"] is not None:
        yield f"ring pack to pin {coarse(section['pin_to_ring_pack'])}"


def valves(section: Section) -> Lines:
    """How near the valves come, before and after the work."""
    nearer = section["nearer_by"]["value"]
    if nearer:
        yield f"the work brings head and piston {coarse(_size(section['nearer_by']))} {'nearer' if nearer > 0 else 'further apart'}"
    for side in ("intake", "exhaust"):
        found = section[side]
        if found is None:
            continue
        before = f", {coarse(found['before']['minimum'])} before the work" if nearer else ""
        at = f"at {_crank(found['crank'])}"
        yield f"{side} ({found['verdict']}): {show(found['minimum'])} along the valve, {at}{before}"
        room = found["room"]["value"]
        more = f"{coarse(_size(found['room']))} {'more may' if room >= 0 else 'too much would'} come off head or deck"
        edge = "" if found["radial"] is None else f", edge to relief {coarse(found['radial'])}"
        yield f"{side}: {more}{edge}"


def valve_train(section: Section) -> Lines:
    """What the work does to pushrods, lifters, rockers and springs, or to an overhead cam."""
    if section["pushrod"] is not None:
        yield f"pushrod that keeps the geometry {fine(section['pushrod']['same_geometry'])}"
    if section["lifter"] is not None and section["lifter"]["preload"] is not None:
        yield f"lifter preload with the pushrods fitted {coarse(section['lifter']['preload'])}"
    for name, words in (("coil_bind_room", "spring to coil bind"), ("retainer_room", "retainer to seal")):
        if section[name] is not None:
            yield f"{words} at full lift {coarse(section[name])}"
    if section["cam"] is not None:
        yield f"the cam lags by {show(section['cam']['retard'], 1)} of the crankshaft"


def _size(figure: Mapping[str, Any]) -> dict[str, Any]:
    return {"value": abs(figure["value"]), "unit": figure["unit"]}


def _crank(figure: Mapping[str, Any]) -> str:
    if figure["value"] == 0:
        return "top dead center"
    return f"{show(_size(figure))} {'after' if figure['value'] > 0 else 'before'} top dead center"


def rings(section: Section) -> Lines:
    """The gaps wanted, and the measured ones that want filing."""
    for ring in ("top", "second", "oil_rail"):
        found = section[ring]
        yield f"{spoken(ring)}: end gap minimum {fine(found['recommended_gap'])}; hot it butts below {fine(found['butting_gap'])}"
    for gap in section.get("cylinders", []):
        if gap["verdict"] != "pass":
            off = f"; {fine(gap['file_off'])} to file off" if gap["file_off"]["value"] else ""
            yield f"{listed([gap['cylinder']])}, {spoken(gap['ring'])} ring {fine(gap['gap'])} ({gap['verdict']}): {gap['reason']}{off}"


def skirts(section: Section) -> Lines:
    """The clearance wanted, and which piston goes where."""
    wanted = section["recommended"]
    yield f"cold clearance wanted {span(wanted['low'], wanted['high'])}"
    tightest = "the tightest as measured" if section.get("pairing") else "the tightest"
    hot = section["hot_clearance"]
    squeezed = "squeezed by" if hot["value"] < 0 else "left with"
    yield f"hot, {tightest} is {squeezed} {show(_size(hot))}"
    hones = {entry["cylinder"]: entry for entry in section.get("hone_to", [])}
    for pair in section.get("pairing", []):
        hone = hones.get(pair["cylinder"])
        to = f", hone to {fine(hone['diameter'])}" if hone and hone["stock"]["value"] > 0 else ""
        yield f"{listed([pair['cylinder']])} takes piston {pair['piston']}: {fine(pair['clearance'])} as measured{to}"
