"""What an engine is for: how it breathes, how hard it is used, what it burns."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from borewright.calculations.base.fields import Assumed, Choice, RequestPart
from borewright.practice.tables import table

ASPIRATIONS = ("natural", "boost", "nitrous")
SERVICES = ("street", "sport", "race")
FUELS = tuple(table("fuels").rows)


class DutyPart(RequestPart):
    """Aspiration, service and fuel."""

    aspiration = Choice(
        ASPIRATIONS, "how the engine gets its air", assumed=Assumed("natural", "common practice", "the usual case where nothing is said")
    )
    service = Choice(SERVICES, "how hard it is used", assumed=Assumed("street", "common practice", "the usual case where nothing is said"))
    fuel = Choice(
        FUELS, "a fuel of the reference table", assumed=Assumed("gasoline", "common practice", "the usual case where nothing is said")
    )


class CylinderDutyPart(DutyPart):
    """Aspiration, service and fuel, of engines that ignite by themselves too."""

    fuel = Choice(
        (*FUELS, "diesel"),
        "a fuel of the reference table, or diesel",
        assumed=Assumed("gasoline", "common practice", "the usual case where nothing is said"),
    )


def squish_row(duty: Mapping[str, Any] | None) -> str | None:
    """The row of practice that limits the squish: a diesel has its own; None for the usual one.

    >>> squish_row({"fuel": "diesel"}), squish_row({"fuel": "gasoline"}), squish_row(None)
    ('squish_diesel', None, None)
    """
    return "squish_diesel" if duty is not None and duty.get("fuel") == "diesel" else None


def cooling() -> Choice:
    """How the cylinders are cooled.

    >>> cooling().assumed.value
    'liquid'
    """
    usual = Assumed("liquid", "common practice", "the usual case where nothing is said")
    return Choice(("liquid", "air"), "what cools the cylinders", assumed=usual)
