"""One request answered, with its tolerances, by each of the ways they are carried."""

import itertools
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from plate import GOOD, PLATE, MovedAnswer, MovedRequest, calculation, moved, refusal

from borewright.calculations.base.batch import answer_batch
from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.outcome import Check, Measured, Outcome
from borewright.calculations.base.problems import ImpossibleBuild, InvalidRequest
from borewright.calculations.base.single import answer
from borewright.rules.cautions import CAUTIONS, ESTIMATE


class TestAnswers:
    """From arrays to an answer."""

    def test_without_tolerances(self) -> None:
        """Every type of result; no bounds, no sensitivity."""
        found = answer(PLATE, {**GOOD, "holes": [{"number": 3, "depth": "5 mm"}]})
        assert found["area"] == {"value": 800.0, "unit": "cm2"}
        assert found["aspect"] == {"value": 2.0, "unit": "1"}
        assert found["warmth"] == {"value": 20.0, "unit": "degC"}
        assert found["half"] == {"number": 7, "depth": {"value": 200.0, "unit": "mm"}}
        assert found["holes"] == [{"number": 3, "depth": {"value": 5.0, "unit": "mm"}}]
        assert (found["share"], found["large"], found["finish"], found["reasons"], found["unknown"]) == (
            0.25,
            False,
            "milled",
            {"too long": 2},
            None,
        )
        assert found["cautions"] == [CAUTIONS["lifting"], CAUTIONS["instructions"], ESTIMATE]
        assert found["sensitivity"] == []

    def test_units_pick_the_units_of_the_answer(self) -> None:
        """The same plate in inches."""
        found = answer(PLATE, {**GOOD, "units": "inch"})
        assert found["area"] == {"value": pytest.approx(800 / 2.54**2, rel=1e-11), "unit": "in2"}
        assert found["warmth"] == {"value": 68.0, "unit": "degF"}

    @given(
        sides=st.tuples(st.floats(300, 900), st.floats(20, 250)),
        tolerances=st.tuples(st.floats(0.01, 20), st.floats(0.01, 5)),
    )
    def test_bounds_uncertainty_and_shares(self, sides: tuple[float, float], tolerances: tuple[float, float]) -> None:
        """Area and aspect against their closed forms: corners, u² = Σ(∂f/∂x)²a²/3 with k = 2, shares of the variance."""
        (a, b), (da, db) = sides, tolerances
        found = answer(PLATE, {**GOOD, "length": f"{a!r} mm ± {da!r} mm", "width": f"{b!r} mm ± {db!r} mm"})
        corners = list(itertools.product((a - da, a + da), (b - db, b + db)))
        for name, exact, partials, scale in (
            ("area", lambda x, y: x * y, (b, a), 100),
            ("aspect", lambda x, y: x / y, (1 / b, a / b**2), 1),
        ):
            figure = found[name]
            assert figure["value"] == pytest.approx(exact(a, b) / scale, rel=1e-11)
            assert figure["low"] == pytest.approx(min(exact(*corner) for corner in corners) / scale, rel=1e-11)
            assert figure["high"] == pytest.approx(max(exact(*corner) for corner in corners) / scale, rel=1e-11)
            variance = (partials[0] * da) ** 2 / 3 + (partials[1] * db) ** 2 / 3
            assert figure["uncertainty"] == pytest.approx(2 * math.sqrt(variance) / scale, rel=1e-6)
        shares = {entry["input"]: entry["contribution"] for entry in found["sensitivity"]}
        expected = (b * da) ** 2 / ((b * da) ** 2 + (a * db) ** 2)
        assert shares == pytest.approx({"#/length": expected, "#/width": 1 - expected}, rel=1e-6, abs=1e-9)
        assert sum(shares.values()) == pytest.approx(1, rel=1e-11)
        contributions = [entry["contribution"] for entry in found["sensitivity"]]
        assert contributions == sorted(contributions, reverse=True)
        assert {entry["output"] for entry in found["sensitivity"]} == {"area"}
        assert found["warmth"] == {"value": 20.0, "unit": "degC", "low": 20.0, "high": 20.0, "uncertainty": 0.0}

    def test_a_tolerance_of_a_temperature_has_no_zero_point(self) -> None:
        """±9 degF is ±5 K: bounds move with the scale, the uncertainty is a difference."""
        figure = answer(PLATE, {**GOOD, "units": "inch", "temperature": "77 degF ± 9 degF"})["warmth"]
        assert (figure["value"], figure["low"], figure["high"]) == pytest.approx((77, 68, 86), rel=1e-11)
        assert figure["uncertainty"] == pytest.approx(2 * 9 / math.sqrt(3), rel=1e-9)

    def test_tolerances_in_lists_have_their_place(self) -> None:
        """A toleranced entry of a list moves its own row alone; what moves the headline not at all has a share of zero."""
        holes = [{"number": 1, "depth": "5 mm ± 1 mm"}, {"number": 2, "depth": "6 mm"}]
        found = answer(PLATE, {**GOOD, "length": "400 mm ± 1 mm", "holes": holes})
        assert (found["holes"][0]["depth"]["low"], found["holes"][0]["depth"]["high"]) == (4.0, 6.0)
        assert (found["holes"][1]["depth"]["low"], found["holes"][1]["depth"]["high"]) == (6.0, 6.0)
        assert found["sensitivity"] == [
            {"input": "#/length", "output": "area", "contribution": 1.0},
            {"input": "#/holes/0/depth", "output": "area", "contribution": 0.0},
        ]

    def test_impossible_at_a_corner(self) -> None:
        """What holds at the nominal sizes but not within the tolerances is refused, and says so."""
        body = {**GOOD, "length": "205 mm ± 3 mm", "width": "200 mm ± 3 mm"}
        said = "at a corner of the stated tolerances: the short side can't be longer than the long side: turn it round"
        assert refusal(body, ImpossibleBuild) == {"#/width": said}
        assert answer(PLATE, {**GOOD, "length": "205 mm ± 2 mm", "width": "200 mm ± 2 mm"})["aspect"]["low"] > 1

    def test_too_many_tolerances(self) -> None:
        """Beyond what is calculated, each one too many is pointed at."""
        body = {**GOOD, "length": "400 mm ± 1 mm", "width": "200 mm ± 1 mm", "offset": "0 mm ± 1 mm"}
        errors = refusal(body, InvalidRequest, calculation(most_toleranced=2))
        assert set(errors) == {"#/offset"}
        assert "at most 2" in errors["#/offset"]
        assert answer(calculation(most_toleranced=3), body)["area"]["low"] < 800

    def test_a_result_that_is_no_number(self) -> None:
        """A figure that must be there but comes out as no number refuses the request instead of answering null."""
        lost = calculation(compute=lambda request: Outcome({"area": request["length"] * np.nan}))
        assert refusal(GOOD, ImpossibleBuild, lost) == {"#": "with these inputs area does not come out as a number: check their sizes"}


class TestInterval:
    """Calculations that find their bounds themselves."""

    @staticmethod
    def compute(request: dict[str, Any]) -> Outcome:
        """Bounds from [nominal, all low, all high]."""
        length, width = request["length"], request["width"]
        outcome = Outcome({"aspect": Measured(length[0] / width[0], length[1] / width[-1], length[-1] / width[1 % width.size])})
        outcome.refuse_where(length > 0.9, "#/length", "too long for the bench", Code.IMPOSSIBLE)
        outcome.checks = [Check("wall", "length", length, 0.1, None, "short ones bend", "common practice", "the shop")]
        return outcome

    def test_bounds_and_checks(self) -> None:
        """The measured bounds are answered as they are; a check sees the low and the high state."""
        interval = calculation(compute=self.compute, propagation="interval")
        found = answer(interval, {"length": "102 mm ± 4 mm", "width": "50 mm ± 1 mm", "pieces": 1})
        assert found["aspect"] == {
            "value": 2.04,
            "unit": "1",
            "low": pytest.approx(98 / 51, rel=1e-11),
            "high": pytest.approx(106 / 49, rel=1e-11),
        }
        assert found["checks"][0]["verdict"] == "watch"
        assert found["sensitivity"] == []

    def test_shares_of_its_own(self) -> None:
        """What it says of the variance is shared out as the frame's own; a result without any is passed over."""

        def compute(request: dict[str, Any]) -> Outcome:
            outcome = self.compute(request)
            outcome.variances = {"area": {"#/length": 0.0}, "aspect": {"#/width": 1.0, "#/length": 3.0}}
            return outcome

        found = answer(calculation(compute=compute, propagation="interval"), {"length": "102 mm ± 4 mm", "width": "50 mm", "pieces": 1})
        assert found["sensitivity"] == [
            {"input": "#/length", "output": "aspect", "contribution": 0.75},
            {"input": "#/width", "output": "aspect", "contribution": 0.25},
        ]

    def test_a_check_with_bounds_and_a_verdict_of_its_own(self) -> None:
        """A measured value is shown with its bounds, and the verdict stands."""

        def compute(request: dict[str, Any]) -> Outcome:
            value = Measured(1.0, 0.5, 1.5)
            own = Check("rod-ratio", "ratio", value, 0.75, None, "slim", "common practice", "the shop", verdict="watch")
            judged = Check("balance-factor", "ratio", value, 0.75, None, "slim", "common practice", "the shop")
            return Outcome({}, [own, judged])

        own, judged = answer(calculation(compute=compute, propagation="interval"), GOOD)["checks"]
        assert (own["verdict"], own["value"]) == ("watch", {"value": 1.0, "unit": "1", "low": 0.5, "high": 1.5})
        assert judged["verdict"] == "pass", "without one of its own, the nominal value decides"

    def test_impossible_within_the_tolerances(self) -> None:
        """A low or high state that can't be refuses the request as a corner does."""
        interval = calculation(compute=self.compute, propagation="interval")
        assert refusal({**GOOD, "length": "901 mm"}, ImpossibleBuild, interval) == {"#/length": "too long for the bench"}
        errors = refusal({**GOOD, "length": "899 mm ± 2 mm"}, ImpossibleBuild, interval)
        assert errors == {"#/length": "at a corner of the stated tolerances: too long for the bench"}


class TestAdditive:
    """A calculation whose tolerances are added up one by one."""

    CALCULATION = calculation(
        name="moved", request=MovedRequest, answer=MovedAnswer, compute=moved, headline=("area",), propagation="additive", most_toleranced=2
    )

    def test_bounds_are_sums(self) -> None:
        found = answer(self.CALCULATION, {"start": "100 mm ± 1 mm", "width": "10 mm ± 0.2 mm"})
        assert found["area"]["low"] == pytest.approx(10.0 - 0.1 - 0.2)
        assert found["area"]["high"] == pytest.approx(10.0 + 0.1 + 0.2)
        assert [share["contribution"] for share in found["sensitivity"]] == pytest.approx([0.8, 0.2])

    @pytest.mark.parametrize(("width", "verdict"), [("10 mm ± 0.2 mm", "pass"), ("10 mm ± 0.45 mm", "watch"), ("11 mm", "fail")])
    def test_a_check_sees_the_sum(self, width: str, verdict: str) -> None:
        """Neither tolerance alone leaves the limit of 10.5 cm2; 1 % and 4.5 % together do."""
        found = answer(self.CALCULATION, {"start": "100 mm ± 1 mm", "width": width})
        assert found["checks"][0]["verdict"] == verdict

    def test_too_many_rows_of_a_costly_calculation(self) -> None:
        costly = calculation(name="moved", request=MovedRequest, answer=MovedAnswer, compute=moved, batch=True, most_rows=2)
        body = {"units": "metric", "common": {"width": 10}, "columns": {"start": [50, 60, 70]}}
        with pytest.raises(InvalidRequest, match="at most 2"):
            answer_batch(costly, body, most_rows=100)
