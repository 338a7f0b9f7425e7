"""One verdict from several checks of the same part."""

from __future__ import annotations

import math
from collections.abc import Iterable

from borewright.calculations.base.outcome import Check, Verdict

ORDER: tuple[Verdict, ...] = ("pass", "unknown", "watch", "fail")


def worst_verdict(checks: Iterable[Check]) -> tuple[Verdict, str]:
    """The worst verdict of some checks, with the reason of the first check that came out so.

    checks : checks whose states are the nominal one and points inside its tolerances

    >>> soft = Check("top-gap", "length", [0.4e-3], 0.5e-3, None, "too tight", "common practice", "", soft=True)
    >>> hard = Check("top-gap", "length", [0.4e-3], 0.3e-3, None, "butts", "common practice", "")
    >>> worst_verdict([hard, soft])
    ('watch', 'too tight')
    """
    judged = [(check.judge(lambda inside: inside, _ends(check)), check.reason) for check in checks]
    return max(judged, key=lambda one: ORDER.index(one[0]))


def _ends(check: Check) -> tuple[float, float] | None:
    """The least and the most of a check's value, None where one of its states is no number."""
    value = check.states()
    least, most = float(value.min()), float(value.max())
    return (least, most) if math.isfinite(least) and math.isfinite(most) else None
