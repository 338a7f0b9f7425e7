"""A valve train in a request: what the head loses, pushrod, lifter, rocker, spring, and the drive of an overhead cam."""

from __future__ import annotations

from borewright.calculations.base.fields import Assumed, Choice, Part, Quantity, Request, RequestPart, Whole
from borewright.calculations.common.assembly import FittedGasketPart
from borewright.calculations.common.own_limits import LengthLimitsPart

CAMSHAFTS = ("block", "overhead")
MOUNTINGS = ("fixed", "stud")
DRIVES = ("chain", "belt")
NO_CUT = Assumed("0 mm", "common practice", "no metal is cut")
AS_IT_WAS = Assumed("0 mm", "common practice", "as it was")


def _lean(text: str) -> Quantity:
    return Quantity("angle", "0 deg", "60 deg", text, assumed=Assumed("0 deg", "common practice", "along the bore"))


class PushrodPart(RequestPart):
    """The pushrod."""

    length = Quantity("length", "20 mm", "1000 mm", "as it is now", required=True)
    lean = _lean("from the direction of the bore")
    fitted_length = Quantity("length", "20 mm", "1000 mm", "of the pushrod fitted after the work; left out, it stays")


class RockerPart(RequestPart):
    """The rocker."""

    ratio = Quantity("ratio", "0.5", "3", "valve lift over lifter lift", required=True)
    mounting = Choice(
        MOUNTINGS,
        "on a shaft or pedestal, or on a stud with a nut that sets its height",
        assumed=Assumed("fixed", "common practice", "on a shaft or pedestal"),
    )
    arm_length = Quantity("length", "5 mm", "200 mm", "pivot to the contact on the valve's tip; its sweep needs it")
    off_square = Quantity(
        "length",
        "-20 mm",
        "20 mm",
        "how far above square to the valve its tip end stands at half lift, before the work",
        assumed=Assumed("0 mm", "common practice", "square to the valve at half lift"),
    )


class LifterPart(RequestPart):
    """The lifter."""

    alternatives = ((("preload",), ("lash",)),)

    preload = Quantity("length", "-10 mm", "10 mm", "of a hydraulic lifter, at the lifter, before the work")
    lash = Quantity("length", "0 mm", "3 mm", "of a solid lifter, at the valve, before the work")


class SpringPart(RequestPart):
    """The valve spring."""

    installed_height = Quantity("length", "5 mm", "200 mm", "with the valve closed, before the work", required=True)
    coil_bind_height = Quantity("length", "3 mm", "200 mm", "with its coils together", required=True)


class CamDrivePart(RequestPart):
    """The drive of an overhead cam."""

    alternatives = ((("pitch_diameter",), ("teeth", "pitch")),)

    pitch_diameter = Quantity("length", "10 mm", "500 mm", "of the cam's sprocket or pulley")
    teeth = Whole(6, 200, "of the cam's sprocket or pulley")
    pitch = Quantity("length", "2 mm", "40 mm", "of chain or belt")
    drive = Choice(DRIVES, "what the teeth are for", assumed=Assumed("chain", "common practice", "a roller chain"))
    lean = _lean("of the strand that pulls, from the direction of the bore")


class HighestAnglePart(RequestPart):
    """The caller's own limit of a shift."""

    high = Quantity("angle", "0 deg", "30 deg", "most either way, of the crankshaft", required=True)


class ValveTrainLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice."""

    preload = Part(LengthLimitsPart, "of a hydraulic lifter's preload")
    coil_bind = Part(LengthLimitsPart, "of what the spring has left at full lift")
    retainer = Part(LengthLimitsPart, "of what the retainer has left above the seal at full lift")
    cam_shift = Part(HighestAnglePart, "of the cam's timing shift")


class ValveTrainRequest(Request):
    """What valve-train needs."""

    camshaft = Choice(CAMSHAFTS, "in the block, with pushrods, or over the head", required=True)
    head_mill = Quantity("length", "0 mm", "10 mm", "milled off the head", assumed=NO_CUT)
    deck_cut = Quantity("length", "0 mm", "10 mm", "cut off the deck", assumed=NO_CUT)
    gasket = Part(FittedGasketPart, "the head gasket as compressed, where another is fitted")
    new_gasket_thickness = Quantity("length", "0.1 mm", "12 mm", "thickness, as compressed, of another gasket that is fitted")
    stem_rise = Quantity(
        "length", "-5 mm", "5 mm", "how much higher the stem's tip stands after work on valves and seats", assumed=AS_IT_WAS
    )
    base_circle_loss = Quantity(
        "length",
        "-5 mm",
        "5 mm",
        "how much smaller the radius of the cam's base circle is than it was, say of a reground cam",
        assumed=AS_IT_WAS,
    )
    valve_lift = Quantity("length", "1 mm", "60 mm", "highest lift of the valve; coil bind, retainer and sweep need it")
    pushrod = Part(PushrodPart, "the pushrod")
    rocker = Part(RockerPart, "the rocker")
    lifter = Part(LifterPart, "the lifter")
    spring = Part(SpringPart, "the valve spring")
    retainer_to_seal = Quantity("length", "0 mm", "100 mm", "retainer to the guide's seal with the valve closed, before the work")
    stem_diameter = Quantity("length", "3 mm", "30 mm", "of the valve's stem; the sweep is held against it")
    cam_drive = Part(CamDrivePart, "the drive of an overhead cam")
    limits = Part(ValveTrainLimitsPart, "the caller's own limits, which replace those of common practice")
