"""What a search for parts is asked: the block, the lists of candidates, the machining on offer, the limits."""

from __future__ import annotations

from borewright.calculations.base.fields import Assumed, Choice, Many, Part, Price, Quantity, RequestPart, Text, Whole
from borewright.calculations.common.assembly import RETENTIONS, counterweight_gap, retainer_thickness, width_at_boss
from borewright.calculations.common.duty import ASPIRATIONS, SERVICES
from borewright.calculations.common.engine import GasketPart, rod_length, stroke
from borewright.calculations.common.levers import SquishLimitsPart
from borewright.calculations.common.own_limits import FitLimitsPart, LengthLimitsPart

LONGEST = {"cranks": 60, "rods": 60, "pistons": 2000, "gaskets": 200, "heads": 60}


def _id(what: str) -> Text:
    return Text(64, f"the caller's own name of the {what}; each once in its list", required=True)


def _price(what: str) -> Price:
    return Price(f"price of the {what} for the whole engine, in the caller's own currency; left out, nothing, as for a part in hand")


def _work_price() -> Price:
    free = Assumed(0, "common practice", "work without a price counts as nothing")
    return Price("price of this work for the whole engine, in the caller's own currency", assumed=free)


class TargetCompressionPart(RequestPart):
    """The compression ratio wanted and the window that will do."""

    value = Quantity("ratio", "2", "40", "ratio wanted; its tolerance is the window where low or high is left out", required=True)
    low = Quantity("ratio", "1.5", "60", "lowest ratio that will do")
    high = Quantity("ratio", "1.5", "60", "highest ratio that will do")


class SelectionBlockPart(RequestPart):
    """The block in hand."""

    deck_height = Quantity("length", "12 mm", "2000 mm", "crank center line to deck", required=True)
    bore = Quantity("length", "5 mm", "500 mm", "bore as it stands", required=True)
    cylinders = Whole(1, 24, "number of cylinders", required=True)
    cleanup_bore = Quantity("length", "5 mm", "500 mm", "smallest bore that cleans up the wear; left out, the bore as it stands")
    maximum_bore = Quantity("length", "5 mm", "500 mm", "largest bore that the walls allow; left out, the bore as it stands")


class CandidateCrankPart(RequestPart):
    """A crankshaft on offer."""

    id = _id("crankshaft")
    stroke = stroke()
    rod_journal_diameter = Quantity("length", "3 mm", "400 mm", "diameter of the rod journals")
    rod_journal_width = Quantity("length", "2 mm", "500 mm", "width of a rod journal, for all rods on it")
    counterweight_radius = Quantity("length", "3 mm", "1000 mm", "largest radius of the counterweights from the crank's center line")
    counterweight_gap = counterweight_gap()
    price = _price("crankshaft")


class CandidateRodPart(RequestPart):
    """Connecting rods on offer, as a set."""

    id = _id("set of rods")
    length = rod_length(required=True)
    small_end_bore = Quantity("length", "1 mm", "200 mm", "diameter of the small end, in its bush where it has one")
    pin_retention = Choice(RETENTIONS, "how the rod holds the pin; left out, floating")
    journal_diameter = Quantity("length", "3 mm", "400 mm", "diameter of the rod journal it is made for")
    journal_width = Quantity("length", "2 mm", "500 mm", "width of the rod journal it is made for")
    price = _price("set of rods")


class CandidatePistonPart(RequestPart):
    """Pistons on offer, as a set with their pins."""

    id = _id("set of pistons")
    bore = Quantity("length", "5 mm", "500 mm", "finished bore that the piston is made for, not the size of its skirt", required=True)
    compression_height = Quantity("length", "2 mm", "250 mm", "pin center to the flat of the crown", required=True)
    dome = Quantity("volume", "0 cm3", "500 cm3", "volume standing above the flat: takes clearance away; left out, none")
    recess = Quantity("volume", "0 cm3", "1000 cm3", "dish and valve reliefs: adds clearance; left out, none")
    top_land = Quantity("length", "0.1 mm", "60 mm", "height of the top land, crown edge to the top ring's groove")
    top_land_diameter = Quantity(
        "length", "4 mm", "500 mm", "diameter of the top land: with its height, the crevice counts; left out, as nothing"
    )
    second_land = Quantity("length", "0.1 mm", "60 mm", "height of the second land, between the grooves of the two upper rings")
    pin_diameter = Quantity("length", "1 mm", "200 mm", "outer diameter of the pin")
    pin_length = Quantity("length", "3 mm", "480 mm", "length of the pin")
    retainer_thickness = retainer_thickness()
    width_at_boss = width_at_boss()
    pin_retentions = Many(
        Choice(RETENTIONS, "a way to hold the pin"), "ways to hold the pin that the piston is made for; left out, both", longest=2
    )
    boss_below_pin = Quantity("length", "0 mm", "300 mm", "pin center to the lowest point of the pin bosses")
    aspirations = Many(
        Choice(ASPIRATIONS, "a way to get air"), "ways to get air that the piston is made for; left out, any", longest=len(ASPIRATIONS)
    )
    services = Many(Choice(SERVICES, "a service"), "services that the piston is made for; left out, any", longest=len(SERVICES))
    price = _price("set of pistons")


class CandidateGasketPart(GasketPart):
    """Head gaskets on offer, as a set: by bore, by area, or by the poured volume."""

    id = _id("set of gaskets")
    price = _price("set of gaskets")


class CandidateHeadPart(RequestPart):
    """Cylinder heads on offer, as a set."""

    id = _id("set of heads")
    chamber_volume = Quantity("volume", "0 cm3", "5000 cm3", "chamber in the head, as poured", required=True)
    chamber_area = Quantity(
        "area", "1 cm2", "2200 cm2", "area of the chamber's opening at the deck face, with straight walls: milling takes area times depth"
    )
    volume_per_depth = Quantity("volume_per_length", "0.1 cm3/mm", "220 cm3/mm", "chamber volume lost per depth milled, instead of area")
    mill_max = Quantity("length", "0 mm", "10 mm", "most that may come off this head; left out, what the shop mills at most")
    minimum_bore = Quantity("length", "5 mm", "500 mm", "smallest bore the head is made for")
    maximum_bore = Quantity("length", "5 mm", "500 mm", "largest bore the head is made for")
    price = _price("set of heads")


class BoringPart(RequestPart):
    """Boring and honing the cylinders."""

    price = _work_price()


class CutPart(RequestPart):
    """Work that takes metal off."""

    max = Quantity("length", "0 mm", "10 mm", "most that may come off", required=True)
    price = _work_price()


class SmallEndHonePart(RequestPart):
    """Honing the small ends, so that a pressed or tight pin floats."""

    max = Quantity("length", "0 mm", "1 mm", "most that may come off, on the diameter", required=True)
    price = _work_price()


class SelectionMachiningPart(RequestPart):
    """The work on offer; what is left out is not done."""

    bore = Part(BoringPart, "boring the block to the pistons' bore, up to its largest")
    deck_cut = Part(CutPart, "cutting the decks of the block")
    head_mill = Part(CutPart, "milling the heads, where what the chamber loses by it is known")
    small_end_hone = Part(SmallEndHonePart, "honing the small ends")


class LeastLengthPart(RequestPart):
    """The caller's own least length."""

    low = Quantity("length", "0 mm", "500 mm", "smallest", required=True)


class MostLengthPart(RequestPart):
    """The caller's own largest length."""

    high = Quantity("length", "0 mm", "50 mm", "largest", required=True)


class SelectionLimitsPart(RequestPart):
    """The caller's own limits, which replace those of common practice; no choice leaves them."""

    deck_clearance = Part(LengthLimitsPart, "piston below the deck at top dead center")
    squish = Part(SquishLimitsPart, "deck clearance and gasket thickness together")
    top_land = Part(LeastLengthPart, "height of the top land")
    second_land = Part(LeastLengthPart, "height of the second land")
    pin_end_room = Part(LeastLengthPart, "from each end of the pin to the wall")
    pin_fit_floating = Part(FitLimitsPart, "floating pin in the small end")
    pin_fit_press = Part(FitLimitsPart, "pressed pin in the small end")
    journal_diameter_difference = Part(MostLengthPart, "between the crank's rod journal and the one the rod is made for")
    journal_width_difference = Part(MostLengthPart, "between the crank's rod journal and the one the rod is made for")
    bore_difference = Part(MostLengthPart, "between sizes of a bore that a list rounds and that count as the same")
    bore_to_gasket_clearance = Part(LeastLengthPart, "gasket's bore less the cylinder's")
    counterweight_clearance = Part(LeastLengthPart, "between counterweights and pin bosses at bottom dead center")
    cost = Price("most that parts and work may cost together, in the caller's own currency")
