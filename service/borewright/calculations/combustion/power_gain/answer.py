"""What power-gain answers in pieces: a gain, the cycle's gain, the band over the methods, and what is missing."""

from __future__ import annotations

from borewright.calculations.base.answers import AnswerPart, Figure, Section, Truth, Word


class Gain(AnswerPart):
    """One estimate of the gain."""

    gain = Figure("percentage", "share of the baseline power gained; negative is a loss", nullable=True)
    power_gain = Figure("power", "power gained", nullable=True)
    power = Figure("power", "power after the change", nullable=True)


class CycleGain(Gain):
    """The gain by the cylinder cycle, at the timing the fuel allows."""

    knock_limited = Truth("whether the fuel asks for later timing than best torque after the change")
    knock_limited_before = Truth("whether it did before")
    gain_low = Figure("percentage", "gain at the low end of the fuel and of what the cycle is good for", nullable=True)
    gain_high = Figure("percentage", "gain at their high end", nullable=True)
    gain_at_best_torque = Figure("percentage", "gain if the fuel stood best-torque timing before and after", nullable=True)
    retard_before = Figure("angle", "from best torque, before the change", nullable=True)
    retard_after = Figure("angle", "from best torque, after it", nullable=True)


class GainBand(AnswerPart):
    """The estimate as a band."""

    low = Section(Gain, "the smallest of the methods, the cycle's own low end included")
    value = Section(Gain, "the median of the methods")
    high = Section(Gain, "the largest of the methods, the cycle's own high end included")


class Missing(AnswerPart):
    """A result that could not be worked out, and why."""

    name = Word("the result")
    reason = Word("why, and what would fill it")
