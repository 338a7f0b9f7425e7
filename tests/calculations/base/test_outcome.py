"""Checks and their verdicts."""

import pytest
from plate import GOOD, PLATE

from borewright.calculations.base.single import answer


class TestChecks:
    """Verdicts."""

    @pytest.mark.parametrize(
        ("length", "verdict"),
        [
            ("120 mm", "pass"),
            ("100 mm", "pass"),
            ("99 mm", "fail"),
            ("101 mm ± 2 mm", "watch"),
            ("99 mm ± 2 mm", "fail"),
            ("103 mm ± 2 mm", "pass"),
        ],
    )
    def test_a_hard_limit(self, length: str, verdict: str) -> None:
        """Inside is pass, outside is fail, inside with a corner outside is watch."""
        found = {each["name"]: each for each in answer(PLATE, {"length": length, "width": "50 mm", "pieces": 1})["checks"]}
        assert found["wall"]["verdict"] == verdict
        assert found["wall"]["limits"] == {"low": {"value": 100.0, "unit": "mm"}, "high": None}
        assert ("low" in found["wall"]["value"]) == ("±" in length)

    @pytest.mark.parametrize(
        ("length", "verdict"), [("200 mm", "pass"), ("201 mm", "watch"), ("199 mm ± 2 mm", "watch"), ("198 mm ± 1 mm", "pass")]
    )
    def test_a_soft_limit(self, length: str, verdict: str) -> None:
        """Outside a soft limit is watch, never fail."""
        found = {each["name"]: each for each in answer(PLATE, {"length": length, "width": "50 mm", "pieces": 1})["checks"]}
        assert found["rod-ratio"]["verdict"] == verdict

    def test_what_is_not_known_is_unknown(self) -> None:
        """No guess."""
        found = {each["name"]: each for each in answer(PLATE, GOOD)["checks"]}
        assert (found["factor"]["verdict"], found["factor"]["value"]) == ("unknown", None)
