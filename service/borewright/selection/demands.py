"""What a build must keep to, what the shop can do, and the whole of what a search is asked, in SI units."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import inf, isfinite
from typing import Literal

from borewright.selection.candidates import Block, Crank, Gasket, Head, Piston, Rod, require_number

Preference = Literal["operations", "cost", "closeness"]
Places = tuple[int, int, int, int, int]

PREFER: tuple[Preference, ...] = ("operations", "cost", "closeness")

# Measured: time of a search whose lists make only short blocks, or only pairs, over the time of one that crosses the two.
SHORT_BLOCK_WORK = 60
PAIR_WORK = 25


@dataclass(frozen=True, slots=True)
class Span:
    """A closed range; an open side is infinite.

    Examples
    --------
    >>> Span(low=0.9e-3, high=1.2e-3).high
    0.0012
    """

    low: float = -inf
    high: float = inf

    def __post_init__(self) -> None:
        """Refuse an empty range."""
        if not self.low <= self.high:
            raise ValueError(f"a span runs from low to high, not from {self.low!r} to {self.high!r}")


@dataclass(frozen=True, slots=True)
class Cut:
    """An operation that takes metal off: the most it may take [m] and its price for the whole engine.

    Examples
    --------
    >>> Cut(maximum=0.5e-3, price=120.0).maximum
    0.0005
    """

    maximum: float
    price: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a cut of no certain size or price."""
        require_number(self, "maximum", "price", strictly=False)


@dataclass(frozen=True, slots=True)
class Machining:
    """The operations on offer; `None` is one the shop does not do.

    Examples
    --------
    >>> Machining(bore_price=240.0, deck_cut=Cut(0.5e-3, 120.0)).head_mill is None
    True
    """

    bore_price: float | None = None
    deck_cut: Cut | None = None
    head_mill: Cut | None = None
    small_end_hone: Cut | None = None

    def __post_init__(self) -> None:
        """Refuse a price that is not one."""
        require_number(self, "bore_price", strictly=False)


@dataclass(frozen=True, slots=True)
class BuildLimits:
    """What a finished build must keep to [m]; an open limit is not checked.

    `floating_clearance` and `press_interference` are diametral, small end against pin. Their defaults take nominal sizes:
    a part list that gives pin and small end the same figure is a fit (common practice: a floating pin runs with hundredths
    of a millimeter, a pressed one is tight by two to five of them).

    Examples
    --------
    >>> BuildLimits(squish=Span(0.9e-3, 1.2e-3)).deck_clearance
    Span(low=-inf, high=inf)
    """

    deck_clearance: Span = field(default_factory=Span)
    squish: Span = field(default_factory=lambda: Span(0.0, inf))
    top_land: float | None = None
    second_land: float | None = None
    pin_end_room: float = 0.0
    floating_clearance: Span = field(default_factory=lambda: Span(0.0, 0.05e-3))
    press_interference: Span = field(default_factory=lambda: Span(0.0, 0.06e-3))
    journal_diameter_tolerance: float = 0.05e-3
    journal_width_tolerance: float = 0.5e-3
    bore_tolerance: float = 0.0
    bore_to_gasket_clearance: float = 0.0
    counterweight_clearance: float = 0.0
    price: float | None = None

    def __post_init__(self) -> None:
        """Refuse limits that are not numbers, or an open pin fit: a hone needs a size to aim at."""
        require_number(self, "top_land", "second_land", "pin_end_room", "journal_diameter_tolerance", strictly=False)
        require_number(self, "journal_width_tolerance", "bore_tolerance", "bore_to_gasket_clearance", strictly=False)
        require_number(self, "counterweight_clearance", "price", strictly=False)
        for span in (self.floating_clearance, self.press_interference):
            if not (isfinite(span.low) and isfinite(span.high)):
                raise ValueError("pin fits need both a low and a high limit")


@dataclass(frozen=True, slots=True)
class Duty:
    """What the engine is for, in the words the pistons' allowances use.

    Examples
    --------
    >>> Duty(aspiration="boost").service
    'street'
    """

    service: str = "street"
    aspiration: str = "natural"


@dataclass(frozen=True, slots=True)
class Target:
    """The compression ratio wanted and the window that will do.

    Examples
    --------
    >>> Target(10.0, 9.8, 10.2).low
    9.8
    """

    value: float
    low: float
    high: float

    def __post_init__(self) -> None:
        """Refuse a window that does not hold its own target."""
        if not (1.0 < self.low <= self.value <= self.high and isfinite(self.high)):
            raise ValueError("a compression target needs 1 < low <= value <= high")


@dataclass(frozen=True, slots=True)
class SearchProblem:
    """Everything a search is asked: the block, the candidate lists, and what the build must keep to.

    Examples
    --------
    >>> block = Block(deck_height=0.229, bore=0.1, maximum_bore=0.101, cylinders=8)
    >>> SearchProblem(block, (), (), (), (), (), Target(10.0, 9.5, 10.5)).considered
    0
    """

    block: Block
    cranks: tuple[Crank, ...]
    rods: tuple[Rod, ...]
    pistons: tuple[Piston, ...]
    gaskets: tuple[Gasket, ...]
    heads: tuple[Head, ...]
    target: Target
    machining: Machining = field(default_factory=Machining)
    limits: BuildLimits = field(default_factory=BuildLimits)
    duty: Duty = field(default_factory=Duty)

    @property
    def shape(self) -> Places:
        """Length of each list: cranks, rods, pistons, gaskets, heads."""
        return len(self.cranks), len(self.rods), len(self.pistons), len(self.gaskets), len(self.heads)

    @property
    def considered(self) -> int:
        """Number of combinations the lists make."""
        cranks, rods, pistons, gaskets, heads = self.shape
        return cranks * rods * pistons * gaskets * heads

    @property
    def work(self) -> int:
        """Size of the search, in combinations: laying out a short block or a gasket-head pair costs as much as some dozens."""
        cranks, rods, pistons, gaskets, heads = self.shape
        return self.considered + SHORT_BLOCK_WORK * cranks * rods * pistons + PAIR_WORK * gaskets * heads


def small_problem() -> SearchProblem:
    """One crank, two rods, two pistons, one gasket and two heads for an invented V8 block; two of its eight combinations fit.

    Returns
    -------
    SearchProblem

    Examples
    --------
    >>> small_problem().considered
    8
    """
    return SearchProblem(
        block=Block(deck_height=0.2291, bore=0.1016, maximum_bore=0.1026, cylinders=8),
        cranks=(Crank("stock", stroke=0.0884, rod_journal_diameter=0.0533, price=0.0),),
        rods=(
            Rod("short", length=0.1448, small_end_bore=0.02352, pin_retention="press", journal_diameter=0.0533, price=200.0),
            Rod("long", length=0.1524, small_end_bore=0.02356, journal_diameter=0.0533, price=500.0),
        ),
        pistons=(
            Piston("flat", bore=0.1016, compression_height=0.0396, recess=5e-6, pin_diameter=0.02355, price=400.0),
            Piston("dish", bore=0.1021, compression_height=0.0396, recess=10e-6, pin_diameter=0.02355, price=450.0),
        ),
        gaskets=(Gasket("thin", bore=0.104, thickness=0.001, price=60.0),),
        heads=(
            Head("open", chamber_volume=76e-6, chamber_area=0.0055, price=0.0),
            Head("closed", chamber_volume=64e-6, chamber_area=0.0055, price=300.0),
        ),
        target=Target(10.0, 9.8, 10.2),
        machining=Machining(bore_price=240.0, deck_cut=Cut(0.5e-3, 160.0), head_mill=Cut(0.6e-3, 150.0), small_end_hone=Cut(0.1e-3, 80.0)),
        limits=BuildLimits(deck_clearance=Span(-0.1e-3, 0.8e-3), squish=Span(0.9e-3, 1.8e-3)),
    )
