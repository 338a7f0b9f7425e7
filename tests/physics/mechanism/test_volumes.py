"""Invariants of the volume formulas."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.physics.mechanism import volumes

NoAnswer = Callable[[str, Callable[[], object]], None]

sizes = st.floats(min_value=1e-3, max_value=1.0)


@given(swept=sizes, ratio=st.floats(min_value=1.01, max_value=50.0))
def test_clearance_for_ratio_undoes_compression_ratio(swept: float, ratio: float) -> None:
    assert volumes.compression_ratio(swept, volumes.clearance_for_ratio(swept, ratio)) == pytest.approx(ratio, rel=1e-12)


@given(outer=sizes, share=st.floats(min_value=0.0, max_value=1.0), height=sizes)
def test_annulus_and_its_core_make_the_disc(outer: float, share: float, height: float) -> None:
    inner = outer * share
    whole = volumes.annulus_volume(outer, inner, height) + volumes.cylinder_volume_of_height(inner, height)
    assert whole == pytest.approx(volumes.cylinder_volume_of_height(outer, height), rel=1e-12)


def test_piston_above_deck_takes_volume_away() -> None:
    assert volumes.cylinder_volume_of_height(0.1, -0.001) == -volumes.cylinder_volume_of_height(0.1, 0.001)


def test_scalars_are_elements_of_arrays() -> None:
    bore, stroke, count = np.array([0.08, 0.1]), np.array([[0.07], [0.09]]), np.array([4, 8])
    table = volumes.displacement(bore, stroke, count)
    assert table.shape == (2, 2)
    for i in range(2):
        for j in range(2):
            assert table[i, j] == volumes.displacement(bore[j], stroke[i, 0], count[j])


@pytest.mark.parametrize(
    ("formula", "arguments"),
    [
        (volumes.circle_area, (-0.1,)),
        (volumes.circle_area, (np.nan,)),
        (volumes.annulus_volume, (0.1, 0.11, 0.01)),
        (volumes.annulus_volume, (0.1, 0.09, -0.01)),
        (volumes.swept_volume, (0.1, 0.0)),
        (volumes.swept_volume, ([0.1, -0.1], 0.08)),
        (volumes.displacement, (0.1, 0.08, 0)),
        (volumes.compression_ratio, (1e-3, 0.0)),
        (volumes.clearance_for_ratio, (1e-3, 1.0)),
    ],
)
def test_impossible_sizes_are_refused(formula: Callable[..., object], arguments: tuple[object, ...], no_answer: NoAnswer) -> None:
    no_answer(r"must|needs|at least", lambda: formula(*arguments))
