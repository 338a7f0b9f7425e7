"""JCGM 100:2008 (GUM), annex H.1, end-gauge calibration, carried through the propagation of tolerances.

The annex states standard uncertainties; a tolerance here is a rectangular half-width, hence half-width = u·√3 (GUM 4.3.7).
Lengths in nm. l = l_s + d − l_s·(δα·θ + α_s·δθ), eq. H.3.
"""

import math

import numpy as np
import pytest

from borewright.quantities import TolerancePlan

# name: (estimate, standard uncertainty), GUM table H.1; d is the mean of the comparisons with its comparator's two contributions
STANDARD = (50000623.0, 25.0)  # nm, H.1.3.1
OBSERVATIONS = (215.0, 5.8)  # nm, H.1.3.2, repeated observations
COMPARATOR_RANDOM = (0.0, 3.9)  # nm, H.1.3.2
COMPARATOR_SYSTEMATIC = (0.0, 6.7)  # nm, H.1.3.2
EXPANSION = (11.5e-6, 1.2e-6)  # 1/K, H.1.3.3
TEMPERATURE = (-0.1, 0.41)  # K from 20 °C, H.1.3.4
EXPANSION_DIFFERENCE = (0.0, 1e-6 / math.sqrt(3))  # 1/K, H.1.3.5
TEMPERATURE_DIFFERENCE = (0.0, 0.05 / math.sqrt(3))  # K, H.1.3.6
INPUTS = (
    STANDARD,
    TEMPERATURE_DIFFERENCE,
    COMPARATOR_SYSTEMATIC,
    OBSERVATIONS,
    COMPARATOR_RANDOM,
    EXPANSION_DIFFERENCE,
    EXPANSION,
    TEMPERATURE,
)
BUDGET = (25.0, 16.599, 6.7, 5.8, 3.9, 2.8868, 0.0, 0.0)  # nm, table H.1 (there rounded to 25, 16.6, 6.7, 5.8, 3.9, 2.9)


def test_budget_and_combined_uncertainty() -> None:
    """Each component of the budget, l = 50.000838 mm and u = 32 nm (GUM H.1.4, H.1.5)."""
    plan = TolerancePlan([value for value, _ in INPUTS], [u * math.sqrt(3) for _, u in INPUTS])
    standard, theta_difference, systematic, observed, random, alpha_difference, alpha, theta = (plan.column(i) for i in range(len(INPUTS)))
    difference = observed + random + systematic
    length = standard + difference - standard * (alpha_difference * theta + alpha * theta_difference)
    found = plan.summarize(length)
    assert found.value == pytest.approx(50000838, abs=0.5)
    np.testing.assert_allclose(np.sqrt(found.variances), BUDGET, rtol=5e-5, atol=1e-4)
    assert found.uncertainty / 2 == pytest.approx(32, abs=0.5)
    assert found.uncertainty / 2 == pytest.approx(math.sqrt(sum(u**2 for u in BUDGET)), rel=1e-5)


def test_the_comparison_is_the_root_of_its_squares() -> None:
    """u(d) = √(5.8² + 3.9² + 6.7²) = 9.7 nm (GUM H.1.3.2)."""
    parts = (OBSERVATIONS, COMPARATOR_RANDOM, COMPARATOR_SYSTEMATIC)
    plan = TolerancePlan([value for value, _ in parts], [u * math.sqrt(3) for _, u in parts])
    found = plan.summarize(plan.column(0) + plan.column(1) + plan.column(2))
    assert found.uncertainty / 2 == pytest.approx(9.7, abs=0.05)
