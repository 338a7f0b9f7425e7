"""The candidate parts and the block they go in, in SI units.

Lengths are in [m], volumes in [m3], prices in the caller's own currency for the whole set that one engine takes.
A fact a part list does not give is `None`: the rule that wants it is then passed over and named in `Combination.unchecked`.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Literal

Retention = Literal["press", "floating"]

EITHER_RETENTION: frozenset[Retention] = frozenset({"press", "floating"})


def require_number(owner: object, *names: str, least: float = 0.0, strictly: bool = True) -> None:
    """Refuse a number that is not finite or is under its least value; `None` is a fact not given.

    Examples
    --------
    >>> Gasket("thin", bore=-0.1, thickness=0.001)
    Traceback (most recent call last):
    ValueError: Gasket.bore must be a finite number over 0, not -0.1
    """
    for name in names:
        value = getattr(owner, name)
        if value is None:
            continue
        if not isfinite(value) or value < least or (strictly and value == least):
            bound = f"over {least:g}" if strictly else f"of at least {least:g}"
            raise ValueError(f"{type(owner).__name__}.{name} must be a finite number {bound}, not {value!r}")


@dataclass(frozen=True, slots=True)
class Block:
    """The block in hand: deck height, present bore, smallest bore that cleans up and the largest its walls allow [m].

    Examples
    --------
    >>> Block(deck_height=0.229, bore=0.1, maximum_bore=0.1015, cylinders=8).smallest_bore
    0.1
    """

    deck_height: float
    bore: float
    maximum_bore: float
    cylinders: int
    cleanup_bore: float | None = None

    def __post_init__(self) -> None:
        """Refuse sizes that no block has."""
        require_number(self, "deck_height", "bore", "maximum_bore", "cylinders", "cleanup_bore")

    @property
    def smallest_bore(self) -> float:
        """Smallest finished bore the block can have: the clean-up bore, or the present one where no wear is given."""
        return self.bore if self.cleanup_bore is None else max(self.bore, self.cleanup_bore)


@dataclass(frozen=True, slots=True)
class Crank:
    """A crankshaft: stroke, rod journal (crankpin) diameter and width, counterweight radius, gap between counterweights [m].

    Examples
    --------
    >>> Crank("long", stroke=0.095).price
    0.0
    """

    id: str
    stroke: float
    rod_journal_diameter: float | None = None
    rod_journal_width: float | None = None
    counterweight_radius: float | None = None
    price: float = 0.0
    counterweight_gap: float | None = None

    def __post_init__(self) -> None:
        """Refuse sizes that no crankshaft has."""
        require_number(self, "stroke", "rod_journal_diameter", "rod_journal_width", "counterweight_radius", "counterweight_gap")
        require_number(self, "price", strictly=False)


@dataclass(frozen=True, slots=True)
class Rod:
    """A connecting rod: center length, small end as finished, how it holds the pin, and the journal it is made for [m].

    Examples
    --------
    >>> Rod("short", length=0.1448).pin_retention
    'floating'
    """

    id: str
    length: float
    small_end_bore: float | None = None
    pin_retention: Retention = "floating"
    journal_diameter: float | None = None
    journal_width: float | None = None
    price: float = 0.0

    def __post_init__(self) -> None:
        """Refuse sizes that no rod has."""
        require_number(self, "length", "small_end_bore", "journal_diameter", "journal_width")
        require_number(self, "price", strictly=False)
        if self.pin_retention not in EITHER_RETENTION:
            raise ValueError(f"Rod.pin_retention must be press or floating, not {self.pin_retention!r}")


@dataclass(frozen=True, slots=True)
class Piston:
    """A piston: bore size, compression height, crown, pin and lands [m, m3], with the duties its maker allows.

    `dome` takes volume away, `recess` (dish and valve reliefs) and `crevice_volume` (above the top ring) add to it.

    Examples
    --------
    >>> Piston("flat", bore=0.1, compression_height=0.039, recess=5e-6).crown_volume
    5e-06
    """

    id: str
    bore: float
    compression_height: float
    dome: float = 0.0
    recess: float = 0.0
    crevice_volume: float = 0.0
    pin_diameter: float | None = None
    pin_length: float | None = None
    pin_retentions: frozenset[Retention] = EITHER_RETENTION
    boss_below_pin: float | None = None
    top_land_height: float | None = None
    second_land_height: float | None = None
    aspirations: frozenset[str] | None = None
    services: frozenset[str] | None = None
    price: float = 0.0
    retainer_thickness: float | None = None
    width_at_boss: float | None = None

    def __post_init__(self) -> None:
        """Refuse sizes that no piston has."""
        require_number(self, "bore", "compression_height", "pin_diameter", "pin_length", "top_land_height", "second_land_height")
        require_number(self, "width_at_boss")
        require_number(self, "price", "dome", "recess", "crevice_volume", "boss_below_pin", "retainer_thickness", strictly=False)
        if not self.pin_retentions or not self.pin_retentions <= EITHER_RETENTION:
            raise ValueError(f"Piston.pin_retentions must name press, floating or both, not {sorted(self.pin_retentions)}")

    @property
    def crown_volume(self) -> float:
        """Volume the piston adds over a flat crown at its compression height [m3]."""
        return self.recess + self.crevice_volume - self.dome


@dataclass(frozen=True, slots=True)
class Gasket:
    """A head gasket: bore or area of the opening and compressed thickness [m, m2], or its volume [m3] where that was poured.

    Examples
    --------
    >>> Gasket("thin", bore=0.102, thickness=0.001).volume is None
    True
    """

    id: str
    bore: float | None = None
    thickness: float | None = None
    volume: float | None = None
    price: float = 0.0
    area: float | None = None

    def __post_init__(self) -> None:
        """Refuse a gasket whose volume cannot be known."""
        require_number(self, "bore", "area")
        require_number(self, "thickness", strictly=False)
        require_number(self, "volume", "price", strictly=False)
        if self.volume is None and ((self.bore is None and self.area is None) or self.thickness is None):
            raise ValueError("a gasket needs its volume, or its bore or area and thickness")


@dataclass(frozen=True, slots=True)
class Head:
    """A cylinder head: chamber volume [m3], what a depth of milling takes from it, and the bores it seals [m].

    Milling takes `volume_per_depth` [m3/m], or where that is not given `chamber_area` [m2], times the depth.
    A head with neither cannot be milled: what the cut would do is not known.

    Examples
    --------
    >>> Head("open", chamber_volume=64e-6, chamber_area=0.0055).mill_rate
    0.0055
    """

    id: str
    chamber_volume: float
    chamber_area: float | None = None
    volume_per_depth: float | None = None
    mill_maximum: float | None = None
    minimum_bore: float | None = None
    maximum_bore: float | None = None
    price: float = 0.0

    def __post_init__(self) -> None:
        """Refuse sizes that no head has."""
        require_number(self, "chamber_volume", "mill_maximum", "price", strictly=False)
        require_number(self, "chamber_area", "volume_per_depth", "minimum_bore", "maximum_bore")
        if self.minimum_bore is not None and self.maximum_bore is not None and self.minimum_bore > self.maximum_bore:
            raise ValueError("Head.minimum_bore is over Head.maximum_bore")

    @property
    def mill_rate(self) -> float:
        """Volume a unit depth of milling takes [m3/m]; 0 where it is not known."""
        if self.volume_per_depth is not None:
            return self.volume_per_depth
        return 0.0 if self.chamber_area is None else self.chamber_area
