"""The caller's own limits, which replace those of common practice, and checks held against the one or the other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy.typing as npt

from borewright.calculations.base.fields import Quantity, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Check, Outcome
from borewright.calculations.common.engine_kind import EngineKind
from borewright.physics.arrays import FloatArray
from borewright.practice.tables import Row


class LengthLimitsPart(RequestPart):
    """The caller's own limits of a length."""

    low = Quantity("length", "-50 mm", "500 mm", "smallest")
    high = Quantity("length", "-50 mm", "500 mm", "largest")


class SpeedLimitsPart(RequestPart):
    """The caller's own limits of a speed."""

    low = Quantity("speed", "0 m/s", "100 m/s", "smallest")
    high = Quantity("speed", "0 m/s", "100 m/s", "largest")


class RatioLimitsPart(RequestPart):
    """The caller's own limits of a ratio."""

    low = Quantity("ratio", "0", "100", "smallest")
    high = Quantity("ratio", "0", "100", "largest")


class FitLimitsPart(RequestPart):
    """The caller's own range of a fit; below zero is interference."""

    low = Quantity("length", "-1 mm", "1 mm", "tightest fit wanted, on the diameter; below zero is interference", required=True)
    high = Quantity("length", "-1 mm", "1 mm", "loosest fit wanted, on the diameter; below zero is interference", required=True)


class MostRetardPart(RequestPart):
    """The retard the caller is ready to run."""

    high = Quantity("angle", "0 deg", "30 deg", "most retard from MBT timing", required=True)


class HighestStressPart(RequestPart):
    """The highest of a pressure between parts."""

    high = Quantity("stress", "1 MPa", "2000 MPa", "highest allowed", required=True)


def refuse_crossed(limits: Mapping[str, Any], outcome: Outcome) -> None:
    """Refuse the caller's limits where the smallest lies above the largest.

    >>> import numpy as np
    >>> outcome = Outcome({})
    >>> refuse_crossed({"rod_ratio": {"low": np.array([2.0]), "high": np.array([1.5])}}, outcome)
    >>> outcome.impossible[0].pointer
    '#/limits/rod_ratio/high'
    """
    for name, own in limits.items():
        if "low" in own and "high" in own:
            outcome.refuse_where(
                own["low"] > own["high"], f"#/limits/{name}/high", "this lies below the smallest allowed: raise it", Code.WRONG_ORDER
            )


def limited_check(
    name: str,
    kind: str,
    value: npt.ArrayLike | None,
    own: Mapping[str, Any] | None,
    row: Row | None,
    reason: str,
    *,
    columns: str = "",
    soft: bool = False,
) -> Check:
    """A value against the caller's limits where there are some, else against those of a row of practice.

    row : its `low` and `high` [SI], None only where the caller's limits are given
    columns : what stands before `low` and `high` in the row's names

    >>> from borewright.practice.tables import table
    >>> row = table("assembly").row("rod_ratio")
    >>> limited_check("rod-ratio", "ratio", [1.4], None, row, "", columns="ratio_").judge()
    'fail'
    >>> import numpy as np
    >>> limited_check("rod-ratio", "ratio", [1.4], {"low": np.array([1.3])}, row, "", columns="ratio_").judge()
    'pass'
    """
    if own or row is None:
        own = own or {}
        return Check(name, kind, value, own.get("low"), own.get("high"), reason, "caller", "the request")
    low, high = (row.si(columns + side) if row.has(columns + side) else None for side in ("low", "high"))
    return Check(name, kind, value, low, high, reason, "common practice", row.source, soft=soft)


def retard_check(retard: npt.ArrayLike | None, own: Mapping[str, Any] | None, kind: EngineKind, reason: str) -> tuple[Check, FloatArray]:
    """Retard that a fuel asks for, against the caller's limit or what is normal in the kind of engine; and the most that is allowed [rad].

    >>> import numpy as np
    >>> from borewright.calculations.common.engine_kind import engine_kind
    >>> kind = engine_kind({"injection": "direct"}, {"service": "street"}, 0.0, Outcome({}))
    >>> check, most = retard_check(np.radians([10.0]), None, kind, "")
    >>> check.judge(), round(float(np.degrees(most[0])), 6)
    ('pass', 12.0)
    >>> retard_check(np.radians([10.0]), {"high": np.radians([5.0])}, kind, "")[0].judge()
    'fail'
    """
    if own is not None:
        return Check("spark-retard", "angle", retard, None, own["high"], reason, "caller", "the request"), own["high"]
    return Check("spark-retard", "angle", retard, None, kind.retard, reason, "common practice", kind.retard_source), kind.retard
