"""Which piston, and which rod, goes into which cylinder so that the compression ratios lie nearest together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from borewright.calculations.base.answers import AnswerPart, Count, Figure, Rows, Section, Word
from borewright.calculations.common.geometry import Geometry
from borewright.calculations.compression.cylinder_spread.spread import Spread
from borewright.physics.arrays import FloatArray, floats
from borewright.physics.mechanism.volumes import circle_area

What = Literal["pistons", "rods", "pistons with their rods"]
WAYS: Mapping[What, tuple[str, ...]] = {  # the sizes that must be known of each
    "pistons": ("compression_height",),
    "rods": ("rod_length",),
    "pistons with their rods": ("compression_height", "rod_length"),
}
FINDINGS = ("evens", "leaves", "unknown")
WORTH = 1e-6  # of the ratio: what evens less is left as it is
SAME = 1e-12  # of a ratio, from rounding


class PlaceAnswer(AnswerPart):
    """Where one part goes."""

    cylinder = Count("number of the cylinder")
    takes_from = Count("the cylinder whose part goes into it")


class ExchangeAnswer(AnswerPart):
    """One way of exchanging parts between the cylinders; weights aside."""

    what = Word("what is exchanged", options=tuple(WAYS))
    finding = Word(
        "whether it brings the ratios nearer together; unknown where a cylinder leaves out a size that is needed", options=FINDINGS
    )
    places = Rows(Section(PlaceAnswer, "one cylinder"), "the exchange that leaves the least spread of the ratio; empty where it is unknown")
    moved = Count("parts that change their cylinder; null where it is unknown", nullable=True)
    ratio_spread = Figure("ratio", "largest less smallest compression ratio after it; null where it is unknown", nullable=True)
    deck_spread = Figure("length", "largest less smallest deck clearance after it; null where it is unknown", nullable=True)
    missing = Rows(Word("a JSON pointer"), "the sizes that would make it known")


def exchanges(listed: Sequence[Mapping[str, Any]], found: Sequence[Geometry], labels: Sequence[int]) -> list[dict[str, Any]]:
    """Each way of exchanging, as it is answered [SI]; decided at the nominal sizes, its spreads in every state.

    listed : the cylinders as the request has them
    found : their volumes
    """
    return [_way(what, needed, listed, found, labels) for what, needed in WAYS.items()]


def _way(
    what: What, needed: Sequence[str], listed: Sequence[Mapping[str, Any]], found: Sequence[Geometry], labels: Sequence[int]
) -> dict[str, Any]:
    missing = [f"#/by_cylinder/{index}/{name}" for index, entry in enumerate(listed) for name in needed if name not in entry]
    if missing:
        return {"what": what, "finding": "unknown", "places": [], "missing": missing}
    reach = _rows([sum(entry[name] for name in needed) for entry in listed])
    deck, swept = _rows([each.deck_clearance for each in found]), _rows([each.swept for each in found])
    clearance, area = _rows([each.clearance for each in found]), _rows([circle_area(each.bore) for each in found])
    crown = _rows([each.parts["crown"] for each in found]) if "compression_height" in needed else np.zeros_like(deck)
    # row: cylinder, column: whose part it takes
    stands = deck[:, None] + reach[:, None] - reach[None, :]
    room = clearance[:, None] + area[:, None] * (stands - deck[:, None]) + crown[None, :] - crown[:, None]
    met = [each.squish is not None for each in found]
    gasket = _rows([np.zeros(1) if each.squish is None else each.squish - each.deck_clearance for each in found])
    can = (room[..., 0] > 0.0) & ~(np.array(met)[:, None] & ((stands + gasket[:, None])[..., 0] < 0.0))
    ratio = 1.0 + swept[:, None] / np.where(room > 0.0, room, np.nan)
    own = np.arange(len(found))
    stay = np.eye(len(found), dtype=np.bool_)
    known = bool(np.isfinite(ratio[own, own, 0]).all())  # else the engine can't be, and is refused for what makes it so
    best = narrowest(np.where(can | stay, ratio[..., 0], np.nan)) if known else own
    before, after = (float(np.ptp(ratio[own, to, 0])) for to in (own, best))
    evens = after < before - WORTH
    to = best if evens else own
    return {
        "what": what,
        "finding": "evens" if evens else "leaves",
        "places": [{"cylinder": labels[row], "takes_from": labels[column]} for row, column in enumerate(to.tolist())],
        "moved": int((to != own).sum()),
        "ratio_spread": Spread.of(labels, list(ratio[own, to])).spread,
        "deck_spread": Spread.of(labels, list(stands[own, to])).spread,
        "missing": [],
    }


def _rows(values: Sequence[Any]) -> FloatArray:
    """Sizes of each cylinder in every state, of shape (cylinders, states)."""
    return np.stack(np.broadcast_arrays(*(np.atleast_1d(floats(value)) for value in values)))


def narrowest(values: FloatArray) -> npt.NDArray[np.intp]:
    """For each row the column it takes, each column once, so that the values taken span as little as they can.

    A window of the sorted values is moved up: its lower end while it holds a whole assignment, its upper end while it does not. In the
    narrowest one rows keep their own column where they can, the first before the others.

    values : array (n, n), NaN where a row can't take a column

    Raises ValueError where no whole assignment is left.

    >>> narrowest(np.array([[9.0, 9.5], [9.4, 9.9]]))
    array([1, 0])

    Source: S. Martello, W. R. Pulleyblank, P. Toth and D. de Werra, Balanced optimization problems, Oper. Res. Lett. 3 (1984) 275-278.
    """
    sizes = np.unique(values[np.isfinite(values)])
    best: tuple[float, float] | None = None
    low = high = 0
    taken: dict[int, int] = {}
    while high < sizes.size:
        taken = _assigned((values >= sizes[low]) & (values <= sizes[high]), taken)
        if len(taken) < len(values):
            high += 1
            continue
        if best is None or sizes[high] - sizes[low] < best[1] - best[0] - SAME:
            best = float(sizes[low]), float(sizes[high])
        low += 1
        high = max(high, low)
    if best is None:
        raise ValueError("no assignment takes each column once")
    inside = (values >= best[0]) & (values <= best[1])
    for row in range(len(values)):
        alone = inside.copy()
        alone[row], alone[:, row], alone[row, row] = False, False, inside[row, row]
        if len(_assigned(alone, {})) == len(values):
            inside = alone
    rows = {row: column for column, row in _assigned(inside, {}).items()}
    return np.array([rows[row] for row in range(len(values))], dtype=np.intp)


def _assigned(can: npt.NDArray[np.bool_], before: Mapping[int, int]) -> dict[int, int]:
    """Columns with the row that takes each, as many as can be, from those taken before that still can (augmenting paths)."""
    taken = {column: row for column, row in before.items() if can[row, column]}
    options = [np.flatnonzero(row).tolist() for row in can]

    def augment(row: int, seen: set[int]) -> bool:
        for column in options[row]:
            if column not in seen:
                seen.add(column)
                if column not in taken or augment(taken[column], seen):
                    taken[column] = row
                    return True
        return False

    for row in set(range(len(can))) - set(taken.values()):
        if not augment(row, set()):
            break
    return taken
