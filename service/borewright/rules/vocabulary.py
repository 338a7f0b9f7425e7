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
    "deck-clearance": Entry("length", "The piston stands near enough to the deck at its top for the parts to be a set."),
    "squish": Entry("length", "The flat of the crown clears the head at speed, and is near enough to stir the charge."),
    "gasket-overhang": Entry("length", "The gasket's opening is no smaller than the bore, on the diameter."),
    "compression-for-duty": Entry("ratio", "The compression ratio suits the duty and its fuel."),
    "compression-target": Entry("ratio", "The compression ratio lies in the window asked for."),
    "compression-spread": Entry("ratio", "The cylinders have nearly the same compression ratio."),
    "chamber-spread": Entry("volume", "The chambers have nearly the same volume."),
    "crown-volumes-agree": Entry("volume", "The crown's volume by the pour is that by its sizes."),
    "deck-spread": Entry("length", "The pistons stand nearly alike at the deck."),
}
_ASSEMBLY = {
    "rod-ratio": Entry("ratio", "The rod is of a usual length for the stroke."),
    "mean-piston-speed": Entry("speed", "The mean piston speed is one that the parts of this service last at."),
    "skirt-exposed": Entry("length", "The skirt leaves the cylinder by no more than is usual at the bottom of the stroke."),
    "counterweight-to-boss": Entry("length", "The counterweights clear the pin bosses."),
    "counterweight-to-skirt": Entry("length", "The counterweights clear the lower edge of the skirt."),
    "pin-fit-rod-tight": Entry("length", "The pin is not tighter in the small end than wanted."),
    "pin-fit-rod-loose": Entry("length", "The pin is not looser in the small end than wanted."),
    "pin-fit-piston-tight": Entry("length", "The pin is not tighter in the bosses than wanted."),
    "pin-fit-piston-loose": Entry("length", "The pin is not looser in the bosses than wanted."),
    "honing-to-float": Entry("length", "A small end honed to let the pin float grows by the usual amount."),
    "pin-end-room": Entry("length", "The rim of the pin's end, retainer included, stays off the round wall of the cylinder."),
    "pin-within-bosses": Entry("length", "Pin and retainers lie within the faces of the bosses."),
    "top-land": Entry("length", "The top ring land is as high as the duty wants."),
    "second-land": Entry("length", "The second ring land is as high as the duty wants."),
}
_LISTED = {
    "bore": Entry("length", "The block can be brought to the bore that the pistons are made for."),
    "duty-allowed": Entry("ratio", "The list says that the pistons are made for the duty: 1 for yes, 0 for no."),
    "head-bore": Entry("length", "The heads are made for the bore."),
    "pin-retention": Entry("ratio", "Rod and piston hold the pin in the same way: 1 for yes, 0 for no."),
    "pin-fit": Entry("length", "By the sizes in the lists, small end and pin are made for one another."),
    "journal-diameter": Entry("length", "The rod is made for the diameter of the crankshaft's rod journals."),
    "journal-width": Entry("length", "The rod is made for the width of the crankshaft's rod journals."),
    "cost": Entry("ratio", "Parts and work cost no more than they may, as a share of it."),
    "combinations": Entry("ratio", "At least one combination of the lists keeps every limit; the value counts them."),
}
_CYLINDERS = {
    "clean-up": Entry("length", "The finished size reaches past the deepest wear with the hone's stock."),
    "out-of-round": Entry("length", "The worst cylinder is as round as a worn one may be."),
    "taper": Entry("length", "The worst cylinder is as parallel as a worn one may be."),
    "bored-before": Entry("length", "The least worn level of each cylinder lies near the size it was last bored to."),
    "bore-width": Entry("length", "Largest and smallest diameter differ by no more than in a new cylinder."),
    "wall": Entry("length", "The thinnest wall stays thick enough at the finished size."),
    "skirt-clearance": Entry("length", "No skirt is tighter in its cylinder than wanted."),
    "skirt-slap": Entry("length", "No skirt is looser in its cylinder than wanted."),
    "coated-entry": Entry("length", "The coated skirt goes into the cylinder."),
    "hot-clearance": Entry("length", "The skirt still has clearance when hot."),
    **_of_each(("top", "second", "oil-rail"), "butting", "length", "The gap of the {} ring does not close when hot."),
    **_of_each(("top", "second", "oil-rail"), "gap", "length", "The gap of the {} ring is not tighter than wanted."),
    **_of_each(("top", "second", "oil-rail"), "blow-by", "length", "The gap of the {} ring is not wider than wanted."),
}
_BEARINGS = {
    "oil-clearance-tight": Entry("length", "No bearing is tighter than wanted."),
    "oil-clearance-loose": Entry("length", "No bearing is looser than wanted."),
    "journal-out-of-round": Entry("length", "The worst journal is as round as a used one may be."),
    "journal-taper": Entry("length", "The worst journal is as parallel as a used one may be."),
    "rod-side-clearance": Entry("length", "The rods have the usual room between the cheeks of their pin."),
    "crank-end-float": Entry("length", "The crankshaft floats by the usual amount in its thrust bearing."),
    "oil-film": Entry("length", "The oil film under the highest load is thicker than the surfaces are rough."),
}
_VALVES = {
    **_of_each(("intake", "exhaust"), "valve-clearance", "length", "The {} valve clears the piston along its axis."),
    **_of_each(("intake", "exhaust"), "valve-edge", "length", "The edge of the {} valve clears the wall of its relief."),
    **_of_each(("intake", "exhaust"), "lift-range", "angle", "The {} lift was measured as far as the least clearance."),
    **_of_each(("intake", "exhaust"), "lift-spacing", "angle", "The {} lift was measured closely around the least clearance."),
}
_WEIGHED = ("piston", "pin", "rings", "locks", "rod-small-end", "rod-big-end", "bearings")
_BALANCE = {
    "balance-factor": Entry("ratio", "The balance factor is one in use for the layout."),
    "rods-per-journal": Entry("ratio", "As many rods share a journal as the layout has."),
    "rod-ends": Entry("ratio", "The rod's small end has a usual share of its mass."),
    **_of_each(_WEIGHED, "spread", "mass", "The mass of the {} matches over the cylinders weighed."),
    **_of_each(_WEIGHED, "mass", "mass", "The mass of the {} that the bob-weight is made from is one found on the scale."),
}
_COMBUSTION = {
    "factor": Entry("ratio", "The correction factor lies where the standard vouches for it."),
    "air-temperature": Entry("temperature", "The air is in the standard's range of temperature."),
    "pressure": Entry("pressure", "The air is in the standard's range of pressure."),
    "dry-pressure": Entry("pressure", "The dry air is in the standard's range of pressure."),
    "points-changed": Entry("ratio", "The compression changes by so little that the rule of thumb still holds."),
    "breathing": Entry("percentage", "The heads let most of a larger displacement be filled at the speed asked."),
    "spark-retard": Entry("angle", "The spark is retarded by no more than may be run."),
    "octane-margin": Entry("ratio", "The fuel has octane numbers in hand at best-torque timing."),
    "octane-margin-at-worst": Entry("ratio", "The fuel has octane numbers in hand where all that is not known falls against it."),
    "peak-pressure": Entry("pressure", "The peak pressure is one that the parts stand."),
    "nitrous-retard": Entry("angle", "The spark is retarded at least as far as is usual with nitrous oxide."),
    "boost-given": Entry("ratio", "The boost that the duty speaks of is given."),
    "nitrous-given": Entry("ratio", "The nitrous oxide that the duty speaks of is given."),
    "injector-duty": Entry("percentage", "The injectors have time to close at the power aimed at."),
    "pump-flow": Entry("fuel_volume_flow", "The fuel pump delivers what the power takes, with a reserve."),
    "throttle-drop": Entry("pressure", "The open throttle holds the engine back no more than is usual."),
}
_STRENGTH = {
    "crown": Entry("ratio", "Factor of safety of the crown in bending."),
    "top-land-bending": Entry("ratio", "Factor of safety of the top ring land in bending."),
    "top-land-shear": Entry("ratio", "Factor of safety of the top ring land in shear."),
    "second-land-bending": Entry("ratio", "Factor of safety of the second ring land in bending."),
    "second-land-shear": Entry("ratio", "Factor of safety of the second ring land in shear."),
    "pin-boss-bearing": Entry("ratio", "Factor of safety of the pin bosses under the pin's pressure."),
    "pin-bending": Entry("ratio", "Factor of safety of the pin in bending."),
    "pin-shear": Entry("ratio", "Factor of safety of the pin in shear."),
    "pin-ovalization": Entry("ratio", "Factor of safety of the pin against being pressed oval."),
    "pin-combined": Entry("ratio", "Factor of safety of the pin under bending, shear and ovalization together."),
    "pin-ovality": Entry("length", "The pin is pressed oval by no more than its running clearance takes."),
    "pin-boss-pressure": Entry("stress", "The pin's pressure on its bosses is one that they wear well at."),
    "rod-tension": Entry("ratio", "Factor of safety of the rod in tension."),
    "rod-buckling": Entry("ratio", "Factor of safety of the rod against buckling."),
    "rod-fatigue": Entry("ratio", "Factor of safety of the rod in fatigue."),
}

VOCABULARY: dict[str, Entry] = {
    **_STACK,
    **_ASSEMBLY,
    **_LISTED,
    **_CYLINDERS,
    **_BEARINGS,
    **_VALVES,
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
