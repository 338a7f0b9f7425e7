"""What a search answers: choices, what was rejected and why, and what came closest, in SI units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from borewright.selection.candidates import Crank, Gasket, Head, Piston, Rod
from borewright.selection.demands import Places, Span

Operation = Literal["bore", "small_end_hone", "deck_cut", "head_mill"]


@dataclass(frozen=True, slots=True)
class Work:
    """One operation of a choice: how much it takes [m] (bore and hone on the diameter), and its price.

    `amount` is `None` where a hone is needed and the small end or the pin is not given.

    Examples
    --------
    >>> Work("deck_cut", 0.1e-3, 120.0).operation
    'deck_cut'
    """

    operation: Operation
    amount: float | None
    price: float


@dataclass(frozen=True, slots=True)
class Combination:
    """A combination with its machining and what it comes to; `places` are its positions in the five lists.

    Examples
    --------
    >>> from borewright.selection.demands import small_problem
    >>> from borewright.selection.search import search
    >>> choice = search(small_problem()).choices[0]
    >>> choice.operations, choice.cost, round(choice.compression_ratio, 6)
    (1, 1110.0, 10.0)
    """

    places: Places
    crank: Crank
    rod: Rod
    piston: Piston
    gasket: Gasket
    head: Head
    work: tuple[Work, ...]
    cost: float
    compression_ratio: float
    closeness: float
    deck_clearance: float
    squish: float | None
    swept_volume: float
    clearance_volume: float
    displacement: float
    unchecked: tuple[str, ...]

    @property
    def operations(self) -> int:
        """Number of machining operations."""
        return len(self.work)


@dataclass(frozen=True, slots=True)
class Broken:
    """A rule a combination does not keep and by how much: [m], a ratio or a price; `None` for a plain no.

    Examples
    --------
    >>> Broken("squish", 0.1e-3).by
    0.0001
    """

    reason: str
    by: float | None


@dataclass(frozen=True, slots=True)
class Examined:
    """One combination looked at on its own: every rule it breaks, every way of machining that meets the target.

    `reach` is the range of compression ratio its machining can reach; a high of infinity means the clearance can be cut to nothing.

    Examples
    --------
    >>> Examined((0, 0, 0, 0, 0), (), (), Span(9.0, 9.4)).fits
    False
    """

    places: Places
    broken: tuple[Broken, ...]
    plans: tuple[Combination, ...]
    reach: Span

    @property
    def fits(self) -> bool:
        """Whether the parts go together and meet every limit with some machining on offer."""
        return not self.broken and bool(self.plans)


@dataclass(frozen=True, slots=True)
class Miss:
    """The combination that came closest to passing one rule, of those that rule turned away.

    Examples
    --------
    >>> Miss("squish", 0.1e-3, Examined((0, 0, 0, 0, 0), (), (), Span(9.0, 9.4))).reason
    'squish'
    """

    reason: str
    by: float | None
    combination: Examined


@dataclass(frozen=True, slots=True)
class SearchResult:
    """The answer: ranked choices, and where every other combination went.

    `considered` = `fitting` + the sum of `rejected`. `nearest` is filled only when nothing fits: one entry for each rule that
    turned combinations away, the rule furthest along the order first, so its first entry is the nearest miss.

    Examples
    --------
    >>> SearchResult((), 0, 0, {}, ()).choices
    ()
    """

    choices: tuple[Combination, ...]
    considered: int
    fitting: int
    rejected: Mapping[str, int]
    nearest: tuple[Miss, ...]


class SearchTooLargeError(ValueError):
    """More work than the caller's limit, counted in combinations; carries `bound` (the limit) and `size` (what was asked).

    Examples
    --------
    >>> str(SearchTooLargeError(bound=100, size=250))
    'the work of 250 combinations is more than the limit of 100'
    """

    def __init__(self, bound: int, size: int) -> None:
        super().__init__(f"the work of {size} combinations is more than the limit of {bound}")
        self.bound = bound
        self.size = size
