"""Sizes, windows and orders that cannot be."""

from __future__ import annotations

import math

import pytest
from catalogs import build

from borewright.selection.candidates import Crank, Gasket, Head, Piston, Rod
from borewright.selection.demands import Cut, Span, Target
from borewright.selection.search import search


@pytest.mark.parametrize(
    "make",
    [
        lambda: Crank("c", math.nan),
        lambda: Rod("r", 0.145, pin_retention="glued"),
        lambda: Piston("p", -0.1, 0.04),
        lambda: Piston("p", 0.1, 0.04, pin_retentions=frozenset()),
        lambda: Gasket("g", bore=0.1),
        lambda: Head("h", 60e-6, minimum_bore=0.11, maximum_bore=0.1),
        lambda: Cut(math.inf),
        lambda: Target(10.0, 10.1, 10.2),
        lambda: Span(2.0, 1.0),
        lambda: search(build(), prefer=("cost", "cost")),
        lambda: search(build(), top=0),
    ],
)
def test_nonsense_is_refused(make):
    """Sizes, windows and orders that cannot be are refused where they are made."""
    with pytest.raises(ValueError, match=r"."):
        make()
