"""What the ranking of the best leaves out."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from plain_search import ORDERS

from borewright.selection import ranking

KEYS = st.tuples(st.integers(0, 2), st.integers(0, 3), st.integers(0, 3), st.integers(0, 5))


@given(
    prefer=st.sampled_from(ORDERS),
    kept=st.lists(KEYS, min_size=1, max_size=4, unique_by=lambda key: key[3]),
    operations=st.integers(0, 2),
    others=st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3), st.integers(0, 5)), min_size=1, max_size=12),
)
def test_regions_leave_out_nothing_that_could_enter(prefer, kept, operations, others):
    """Whatever ranks before the last of the best lies in a region; whatever a single vector holds behind it need not."""

    def candidates(rows):
        columns = [np.array(column, dtype=np.float64) for column in zip(*rows, strict=True)]
        return ranking.Candidates(*columns[:3], columns[3].astype(np.int64), np.zeros(len(rows), dtype=np.int64))

    table = ranking.Ranking(prefer, len(kept))
    table.offer(candidates(kept))
    regions = table.regions(operations, min(index for _, _, index in others))
    last = max((*({"operations": o, "cost": c, "closeness": d}[name] for name in prefer), index) for o, c, d, index in kept)
    for cost, closeness, index in others:
        values = {"operations": operations, "cost": cost, "closeness": closeness}
        if (*(values[name] for name in prefer), index) < last:
            assert any(region.cost_over < cost <= region.cost_to and closeness <= region.closeness for region in regions)
