"""Every caution of every answer: one table, the gravest first. Calculations name theirs by key, so no caution is said in two ways."""

from __future__ import annotations

from collections.abc import Iterable

ESTIMATE = "Every figure is an estimate: confirm it by measuring. Follow local codes and licensed practice."
"""The general notice, in every answer."""

_PEOPLE = {
    "nitrous": (
        "Nitrous oxide is a stored oxidizer under pressure: a bottle or line that lets go can burst, burn or freeze, and a "
        "lean or early-timed engine breaks in seconds. Follow local codes, and leave bottles, lines and purging to trained, "
        "licensed people."
    ),
    "test-running": (
        "Test running: exhaust gas kills in a closed room, and turning parts catch. Run the engine only with the extraction "
        "on and the guards in place, by local codes and licensed practice."
    ),
    "fuel-fire": (
        "Fuel burns and its vapor explodes: keep an extinguisher near, follow local codes, and leave lines, fittings and "
        "pumps to trained, licensed people."
    ),
    "rotating-parts": (
        "Rotating parts: a rod, pin, piston or bearing that fails at speed comes through the block. Keep people out of its "
        "plane, replace what is at its limit, and follow local codes and licensed practice."
    ),
    "balancing": (
        "Balancing: a crankshaft on the machine throws what comes loose, and heavy metal that works out of it kills. Close the "
        "guard, fasten every bobweight, stand clear of its plane, and follow local codes and licensed practice."
    ),
    "lifting": (
        "Lifting: a block or crankshaft that drops crushes. Use a hoist and a stand rated for it, never stand below, and "
        "follow local codes and licensed practice."
    ),
    "pressure-testing": (
        "Pressure testing: a plate, plug or casting that lets go is thrown hard. Keep to the tester's pressure, shield the "
        "work, and follow local codes and licensed practice."
    ),
    "boost": (
        "Boost raises heat and load on pistons, rods, rings and gaskets, and a hose or casing that lets go is thrown. Fuel, "
        "timing and cooling must be right before it is used, by local codes and licensed practice."
    ),
}
_ENGINE = {
    "valve-contact": (
        "A valve that meets its piston wrecks the engine: confirm with clay and a dial indicator at every valve, with the cam"
        " timed as it will run."
    ),
    "knock": (
        "Knock breaks pistons and ring lands in seconds, and no factor of safety covers it. The engine's own knock decides: "
        "start rich and with late timing, listen, and read the plugs."
    ),
    "lean": ("A lean engine at full load burns its pistons: size the fuel supply with its reserve, and confirm the mixture with a probe."),
    "used-parts": (
        "Stresses are those of sound parts: cracks, worn threads, bolts and the big end are not in them. Have used parts "
        "crack-tested, and go by what the maker of a part says it stands."
    ),
    "limit-in-steps": "Go by the low end of a limit, and come up to it in steps with the engine watched.",
    "limits-partly-known": "The limits do not count parts whose check is unknown: one of those may set a lower limit.",
    "brittle-piston": (
        "A cast hypereutectic piston is brittle: knock breaks it, and boost and nitrous oxide leave it little room for error."
    ),
    "ring-butting": "A ring whose gap butts when hot breaks and can lift the ring land: in doubt, file the gap wider.",
    "skirt-seizure": "A skirt that is too tight scuffs and seizes when hot.",
    "thin-walls": "Boring thins walls that a shifted core may have left thin: sonic check every side before the bar goes in.",
    "thin-chamber": "A chamber that is opened up has thinner walls: know what is behind them before metal is taken.",
    "sleeve": (
        "A sleeve weakens the deck and the walls of its neighbors: fit it by the practice for its block, and have the block "
        "pressure-tested."
    ),
    "pin-pressing": (
        "Pressing or heating a pin in or out loads rod and piston: use the right fixture, and never reuse a pin or rod that has galled."
    ),
    "lightening": "Material taken from rods, pins or counterweights weakens them: stay on the balance pads.",
    "turn-by-hand": (
        "Turn the crankshaft two full turns by hand before the engine is run, and measure skirt, boss and rod against "
        "counterweights and block in every cylinder: castings and grinds differ."
    ),
    "thin-crown": (
        "A crown that is cut is thinner: know what is left of it, valve pockets included, and check its strength before it is run."
    ),
    "cut-brings-valves-nearer": (
        "Milled heads, cut decks and thinner gaskets bring valves nearer to pistons: check that clearance before the engine is turned over."
    ),
    "cut-moves-valve-train": (
        "Milling the head changes the valve train and, with an overhead cam, the cam timing: measure the lift again after it."
    ),
}
_MEASURING = {
    "instructions": "Instructions that came with a part go before common practice.",
    "listed-parts": (
        "What a list says of a part is not the part: measure each one, and try the assembly, before metal is cut or parts are bought."
    ),
    "bearing-measuring": (
        "Measure housings with their bolts at full torque, journals and shells at one temperature; confirm with a plastic "
        "strip or a dial bore gauge."
    ),
    "depth-over-the-pin": (
        "A depth off by 0.1 mm is a volume off by 0.8 cm³ over a bore of 100 mm: measure it over the pin, where the piston can't rock."
    ),
    "ring-filing": "Measure each ring square in its own cylinder, file one end only, and take off the burr.",
    "skirt-measuring": (
        "Measure bore and skirt at one temperature, the skirt at its gauge point. The clearances are for cam-ground skirts."
    ),
    "shared-pin": (
        "Opened to 180 degrees this layout still has two rods on each pin, so that both pistons of a pair move the same way: an "
        "opposed engine with a throw for each cylinder is opposed-2, flat-4 or flat-6."
    ),
    "damper-and-flywheel": "A damper or flywheel that carries part of the balance belongs on the crankshaft while it is balanced.",
    "intake-face-half-known": (
        "Only one of bank_angle and intake_face_angle is given: both are needed to tell what the intake face loses."
    ),
    "hours-without-rate": "Hours are given but no labor rate: what a plan costs leaves them out.",
    "cylinders-left-out": "Not every cylinder is listed: the others may lie further out.",
    "knock-model": (
        "Of 32 engines in general terms this model agrees with what practice says of most (naturally aspirated and boosted, port, direct "
        "and carbureted, on 72 to 110 octane); fuels over 100 are rated by performance number, over 120 not at all."
    ),
    "correction-without-boost": (
        "The correction factors are for spark ignition without boost: an engine whose boost is held by a regulator is "
        "corrected too much by them."
    ),
    "correction-standards": "Powers corrected by different standards can't be compared: name the standard with the figure.",
    "correction-is-no-tuning": (
        "A correction factor is no tuning advice: thin or hot air changes what the engine wants in fuel and spark."
    ),
}

CAUTIONS: dict[str, str] = {**_PEOPLE, **_ENGINE, **_MEASURING}
"""Caution by key, the gravest first: what hurts people, what breaks an engine, what makes a figure wrong."""

_PLACES = {text: place for place, text in enumerate([*CAUTIONS.values(), ESTIMATE])}


def require_caution(key: str) -> None:
    """Refuse the key of a caution that is not in the table.

    Examples
    --------
    >>> require_caution("boost")
    >>> require_caution("boots")
    Traceback (most recent call last):
    ValueError: there is no caution 'boots': add it, in its place by gravity, to borewright/rules/cautions.py
    """
    if key not in CAUTIONS:
        raise ValueError(f"there is no caution {key!r}: add it, in its place by gravity, to borewright/rules/cautions.py")


def caution_texts(keys: Iterable[str]) -> list[str]:
    """The texts of cautions, the gravest first, none twice, and the general notice at the end.

    Examples
    --------
    >>> caution_texts(["valve-contact", "boost", "valve-contact"]) == [CAUTIONS["boost"], CAUTIONS["valve-contact"], ESTIMATE]
    True
    """
    wanted = set(keys)
    for key in wanted:
        require_caution(key)
    return [*(text for key, text in CAUTIONS.items() if key in wanted), ESTIMATE]


def gravest_first(texts: Iterable[str]) -> list[str]:
    """Texts of several answers put together: the gravest first, none twice.

    Examples
    --------
    >>> gravest_first([ESTIMATE, CAUTIONS["knock"], ESTIMATE, CAUTIONS["boost"]]) == [CAUTIONS["boost"], CAUTIONS["knock"], ESTIMATE]
    True
    """
    return sorted(set(texts), key=_PLACES.__getitem__)
