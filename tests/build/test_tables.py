"""The tables of facts and of what calculations take: they fit the calculations, and say what to add where they do not."""

import copy
from collections import Counter

import pytest

from borewright.build import build_part
from borewright.build.coverage import entry_problems, leaves
from borewright.build.facts import FACTS, STANDS_IN, fact_at
from borewright.build.takes import TAKES, Takes
from borewright.calculations.base.fields import Quantity, RequestPart
from borewright.calculations.base.registry import calculations

SCHEMAS = {name: calculation.request_schema for name, calculation in calculations().items()}


def test_every_field_of_every_calculation_is_a_fact_or_its_own() -> None:
    """A calculation joins the sheet by an entry in build/takes.py; the message is what to write there."""
    problems = entry_problems(SCHEMAS)
    assert not problems, "\n".join(["service/borewright/build/takes.py and facts.py do not fit:", *problems])


def test_no_calculation_is_in_the_table_that_is_gone() -> None:
    assert set(TAKES) == set(SCHEMAS)


def test_every_place_of_a_fact_is_taken_by_a_calculation() -> None:
    """A place that no request has could not be stated."""
    places = {TAKES[name].place(path) for name, schema in SCHEMAS.items() for path in leaves(schema)}
    for fact in FACTS:
        for place in fact.places:
            assert any(path == place or path.startswith(place + ".") for path in places), f"{fact.text}: no calculation has {place}"


def test_a_place_states_one_fact() -> None:
    counted = Counter(place for fact in FACTS for place in fact.places)
    assert [place for place, times in counted.items() if times > 1] == []
    for place, (other, _) in STANDS_IN.items():
        assert fact_at(place) is not None
        assert fact_at(place) is not fact_at(other)


def test_places_of_a_fact_are_of_one_kind() -> None:
    """What is stated in one place can be given to another."""
    build = build_part()()
    for fact in FACTS:
        found = set()
        for place in fact.places:
            schema, field = build, None
            for step in place.split("."):
                field = schema.fields[step]
                schema = getattr(field, "schema", schema)
            found.add((type(field), getattr(field, "kind", None)))
        assert len(found) == 1, fact.text


class _NewRequest(RequestPart):
    stroke = Quantity("length", "1 mm", "1 m", "twice the throw")
    oil_height = Quantity("length", "1 mm", "1 m", "something new")
    gasket = Quantity("length", "1 mm", "1 m", "what another has as an object")


@pytest.mark.parametrize(
    ("takes", "said"),
    [
        (Takes(("stroke",), own=("gasket",)), "in TAKES of new add 'oil_height' to own="),
        (Takes((), own=("oil_height", "gasket")), "in TAKES of new add 'stroke' to facts=, as it is the stroke"),
        (Takes(("stroke", "oil_height", "gasket")), "FACTS has none at 'oil_height': add Fact(…, ('oil_height',))"),
        (Takes(("stroke", "bore"), own=("oil_height", "gasket")), "new has no field 'bore' any more: take it out of TAKES of new"),
        (
            Takes(("stroke",), own=("oil_height", "gasket")),
            "gasket states a fact of FACTS: in TAKES of new, move 'gasket' from own to facts",
        ),
        (Takes(("stroke",), own=("oil_height", "gasket"), renamed={"oil_height": "lift"}), "lift is own to valve-clearance and to new"),
    ],
)
def test_a_gap_in_the_table_is_told_with_its_remedy(takes: Takes, said: str) -> None:
    problems = entry_problems({"valve-clearance": SCHEMAS["valve-clearance"], "new": _NewRequest()}, {**TAKES, "new": takes})
    assert any(said in problem for problem in problems), problems


def test_the_build_is_closed_and_wants_nothing() -> None:
    """One place is enough, so that no object of a build can want a member; a name that nobody has is refused."""
    build = build_part()()
    assert not any(field.required for field in build.fields.values())
    assert "unknown" in str(build.validate({"bohrung": "1 mm"})) or build.validate({"bohrung": "1 mm"})
    assert build.validate({"stack": {"deck_height": "9 in"}, "crank": {"counterweight_radius": "3 in"}}) == {}
    assert copy.deepcopy(build).validate({"stack": {"deck_hight": "9 in"}})
