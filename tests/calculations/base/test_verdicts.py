"""One verdict from several checks: the ends of their values say what every state says."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from borewright.calculations.base.outcome import WORST_LAST, Check
from borewright.calculations.base.verdicts import worst_verdict

VALUES = st.lists(st.floats(-2.0, 2.0) | st.sampled_from([1.0, 1.0 + 1e-13, np.nan, np.inf, -np.inf]), min_size=1, max_size=5)
LIMITS = st.none() | st.floats(-2.0, 2.0) | st.just(1.0)


@given(
    given=st.lists(st.tuples(VALUES, LIMITS, LIMITS, st.sampled_from((False, True, "low", "high"))), min_size=1, max_size=4),
    each=st.booleans(),
)
def test_the_worst_is_that_of_every_state(given: list, *, each: bool) -> None:
    """Whether limits are numbers or arrays with an element a state; a state that is no number is not inside."""
    checks = []
    for place, (values, low, high, soft) in enumerate(given):
        limits = [None if limit is None else np.full(len(values), limit) if each else limit for limit in (low, high)]
        checks.append(Check("squish", "length", np.array(values), *limits, f"reason {place}", "common practice", "", soft=soft))
    with np.errstate(invalid="ignore"):
        found, reason = worst_verdict(checks)
        plain = [check.judge(lambda points: points) for check in checks]
    assert found == max(plain, key=WORST_LAST.index)
    assert reason == f"reason {plain.index(found)}"
