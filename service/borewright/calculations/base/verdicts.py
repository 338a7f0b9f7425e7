"""One verdict from several checks of the same part."""

from __future__ import annotations

import math
from collections.abc import Iterable

from borewright.calculations.base.outcome import WORST_LAST, Check, Verdict


def worst_check(checks: Iterable[Check]) -> tuple[Verdict, Check]:
    """The worst verdict of some checks, and the first check that came out so.

    checks : checks whose states are the nominal one and points inside its tolerances

    Raises ValueError where there is none.

    >>> close = Check("top-gap", "length", [0.4e-3], 0.3e-3, None, "butts", "common practice", "")
    >>> short = Check("second-gap", "length", [0.4e-3], 0.5e-3, None, "butts", "common practice", "")
    >>> verdict, check = worst_check([close, short])
    >>> verdict, check.name
    ('fail', 'second-gap')
    """
    judged = [(check.judge(lambda inside: inside, _ends(check)), check) for check in checks]
    return max(judged, key=lambda one: WORST_LAST.index(one[0]))


def worst_verdict(checks: Iterable[Check]) -> tuple[Verdict, str]:
    """The worst verdict of some checks, with the reason of the first check that came out so.

    checks : checks whose states are the nominal one and points inside its tolerances

    >>> soft = Check("top-gap", "length", [0.4e-3], 0.5e-3, None, "too tight", "common practice", "", soft=True)
    >>> hard = Check("top-gap", "length", [0.4e-3], 0.3e-3, None, "butts", "common practice", "")
    >>> worst_verdict([hard, soft])
    ('watch', 'too tight')
    """
    verdict, check = worst_check(checks)
    return verdict, check.reason


def _ends(check: Check) -> tuple[float, float] | None:
    """The least and the most of a check's value, None where one of its states is no number."""
    value = check.states()
    least, most = float(value.min()), float(value.max())
    return (least, most) if math.isfinite(least) and math.isfinite(most) else None
