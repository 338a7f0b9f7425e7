"""Crank layouts as plain geometry: where each throw points, where each bore points, where each cylinder stands.

Angles in degrees here, as drawings give them, in the direction of rotation; `throws` and `banks` hand them out in radians.
Positions count in pitches, from throw to neighboring throw, from the middle of the crank. Rods that share a pin are taken to
lie in one plane: the half rod width between them is left out.
"""

from dataclasses import dataclass

import numpy as np

from borewright.physics.arrays import FloatArray, floats


@dataclass(frozen=True)
class Layout:
    """One crank layout; the three tuples run over the cylinders.

    Examples
    --------
    >>> pair = Layout((0.0, 0.0), (-45.0, 45.0), (0.0, 0.0))
    >>> np.round(pair.banks, 4).tolist()
    [-0.7854, 0.7854]
    """

    throw_degrees: tuple[float, ...]
    bank_degrees: tuple[float, ...]
    positions: tuple[float, ...]

    @property
    def throws(self) -> FloatArray:
        """Throw angles [rad]."""
        return np.radians(floats(self.throw_degrees))

    @property
    def banks(self) -> FloatArray:
        """Bore angles [rad]."""
        return np.radians(floats(self.bank_degrees))


def _in_line(*throws: float) -> Layout:
    count = len(throws)
    return Layout(throws, (0.0,) * count, tuple(i - (count - 1) / 2.0 for i in range(count)))


def _vee(angle: float, pins: tuple[float, ...], split: float = 0.0) -> Layout:
    """Pairs of cylinders, the bank that leans back first; a split turns the second bank's pin by that angle."""
    count = len(pins)
    places = tuple(i - (count - 1) / 2.0 for i in range(count))
    return Layout(
        tuple(turned for pin in pins for turned in (pin, pin + split)),
        (-angle / 2.0, angle / 2.0) * count,
        tuple(place for place in places for _ in range(2)),
    )


def _opposed(*pairs: float) -> Layout:
    """Opposed pairs whose pistons meet their top dead centers together: two throws half a turn apart for each pair."""
    count = 2 * len(pairs)
    return Layout(
        tuple(throw for pair in pairs for throw in (pair, pair + 180.0)),
        (-90.0, 90.0) * len(pairs),
        tuple(i - (count - 1) / 2.0 for i in range(count)),
    )


LAYOUTS: dict[str, Layout] = {
    "single": _in_line(0.0),
    "inline-2-360": _in_line(0.0, 0.0),
    "inline-2-180": _in_line(0.0, 180.0),
    "inline-3": _in_line(0.0, 240.0, 120.0),
    "inline-4": _in_line(0.0, 180.0, 180.0, 0.0),
    "inline-5": _in_line(0.0, 216.0, 144.0, 72.0, 288.0),
    "inline-6": _in_line(0.0, 120.0, 240.0, 240.0, 120.0, 0.0),
    "inline-8": _in_line(0.0, 180.0, 90.0, 270.0, 270.0, 90.0, 180.0, 0.0),
    "v2-45": _vee(45.0, (0.0,)),
    "v2-90": _vee(90.0, (0.0,)),
    "v4-90": _vee(90.0, (0.0, 180.0)),
    "v6-60": _vee(60.0, (0.0, 240.0, 120.0), split=-60.0),
    "v6-90-common-pin": _vee(90.0, (0.0, 240.0, 120.0)),
    "v6-90-split-pin": _vee(90.0, (0.0, 240.0, 120.0), split=-30.0),
    "v8-90-cross-plane": _vee(90.0, (0.0, 90.0, 270.0, 180.0)),
    "v8-90-flat-plane": _vee(90.0, (0.0, 180.0, 180.0, 0.0)),
    "v10-90": _vee(90.0, (0.0, 216.0, 144.0, 72.0, 288.0)),
    "v12-60": _vee(60.0, (0.0, 120.0, 240.0, 240.0, 120.0, 0.0)),
    "opposed-2": _opposed(0.0),
    "flat-4": _opposed(0.0, 180.0),
    "flat-6": _opposed(0.0, 120.0, 240.0),
}
