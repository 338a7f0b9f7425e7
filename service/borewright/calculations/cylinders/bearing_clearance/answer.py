"""What bearing clearance answers: each bearing, the shells that suit it, its oil film."""

from __future__ import annotations

from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Rows, Section, Truth, Word
from borewright.calculations.base.outcome import VERDICTS


class WantedClearance(AnswerPart):
    """A range of clearances on the diameter."""

    low = Figure("length", "smallest")
    high = Figure("length", "largest")


class ShellChoice(AnswerPart):
    """One of the shells on offer in one bearing."""

    name = Word("what the shop calls them, or their undersize or wall")
    thickness = Figure("length", "wall at the crown")
    clearance = Figure("length", "oil clearance with them, on the journal as it is")
    inside = Truth("whether that lies in the range wanted")
    journal_for_middle = Figure("length", "diameter the journal is ground to for the middle of the range with them")
    grind = Figure("length", "what that takes off the journal's diameter; below zero the journal is too small for them")


class Film(AnswerPart):
    """The oil film under the highest load, as a steady one."""

    peak_load = Figure("force", "highest load over a cycle")
    unit_load = Figure("stress", "load over the projected area")
    sommerfeld = Figure("ratio", "Sommerfeld number (D/C)²·μN/P at the hot clearance; null where none is left", nullable=True)
    least_film = Figure("length", "thinnest film at the hot clearance; null outside the widths that the solution holds for", nullable=True)
    at_low = Figure("length", "thinnest film were the bearing at the low end of the clearance wanted", nullable=True)
    at_high = Figure("length", "thinnest film were it at the high end", nullable=True)


class BearingRow(AnswerPart):
    """One bearing."""

    name = Word("name or number")
    clearance = Figure("length", "oil clearance on the diameter, cold, by the largest diameter of the journal")
    hot_clearance = Figure("length", "oil clearance at running temperatures")
    wanted = Section(WantedClearance, "cold clearance wanted")
    out_of_round = Figure("length", "largest difference of two diameters at one place; null without readings", nullable=True)
    taper = Figure("length", "difference of the mean diameters of the places; null without two of them", nullable=True)
    verdict = Word("how the clearance stands", options=VERDICTS)
    reason = Word("why, and what to do")
    choose = Rows(Section(ShellChoice, "one of the shells on offer"), "the shells on offer, those that suit first; empty without any")
    film = Section(Film, "the oil film; null without width, oil and load", nullable=True)


class BearingClearanceAnswer(Answer):
    """What bearing clearance answers."""

    bearings = Rows(Section(BearingRow, "one bearing"), "each bearing, in the order given")
    tightest_clearance = Figure("length", "smallest oil clearance of all, cold")
    loosest_clearance = Figure("length", "largest oil clearance of all, cold, by the smallest diameters of the journals")
    hot_clearance = Figure("length", "smallest oil clearance of all at running temperatures")
    wanted = Section(WantedClearance, "cold clearance wanted of the first bearing")
    least_film = Figure("length", "thinnest oil film of all; null where it can't be known", nullable=True)
    side_clearance = Figure("length", "as measured; null where it was not", nullable=True)
    end_float = Figure("length", "as measured; null where it was not", nullable=True)
