"""The trade's words in plain sentences, for developers who don't know engines."""

from __future__ import annotations

import re
from functools import cache

GLOSSARY: dict[str, str] = {
    "air correction": "Telling measured power as it would be in standard air, so that days and shops can be compared.",
    "aspiration": "How an engine gets its air: naturally aspirated, boosted, or with nitrous oxide.",
    "balance factor": "The share of the reciprocating mass that counts in the bobweight.",
    "bearing": "A replaceable shell in which a shaft journal turns on a film of oil.",
    "blow-by": "Combustion gas that leaks past the piston rings into the crankcase.",
    "bobweight": "A weight clamped to a rod journal on the balancing machine in place of rod and piston.",
    "boost": "Pressure above the atmosphere's at which a supercharger or turbocharger feeds the engine.",
    "bore": "The diameter of a cylinder; to bore is to cut it larger.",
    "bore-to-gasket clearance": "Gasket bore less cylinder bore, on the diameter. Below zero the gasket hangs into the chamber.",
    "boss": "The part of a piston that carries one end of the piston pin.",
    "breathing": "How well the engine fills its cylinders with air at speed.",
    "buckling": "Bowing of a slender part under a load along its length.",
    "butting": "A ring whose end gap has closed from heat; it then has no room left and breaks or scuffs.",
    "cam timing": "At which crank angles the camshaft opens and closes the valves.",
    "chamber": "The hollow in the cylinder head above the piston, where the charge burns.",
    "clean up": "To remove all wear: a bore cleans up at a size if cutting to it leaves no worn spot.",
    "clearance volume": "The volume left above the piston at top dead center.",
    "coil bind": "A valve spring pressed until its coils touch; it can go no further.",
    "compression height": "Distance from the center of the piston pin to the flat of the crown.",
    "compression ratio": "Cylinder volume at bottom dead center over the volume at top dead center.",
    "connecting rod": "The link from piston pin to crankshaft; its length is measured center to center.",
    "correction factor": "What measured power is multiplied by to tell it for standard air.",
    "counterweight": "A mass on the crankshaft opposite a rod journal that offsets what turns and moves there.",
    "crown": "The top of a piston. A dome takes volume from the chamber; a dish or a valve pocket adds volume.",
    "deck": "The face of the block that the head gasket seals on.",
    "deck clearance": "How far the flat of the piston stands below the deck at top dead center; negative if above.",
    "detonation": "See knock.",
    "displacement": "The volume all pistons sweep in one stroke.",
    "dry pressure": "Air pressure without the part that is water vapor.",
    "duty": "What the engine is for: how it gets its air, how hard it is run, and on what fuel.",
    "dynamic compression ratio": "The compression ratio counted from where the intake valve closes.",
    "edge clearance": "The sideways gap between the rim of a valve and the wall of its valve pocket.",
    "end float": "How far the crankshaft can slide along its axis in the thrust bearing; also called end play.",
    "factor of safety": "The strength of a part over the stress in it; below 1 it fails.",
    "fatigue": "Cracking under a load that comes and goes, below the load that would break the part at once.",
    "fuel pump": "What delivers fuel from the tank at the pressure the injectors need.",
    "governing cylinder": "The cylinder that sets the limit for all of them, such as the most worn one.",
    "head gasket": "The seal between block and head; its bore and crushed thickness add to the clearance volume.",
    "honing": "Finishing a bore with abrasive stones to its last few hundredths of a millimeter.",
    "hot clearance": "A clearance at running temperature, after the parts have expanded.",
    "injector": "A valve that meters fuel; its duty is the share of the time it is open.",
    "journal": "The ground part of a shaft that runs in a bearing.",
    "knock": "Self-ignition of the last of the charge before the flame reaches it; it breaks pistons.",
    "knock-limited compression ratio": "The highest compression ratio at which the fuel does not knock at the timing allowed.",
    "lash": "The slack left in the valve train with the valve closed.",
    "layout": "How many cylinders an engine has, in how many banks, and at what angles.",
    "lift": "How far a valve is open.",
    "lifter": "The part that rides on the cam; a hydraulic one takes up slack with oil, and its preload is how far it is pressed down.",
    "lugging": "Pulling hard at low speed, where knock has the most time to develop.",
    "main bearing": "A bearing in the block that carries the crankshaft.",
    "maximum brake torque (MBT) timing": "The spark timing at which the engine makes the most torque.",
    "mean piston speed": "Twice the stroke times the speed of the crankshaft.",
    "mill": "To cut a flat face, such as that of the head.",
    "naturally aspirated": "Without boost and without nitrous oxide.",
    "needs attention": "A check that did not pass: a fail, a watch or an unknown.",
    "nitrous oxide": "A gas carried in a bottle that gives the engine extra oxygen.",
    "octane margin": "The octane number of the fuel less the octane requirement.",
    "octane rating": "How well a fuel resists knock, on one of three scales: RON, MON, or AKI, their average.",
    "octane requirement": "The octane number at which the engine just does not knock, told with its scale.",
    "oil clearance": "The gap between a journal and its bearing, on the diameter.",
    "oil film": "The layer of oil that keeps a journal off its bearing.",
    "oil rail": "One of the two thin rings that scrape oil off the cylinder wall.",
    "out of round": "The difference between the largest and the smallest diameter at one level of a bore or journal.",
    "ovalization": "Flattening of a hollow piston pin under load.",
    "peak pressure": "The highest pressure in the cylinder during a cycle.",
    "pin": "The piston pin, or wrist pin, that joins the piston to the connecting rod.",
    "pin-boss bearing pressure": "The load on the pin over the area of the bosses that carry it.",
    "pin retention": "How the pin is kept in place: pressed into the rod, or floating between locks.",
    "pin-to-bore clearance": "The bore of the rod or the piston less the diameter of the pin; negative for a press fit.",
    "piston-to-valve clearance": "The least gap between a valve and the piston while the engine turns.",
    "power": "Torque times speed; what the engine does in a second.",
    "press fit": "A joint in which the inner part is larger than its hole.",
    "reciprocating mass": "What moves up and down with the piston.",
    "retainer": "The washer that holds a valve spring to its valve.",
    "retard": "Spark timing later than MBT timing, in degrees of crank angle.",
    "ring end gap": "The gap between the ends of a piston ring in its cylinder; it must not close when hot.",
    "ring end gap minimum": "The smallest end gap a ring may be fitted with.",
    "ring land": "The wall of a piston between two ring grooves, or above the first.",
    "rocker": "The lever that opens a valve; its sweep is how far its contact travels over the tip of the valve.",
    "rod bearing": "A bearing in the big end of a connecting rod.",
    "rod ratio": "Rod length over stroke.",
    "rotating mass": "What turns with the rod journal.",
    "shell": "One half of a replaceable bearing.",
    "side clearance": "How far the rods can slide along their journal.",
    "skirt": "The lower side wall of a piston, which guides it in the cylinder.",
    "skirt clearance": "Cylinder bore less the diameter of the piston at its gauge point.",
    "sleeve": "A liner pressed into a cylinder that is bored out, to give it a new wall.",
    "sonic check": "Measuring the thickness of a cylinder wall by ultrasound.",
    "squish": "The gap between the flat of the crown and the head at top dead center.",
    "stroke": "How far the piston travels; twice the throw of the crankshaft.",
    "taper": "The difference between the diameters at the two ends of a bore or journal.",
    "throttle": "The valve that lets air in; wide open, it should cost almost no pressure.",
    "top dead center": "The highest position of the piston, usually written TDC; bottom dead center is the lowest.",
    "valve pocket": "A pocket in the crown that clears a valve, also called a relief; its depth is measured from the flat of the crown.",
    "valve recession": "How far the face of a closed valve stands back from the face of the head.",
    "volumetric efficiency": "The air a cylinder takes in over what it would hold at the density outside.",
    "wall": "The metal between a cylinder and the coolant around it.",
}
"""A term, and what it means."""

ALSO: dict[str, tuple[str, ...]] = {
    "aspiration": ("aspirations",),
    "bore": ("bored", "bores", "coated entry"),
    "bobweight": ("bob weight", "rod small end", "rod big end", "locks", "rings", "bearings", "piston mass", "piston spread"),
    "breathing": ("air flow",),
    "compression ratio": ("compression", "points changed"),
    "correction factor": ("factor", "air temperature", "pressure"),
    "layout": ("rods per journal", "combinations"),
    "connecting rod": ("rod",),
    "edge clearance": ("valve edge",),
    "fuel pump": ("pump",),
    "head gasket": ("gasket",),
    "nitrous oxide": ("nitrous",),
    "ovalization": ("ovality",),
    "piston-to-valve clearance": ("valve clearance",),
    "ring end gap": ("gap", "gaps"),
    "ring land": ("land",),
    "skirt": ("slap",),
}
"""Other words under which a term is met in names of checks and titles."""


@cache
def _matcher() -> re.Pattern[str]:
    words = [*GLOSSARY, *(word for also in ALSO.values() for word in also)]
    plain = sorted((re.escape(word.lower().replace("-", " ")) for word in words), key=len, reverse=True)
    return re.compile(r"\b(?:" + "|".join(plain) + r")s?\b")


def explained(text: str) -> list[str]:
    """The words of a text that the glossary explains.

    Examples
    --------
    >>> explained("top-land-bending"), explained("cost")
    (['land'], [])
    """
    return _matcher().findall(text.lower().replace("-", " ").replace("_", " "))
