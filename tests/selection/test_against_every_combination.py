"""The part search against a plain nested loop that tries every combination."""

from __future__ import annotations

import random

import pytest
from catalogs import catalog, friendly_catalog
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plain_search import ORDERS, assert_same

from borewright.selection import lattice, scan, short_blocks
from borewright.selection.misses import REASONS
from borewright.selection.search import search


@given(draw=st.randoms(use_true_random=False), prefer=st.sampled_from(ORDERS), top=st.integers(1, 12))
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_equals_brute_force_on_random_catalogs(draw, prefer, top):
    """Same choices in the same order, the same counts by reason, the same nearest misses."""
    assert_same(catalog(draw), prefer, top)


@pytest.mark.parametrize("number", range(24))
def test_equals_brute_force_on_larger_catalogs(number):
    """Lists long enough that samples, cost prefixes and narrowed windows come into play, and either side may be the longer."""
    draw = random.Random(number)
    sizes = ((4, 4, 40, 4, 4), (2, 2, 3, 25, 25), (3, 3, 12, 8, 8))[number % 3]
    assert_same(catalog(draw, sizes), ORDERS[number % 6], draw.choice((1, 5, 40)))


@pytest.mark.parametrize("prefer", ORDERS)
@pytest.mark.parametrize("number", range(30))
def test_equals_brute_force_where_keys_tie(number, prefer, monkeypatch):
    """A full ranking with ties in every key is where a combination could be passed over wrongly."""
    draw = random.Random(number)
    monkeypatch.setattr(lattice, "VECTOR", draw.choice((2, 5, 16)))
    monkeypatch.setattr(scan, "FEW", draw.choice((0, 0, 3)))
    assert_same(friendly_catalog(draw), prefer, draw.choice((1, 2, 6)))


@pytest.mark.parametrize("number", range(100, 124))
def test_equals_brute_force_whatever_the_piece_sizes(number, monkeypatch):
    """Pieces of a few combinations put every boundary between slabs, vectors and samples inside a small catalog."""
    draw = random.Random(number)
    monkeypatch.setattr(short_blocks, "SLAB", draw.choice((1, 7, 40)))
    monkeypatch.setattr(lattice, "SLAB", draw.choice((5, 16)))
    monkeypatch.setattr(lattice, "VECTOR", draw.choice((1, 3, 8)))
    monkeypatch.setattr(scan, "FEW", draw.choice((0, 2)))
    monkeypatch.setattr(scan, "SAMPLE_SHARE", draw.choice((1, 4)))
    sizes = ((4, 4, 12, 4, 4), (2, 2, 3, 12, 12))[number % 2]
    assert_same(catalog(draw, sizes), ORDERS[number % 6], draw.choice((1, 5, 40)))


def test_random_catalogs_meet_every_rule():
    """The comparison above means something only if the catalogs break every rule and also fit."""
    seen, fitting = set(), 0
    for number in range(300):
        outcome = search(catalog(random.Random(number)))
        seen |= set(outcome.rejected)
        fitting += bool(outcome.fitting)
    assert seen == set(REASONS)
    assert 20 < fitting < 270
