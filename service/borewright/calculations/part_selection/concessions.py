"""What would have to give so that a combination fits: the rules that it breaks, mended one by one until all are kept."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace

from borewright.calculations.part_selection.remedies import REMEDIES, Entry, Given, Instead, Place, within_request
from borewright.calculations.part_selection.search import ONLY
from borewright.calculations.part_selection.sides import what
from borewright.selection.demands import SearchProblem
from borewright.selection.examination import examine
from borewright.selection.outcome import Examined
from borewright.selection.single import alone

MOST_TRIES = 4  # to keep one rule: what keeps another can break it again


@dataclass(frozen=True)
class Concession:
    """A broken rule: by how much, what would have to give in words, and what the fields would say instead.

    by : [m], of the compression ratio [1], or of the cost; None for a plain no
    follows : whether it is only broken once others are kept
    """

    reason: str
    by: float | None
    what: str
    instead: tuple[Instead, ...] = ()
    follows: bool = False


def concessions(problem: SearchProblem, examined: Examined, pistons: list[Entry], *, targeted: bool) -> tuple[list[Concession], bool]:
    """What would have to give for one of the problem's combinations, in the order of the rules; and whether it then fits.

    Rules that it comes to break by a change are told as well; one that another change keeps has no change of its own.

    pistons : as the request has them
    targeted : whether a ratio is asked for
    """
    given = Given(alone(problem, examined.places), pistons[examined.places[2]])
    told = {broken.reason: Concession(broken.reason, broken.by, what(given.problem, broken.reason)) for broken in examined.broken}
    tries = Counter({"compression-target": 0 if targeted else MOST_TRIES})
    changed: dict[str, dict[Place, None]] = {reason: {} for reason in told}
    latest: dict[Place, Instead] = {}
    now = examine(given.problem, ONLY)
    while broken := next((each for each in now.broken if tries[each.reason] < MOST_TRIES), None):
        reason = broken.reason
        change = REMEDIES[reason](given, broken.by or 0.0)
        if change is None or not within_request(change[1]):
            tries[reason] = MOST_TRIES
            continue
        tries[reason] += 1
        told.setdefault(reason, Concession(reason, broken.by, what(given.problem, reason), follows=True))
        given, instead = change
        latest |= {each.place: each for each in instead}
        changed.setdefault(reason, {}).update(dict.fromkeys(each.place for each in instead))
        now = examine(given.problem, ONLY)
    # a field changed for two rules says at both what it says in the end
    return [replace(one, instead=tuple(latest[place] for place in changed[reason])) for reason, one in told.items()], now.fits
