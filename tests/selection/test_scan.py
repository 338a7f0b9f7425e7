"""Comparisons that sift vectors."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from catalogs import catalog, friendly_catalog

from borewright.selection import lattice, scan, short_blocks
from borewright.selection.tables import tabulate


@pytest.mark.parametrize("make", [catalog, friendly_catalog])
def test_conditions_of_a_plan_are_those_it_is_solved_under(make):
    """The comparisons that sift vectors and the closed-form solution agree on which plans end in the window."""
    met = set()
    for number in range(60):
        tables = tabulate(make(random.Random(number)))
        for blocks in short_blocks.short_blocks(tables, short_blocks.join(tables), short_blocks.Passage()):
            for step, top in ((item, top) for item in lattice.steps(tables, blocks) for top in item.tops):
                positions = np.flatnonzero(step.admitted)
                solved = step.solve(top, positions, tables.problem.target).feasible
                for plan in range(4):
                    sifted = scan.where_plan_meets(step, top, plan, tables.problem.target, positions)
                    assert np.array_equal(sifted, solved[plan])
                    met |= {(plan, bool(answer)) for answer in sifted}
    assert met == set(itertools.product(range(4), (False, True)))
