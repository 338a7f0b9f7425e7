"""What power-gain answers in pieces: a gain, the cycle's gain, the band over the methods, spinning up, and what is missing."""

from __future__ import annotations

from borewright.calculations.base.answers import Answer, AnswerPart, Figure, Rows, Section, Truth, Word


class Gain(AnswerPart):
    """One estimate of the gain."""

    gain = Figure("percentage", "share of the baseline power gained; negative is a loss", nullable=True)
    power_gain = Figure("power", "power gained", nullable=True)
    power = Figure("power", "power after the change", nullable=True)
    torque_gain = Figure("torque", "torque gained at the speed of each state; null where no speed is given", nullable=True)
    torque = Figure("torque", "torque after the change; null where no speed is given", nullable=True)


class CycleGain(Gain):
    """The gain by the cylinder cycle, at the timing the fuel allows."""

    knock_limited = Truth("whether the fuel asks for later timing than MBT after the change")
    knock_limited_before = Truth("whether it did before")
    gain_low = Figure("percentage", "gain at the low end of fuel, friction, breathing and what the cycle is good for", nullable=True)
    gain_high = Figure("percentage", "gain at their high end", nullable=True)
    gain_at_mbt = Figure("percentage", "gain if the fuel stood MBT timing before and after", nullable=True)
    retard_before = Figure("angle", "from MBT timing, before the change", nullable=True)
    retard_after = Figure("angle", "from MBT timing, after it", nullable=True)


class GainBand(AnswerPart):
    """The estimate as a band."""

    low = Section(Gain, "the smallest of the methods, the cycle's own low end included")
    value = Section(Gain, "the cycle's gain; where there is none the median of the methods")
    high = Section(Gain, "the largest of the methods, the cycle's own high end included")


class SpinUp(AnswerPart):
    """What the engine's own moving masses take while it gains speed."""

    rate = Figure("rotation_rate", "speed gained in a second")
    inertia_before = Figure("moment_of_inertia", "of all moving masses, at the crank, before the change")
    inertia_after = Figure("moment_of_inertia", "of all moving masses, at the crank, after it")
    power_before = Figure("power", "power that they take, before the change")
    power_after = Figure("power", "power that they take, after it")
    power_freed = Figure("power", "power that reaches the clutch besides, while the speed rises; at a steady speed there is none")
    torque_freed = Figure("torque", "the same as torque")


class Missing(AnswerPart):
    """A result that could not be calculated, and why."""

    name = Word("the result")
    reason = Word("why, and what would fill it")


class PowerGainAnswer(Answer):
    """What power-gain answers."""

    practice = Section(
        Gain,
        "4 % of power a point of compression, boost by the manifold's pressure, nitrous oxide as sold, common practice; the air by SAE "
        "J1349; null where the states differ in what these can't see",
        nullable=True,
    )
    air_standard = Section(
        Gain, "ratio of the cold-air Otto efficiencies, γ = 1.4; null where more than compression changes", nullable=True
    )
    fuel_air = Section(
        Gain,
        "ratio of the fuel-air cycle efficiencies, real gas and dissociation: an upper bound on what is indicated; null as above",
        nullable=True,
    )
    cycle = Section(CycleGain, "ratio of the powers at the crank by the cylinder cycle; null where the engine is not given", nullable=True)
    estimate = Section(GainBand, "band over the methods that apply", nullable=True)
    torque_before = Figure("torque", "torque before the change; null where no speed is given", nullable=True)
    spin_up = Section(SpinUp, "the power that lighter parts free while the engine gains speed; null where it is not asked", nullable=True)
    missing = Rows(Section(Missing, "a missing result"), "results that are not in this answer")
