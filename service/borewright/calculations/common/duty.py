"""What an engine is for: how it breathes, how hard it is used, what it burns."""

from __future__ import annotations

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
