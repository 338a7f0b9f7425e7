"""A check's value and limits as a person reads them: a yes or no is not a number."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from borewright.rules.vocabulary import YES_OR_NO
from borewright.sheet.showing import NOTHING, limits_shown, shown


def yes_or_no(name: str, value: float) -> str | None:
    """The word for the number of a check that is a yes or a no; None for every other check.

    >>> yes_or_no("pin-retention", 1.0), yes_or_no("pin-retention", 0.0), yes_or_no("squish", 1.0)
    ('yes', 'no', None)
    """
    return None if name not in YES_OR_NO else "yes" if value >= 0.5 else "no"


def value_shown(check: Mapping[str, Any]) -> str:
    """What a check found.

    >>> value_shown({"name": "duty-allowed", "value": {"value": 0.0, "unit": "1"}}), value_shown({"name": "squish", "value": None})
    ('no', '—')
    """
    value = check["value"]
    return NOTHING if value is None else yes_or_no(check["name"], value["value"]) or shown(value)


def wanted_shown(check: Mapping[str, Any]) -> str:
    """What a check wants.

    >>> wanted_shown({"name": "duty-allowed", "value": None, "limits": {"low": {"value": 1.0, "unit": "1"}, "high": None}})
    'yes'
    """
    end = check["limits"].get("low") or check["limits"].get("high")
    return (end and yes_or_no(check["name"], end["value"])) or limits_shown(check["limits"], check["value"])
