"""What an engine is for: how it breathes, how hard it is used, what it burns; how far it is forced, and the cautions on that."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from borewright.calculations.base.fields import Assumed, Choice, Quantity, RequestPart
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Assumption, Outcome
from borewright.physics.arrays import FloatArray
from borewright.physics.gas.atmosphere import STANDARD_ATMOSPHERE
from borewright.physics.mechanism.volumes import circle_area
from borewright.practice.tables import table

ASPIRATIONS = ("natural", "boost", "nitrous")
SERVICES = ("street", "sport", "race")
FUELS = tuple(table("fuels").rows)

POUND_MINUTE_POWER = 100.0 * 745.69987158227 / (6.0 * 0.45359237 / 60.0)
"""Power that a flow of nitrous oxide is sold as [J/kg]: common practice, six pounds a minute for a hundred horsepower."""


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


class BoostLevelPart(RequestPart):
    """How much boost there is."""

    pressure = Quantity("pressure", "0 kPa", "400 kPa", "boost above ambient (gauge), in the manifold", required=True)


def forced(request: Mapping[str, Any], outcome: Outcome, duty: Mapping[str, Any], bore: FloatArray) -> dict[str, FloatArray]:
    """How far boost and nitrous oxide go, in units of the duty's row: nothing 0, as much as the row stands for 1.

    The heat of a charge grows with its 0.8th power, so that twice the boost does not quite count twice.

    request : with `boost`, `nitrous` and `cylinders` where they are given [SI]
    bore : array [m]

    >>> outcome = Outcome({})
    >>> boosted = {"aspiration": "boost", "service": "street"}
    >>> {name: float(share[0]) for name, share in forced({}, outcome, boosted, np.array([0.1])).items()}
    {'boost': 1.0, 'nitrous': 0.0}
    >>> outcome.assumptions[0].name
    'boost.pressure'
    >>> half = {"boost": {"pressure": np.array([30e3])}}
    >>> round(float(forced(half, outcome, boosted, np.array([0.1]))["boost"][0]), 3)
    0.512
    """
    rows, service = table("ring_gaps"), duty["service"]
    exponent = rows.row("charge_heat").si("exponent")
    natural, boosted, sprayed = (rows.row(f"{aspiration}_{service}") for aspiration in ("natural", "boost", "nitrous"))

    def heat(share: FloatArray | float) -> FloatArray:
        return np.asarray((1.0 + np.asarray(share)) ** exponent - 1.0)

    found = {"boost": np.zeros(1), "nitrous": np.zeros(1)}
    usual = boosted.si("boost") / STANDARD_ATMOSPHERE
    if "boost" in request:
        found["boost"] = heat(request["boost"]["pressure"] / STANDARD_ATMOSPHERE) / heat(usual)
    elif duty["aspiration"] == "boost":
        found["boost"] = np.ones(1)
        value = np.array([boosted.si("boost")])
        outcome.assumptions.append(Assumption("boost.pressure", value, "common practice", boosted.source, "pressure"))
    usual = sprayed.si("nitrous_share")
    if "nitrous" in request:
        given = request["nitrous"]
        power = given["power"] if "power" in given else given["mass_flow"] * POUND_MINUTE_POWER
        told = "how many cylinders share the nitrous oxide is not said: add cylinders"
        outcome.refuse_where("cylinders" not in request, "#/cylinders", told, Code.MISSING)
        count = request.get("cylinders", np.ones(1))
        own = natural.si("mean_pressure") * natural.si("piston_speed") / 4.0 * circle_area(bore)
        found["nitrous"] = heat(power / count / own) / heat(usual)
    elif duty["aspiration"] == "nitrous":
        found["nitrous"] = np.ones(1)
        value = np.array([usual])
        outcome.assumptions.append(Assumption("nitrous.share_of_natural_power", value, "common practice", sprayed.source, "ratio"))
    return found


def between(name: str, service: str, column: str, shares: Mapping[str, FloatArray], forced_share: float = 1.0) -> FloatArray:
    """A column of the duty's rows of a table, as far on from the natural one as boost and nitrous oxide go.

    name : of the table
    shares : as `forced`
    forced_share : of what they add that counts

    >>> shares = {"boost": np.array([0.0, 1.0]), "nitrous": np.array([0.0, 0.0])}
    >>> between("ring_gaps", "street", "top", shares).tolist()
    [0.004, 0.005]
    """
    rows = table(name)
    base = rows.row(f"natural_{service}").si(column)
    total = np.asarray(base)
    for aspiration, share in shares.items():
        total = total + forced_share * (rows.row(f"{aspiration}_{service}").si(column) - base) * share
    return np.asarray(total)


def duty_cautions(aspiration: str) -> list[str]:
    """The keys of the cautions on the way an engine gets its air.

    aspiration : "natural", "boost" or "nitrous"

    >>> duty_cautions("natural")
    []
    >>> duty_cautions("nitrous")
    ['nitrous']
    """
    return [aspiration] if aspiration in ("boost", "nitrous") else []


def forced_cautions(aspiration: str, shares: Mapping[str, FloatArray]) -> list[str]:
    """The keys of the cautions on the way an engine gets its air, and on the boost or nitrous oxide that it is given besides.

    shares : how far each goes, 0 where there is none

    >>> import numpy as np
    >>> len(forced_cautions("natural", {"boost": np.array([0.5]), "nitrous": np.array([0.0])}))
    1
    """
    forced = [name for name, share in shares.items() if share.any()]
    return [caution for name in dict.fromkeys([aspiration, *forced]) for caution in duty_cautions(name)]
