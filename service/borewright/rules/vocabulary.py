"""Every check of every operation: its name, the kind of its value, and what it says in a line.

One name is one rule, wherever it is asked. A check with a name that is not here can't be made.
"""

from __future__ import annotations

from typing import NamedTuple


class Entry(NamedTuple):
    """What a name stands for.

    Examples
    --------
    >>> VOCABULARY["rod-ratio"].kind
    'ratio'
    """

    kind: str
    sentence: str


def _of_each(names: tuple[str, ...], ending: str, kind: str, sentence: str) -> dict[str, Entry]:
    """One check for each of several like parts; the sentence names the part."""
    return {f"{name}-{ending}": Entry(kind, sentence.format(name.replace("-", " "))) for name in names}


_STACK = {
    "deck-clearance": Entry("length", "At top dead center the piston is close enough to the deck for the parts to belong together."),
    "squish": Entry("length", "The flat of the crown clears the head at speed, and comes close enough to it to stir the charge."),
    "bore-to-gasket-clearance": Entry(
        "length", "The bore of the gasket is larger than that of the cylinder, or as large, on the diameter."
    ),
    "compression-for-duty": Entry("ratio", "The compression ratio suits the duty and its fuel."),
    "compression-target": Entry("ratio", "The compression ratio is inside the range asked for."),
    "compression-spread": Entry("ratio", "The cylinders have nearly the same compression ratio."),
    "chamber-spread": Entry("volume", "The chambers have nearly the same volume."),
    "crown-volumes-agree": Entry("volume", "The crown's volume by the pour is that by its sizes."),
    "deck-spread": Entry("length", "The pistons stand nearly alike at the deck."),
}
_ASSEMBLY = {
    "rod-ratio": Entry("ratio", "Rod length over stroke is in the usual range."),
    "mean-piston-speed": Entry("speed", "The mean piston speed is one that parts in this service survive."),
    "skirt-exposed": Entry("length", "At bottom dead center no more of the skirt than usual hangs out of the cylinder."),
    "skirt-in-bore": Entry("ratio", "At bottom dead center enough of the skirt is still in the cylinder to guide the piston."),
    "rocked-squish": Entry("length", "Tipped in its skirt clearance, the edge of the crown still clears the head."),
    "pin-to-ring-pack": Entry("length", "Lands, ring grooves and pin go into the compression height."),
    "counterweight-to-boss": Entry("length", "The counterweights clear the pin bosses."),
    "counterweight-to-skirt": Entry("length", "The counterweights clear the lower edge of the skirt."),
    "pin-fit-rod-tight": Entry("length", "Pin-to-bore clearance in the rod is no smaller than wanted, or a pressed pin no tighter."),
    "pin-fit-rod-loose": Entry("length", "Pin-to-bore clearance in the rod is no larger than wanted, or a pressed pin no looser."),
    "pin-fit-piston-tight": Entry("length", "Pin-to-bore clearance in the piston is no smaller than wanted."),
    "pin-fit-piston-loose": Entry("length", "Pin-to-bore clearance in the piston is no larger than wanted."),
    "honing-to-float": Entry("length", "A small end that is honed to float its pin is enlarged by no more than usual."),
    "pin-end-room": Entry("length", "The end of the pin, with its retainer, clears the wall of the cylinder."),
    "pin-within-bosses": Entry("length", "Pin and retainers fit between the outer faces of the pin bosses."),
    "top-land": Entry("length", "The top ring land is tall enough for the duty."),
    "second-land": Entry("length", "The second ring land is tall enough for the duty."),
}
_LISTED = {
    "bore": Entry("length", "The block can be brought to the bore that the pistons are made for."),
    "duty-allowed": Entry("ratio", "The list allows these pistons for the duty: 1 for yes, 0 for no."),
    "head-bore": Entry("length", "The heads are made for the bore."),
    "pin-retention": Entry("ratio", "Rod and piston hold the pin in the same way: 1 for yes, 0 for no."),
    "pin-fit": Entry("length", "By the sizes in the lists, pin and small end match."),
    "journal-diameter": Entry("length", "The rod is made for the diameter of the crankshaft's rod journals."),
    "journal-width": Entry("length", "The rod is made for the width of the crankshaft's rod journals."),
    "cost": Entry("ratio", "Parts and work cost no more than allowed, as a share of the most that is allowed."),
    "combinations": Entry("ratio", "At least one combination of the lists keeps every limit; the value counts them."),
}
_CYLINDERS = {
    "clean-up": Entry("length", "The finished size cleans up the deepest wear and leaves stock to hone."),
    "out-of-round": Entry("length", "The governing cylinder is no more out of round than a used one may be."),
    "taper": Entry("length", "The governing cylinder has no more taper than a used one may have."),
    "bored-before": Entry("length", "The least worn level of each cylinder is close to the size it was last bored to."),
    "bore-width": Entry("length", "The largest and smallest diameters differ by no more than in a new cylinder."),
    "wall": Entry("length", "The thinnest wall of the sonic check is still thick enough at the finished size."),
    "skirt-clearance": Entry("length", "No skirt clearance is smaller than wanted."),
    "skirt-slap": Entry("length", "No skirt clearance is larger than wanted."),
    "coated-entry": Entry("length", "The coated skirt goes into the cylinder."),
    "hot-clearance": Entry("length", "The skirt still has clearance when hot."),
    **_of_each(("top", "second", "oil-rail"), "butting", "length", "The end gap of the {} ring stays open when hot."),
    **_of_each(("top", "second", "oil-rail"), "gap", "length", "The end gap of the {} ring is no smaller than the minimum."),
    **_of_each(("top", "second", "oil-rail"), "blow-by", "length", "The end gap of the {} ring is no wider than wanted."),
}
_BEARINGS = {
    "oil-clearance-tight": Entry("length", "No oil clearance is smaller than wanted."),
    "oil-clearance-loose": Entry("length", "No oil clearance is larger than wanted."),
    "journal-out-of-round": Entry("length", "The governing journal is no more out of round than a used one may be."),
    "journal-taper": Entry("length", "The governing journal has no more taper than a used one may have."),
    "rod-side-clearance": Entry("length", "Rod side clearance on the crankpin is in the usual range."),
    "crank-end-float": Entry("length", "Crankshaft end play in the thrust bearing is in the usual range."),
    "oil-film": Entry("length", "The oil film under the highest load is thicker than the surfaces are rough."),
}
_VALVES = {
    **_of_each(("intake", "exhaust"), "valve-clearance", "length", "The {} valve clears the piston along its axis."),
    **_of_each(("intake", "exhaust"), "valve-edge", "length", "The edge of the {} valve clears the wall of its valve pocket (relief)."),
    **_of_each(("intake", "exhaust"), "lift-range", "angle", "The {} lift was measured over the angle of least clearance."),
    **_of_each(("intake", "exhaust"), "lift-spacing", "angle", "The {} lift was measured closely around the least clearance."),
}
_VALVE_TRAIN = {
    "lifter-preload": Entry("length", "The hydraulic lifter is pressed down by the usual amount."),
    "valve-lash": Entry("length", "The valve has lash left after the work."),
    "coil-bind": Entry("length", "The coils of the valve spring stay apart at full lift."),
    "retainer-room": Entry("length", "The retainer clears the guide's seal at full lift."),
    "rocker-sweep": Entry("ratio", "The rocker's contact stays near the middle of the valve's tip, as a share of the stem."),
    "cam-timing": Entry("angle", "The overhead cam lags or leads by no more than is left as it is."),
}
_WEIGHED = ("piston", "pin", "rings", "locks", "rod-small-end", "rod-big-end", "bearings")
_BALANCE = {
    "balance-factor": Entry("ratio", "The balance factor is one that is used for the layout."),
    "rods-per-journal": Entry("ratio", "As many rods share a journal as the layout calls for."),
    "rod-ends": Entry("ratio", "The small end has a usual share of the rod's mass."),
    **_of_each(_WEIGHED, "spread", "mass", "The mass of the {} matches from cylinder to cylinder."),
    **_of_each(_WEIGHED, "mass", "mass", "The mass of the {} in the bobweight is one that was weighed."),
}
_COMBUSTION = {
    "factor": Entry("ratio", "The correction factor is in the range of the standard."),
    "air-temperature": Entry("temperature", "The air is in the standard's range of temperature."),
    "pressure": Entry("pressure", "The air is in the standard's range of pressure."),
    "dry-pressure": Entry("pressure", "The dry air is in the standard's range of pressure."),
    "points-changed": Entry("ratio", "The change of compression is small enough for the rule of thumb."),
    "breathing": Entry("percentage", "The heads can fill most of the larger displacement at the speed asked."),
    "spark-retard": Entry("angle", "The timing is retarded from MBT by no more than may be run."),
    "octane-margin": Entry("ratio", "The fuel exceeds the octane requirement at maximum brake torque (MBT) timing."),
    "octane-margin-at-worst": Entry("ratio", "The fuel exceeds the octane requirement even where everything unknown goes against it."),
    "peak-pressure": Entry("pressure", "The peak cylinder pressure is one that the parts stand."),
    "nitrous-retard": Entry("angle", "The timing is retarded at least as far as is usual with nitrous oxide."),
    "boost-given": Entry("ratio", "A boosted duty comes with its boost pressure: 1 for yes, 0 for no."),
    "nitrous-given": Entry("ratio", "A nitrous duty comes with its amount of nitrous oxide: 1 for yes, 0 for no."),
    "injector-duty": Entry("percentage", "The injectors still have time to close at the target power."),
    "pump-flow": Entry("fuel_volume_flow", "The fuel pump delivers what the power needs, with a reserve."),
    "throttle-drop": Entry("pressure", "The pressure drop over the open throttle is no larger than usual."),
}
_STRENGTH = {
    "crown": Entry("ratio", "Factor of safety of the crown in bending."),
    "top-land-bending": Entry("ratio", "Factor of safety of the top ring land in bending."),
    "top-land-shear": Entry("ratio", "Factor of safety of the top ring land in shear."),
    "second-land-bending": Entry("ratio", "Factor of safety of the second ring land in bending."),
    "second-land-shear": Entry("ratio", "Factor of safety of the second ring land in shear."),
    "pin-boss-bearing": Entry("ratio", "Factor of safety of the pin bosses in bearing."),
    "pin-bending": Entry("ratio", "Factor of safety of the pin in bending."),
    "pin-shear": Entry("ratio", "Factor of safety of the pin in shear."),
    "pin-ovalization": Entry("ratio", "Factor of safety of the pin against being pressed oval."),
    "pin-combined": Entry("ratio", "Factor of safety of the pin under bending, shear and ovalization together."),
    "pin-ovality": Entry("length", "The pin is pressed oval by no more than its pin-to-bore clearance allows."),
    "pin-boss-bearing-pressure": Entry("stress", "Pin-boss bearing pressure is low enough for the bosses to wear well."),
    "rod-tension": Entry("ratio", "Factor of safety of the rod in tension."),
    "rod-buckling": Entry("ratio", "Factor of safety of the rod against buckling."),
    "rod-fatigue": Entry("ratio", "Factor of safety of the rod in fatigue."),
}

YES_OR_NO = frozenset({"duty-allowed", "pin-retention", "boost-given", "nitrous-given"})
"""Checks whose value is 1 for yes and 0 for no; people are shown the word."""

VOCABULARY: dict[str, Entry] = {
    **_STACK,
    **_ASSEMBLY,
    **_LISTED,
    **_CYLINDERS,
    **_BEARINGS,
    **_VALVES,
    **_VALVE_TRAIN,
    **_BALANCE,
    **_COMBUSTION,
    **_STRENGTH,
}


def checks_listed() -> list[dict[str, str]]:
    """Every check, in the order of the house: name, kind and sentence; for a reference that is served.

    Examples
    --------
    >>> checks_listed()[1]["name"], len(checks_listed()) == len(VOCABULARY)
    ('squish', True)
    """
    return [{"name": name, "kind": entry.kind, "text": entry.sentence} for name, entry in VOCABULARY.items()]


def require_known(name: str) -> None:
    """Refuse the name of a check that is not in the vocabulary.

    Examples
    --------
    >>> require_known("squish")
    >>> require_known("squash")
    Traceback (most recent call last):
    ValueError: there is no check 'squash': add it, with its kind and a sentence, to borewright/rules/vocabulary.py
    """
    if name not in VOCABULARY:
        raise ValueError(f"there is no check {name!r}: add it, with its kind and a sentence, to borewright/rules/vocabulary.py")
