"""The client's types, from documents that no calculation has yet."""

import subprocess
import sys
from typing import Any, Literal, get_args, get_origin, get_type_hints

import pytest

from borewright.web.client_code.schema_types import AnswerTypes, Types

WORDS = [f"a rather long word, number {number}" for number in range(9)]


def points(name: str, **more: Any) -> dict[str, Any]:
    return {"$ref": f"#/components/schemas/{name}", **more}


COMMON = {"verdict", "checks", "cautions", "assumptions", "sensitivity"}
REQUESTS: dict[str, Any] = {
    "GaugeRequest": {"properties": {"dial": points("DialPart"), "units": points("Units")}, "required": ["dial"]},
    "DialPart": {
        "description": 'A dial, "so called"',
        "properties": {
            "from": points("Length", description="where it starts"),
            "to": {"type": "array", "items": points("HandPart")},
        },
        "required": ["from"],
    },
    "HandPart": {
        "description": "A hand.",
        "properties": {
            "material": {"type": "string", "enum": WORDS, "description": 'a text that ends in a "quote"'},
            "shape": {"type": "string", "enum": ["round", "flat"], "description": "long " * 40},
            "count": {"type": "integer"},
            "loose": {"type": "boolean"},
            "extra": {},
        },
        "allOf": [{"oneOf": [{"required": ["count"]}, {"required": ["loose", "extra"]}]}],
    },
}
ANSWERS: dict[str, Any] = {
    "GaugeAnswer": {
        "properties": {
            **{name: {"type": "array"} for name in COMMON},
            "rows": {"type": "array", "items": points("RowPart")},
            "best": {"anyOf": [points("RowPart"), {"type": "null"}]},
            "tally": {"type": "object", "additionalProperties": {"type": "integer"}},
            "price": {"type": ["number", "null"]},
            "gone": {"type": "string"},
        },
        "required": ["rows", "best", "tally", "price"],
    },
    "RowPart": {
        "properties": {
            "gap": points("LengthFigure"),
            "verdict": {"anyOf": [points("Verdict"), {"type": "null"}]},
            "side": {"enum": ["left", "right", None]},
            "note": {"type": "string"},
        }
    },
}


def run(source: str) -> dict[str, Any]:
    names: dict[str, Any] = {"__name__": "made"}
    exec(compile(source, "made", "exec"), names)
    return names


def answer_types() -> AnswerTypes:
    return AnswerTypes(ANSWERS, ["GaugeAnswer"], "answers.")


@pytest.mark.parametrize("source", [Types(REQUESTS, ["GaugeRequest"], "parts.").source("About."), answer_types().source("About.")])
def test_source_needs_neither_formatter_nor_linter(source: str) -> None:
    for command in (["format", "--diff"], ["check", "--quiet"]):
        ruff = [sys.executable, "-m", "ruff", *command, "--config", "pyproject.toml", "--stdin-filename", "client/made.py", "-"]
        done = subprocess.run(ruff, input=source, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout + done.stderr


def test_objects_inside_requests() -> None:
    names = run(Types(REQUESTS, ["GaugeRequest"], "parts.").source("About."))
    assert names["__all__"] == ["DialPart", "HandPart", "Material", "Shape"]
    assert get_args(names["Material"]) == tuple(WORDS)
    assert names["DialPart"].__required_keys__ == {"from"}
    assert names["DialPart"].__optional_keys__ == {"to"}
    assert names["HandPart"].__required_keys__ == frozenset()
    assert "Give exactly one of: count; loose with extra." in names["HandPart"].__doc__
    hints = get_type_hints(names["HandPart"])
    assert (hints["count"], hints["loose"], hints["extra"]) == (int, bool, object)


def test_type_of_an_argument_names_the_module() -> None:
    types = Types(REQUESTS, ["GaugeRequest"], "parts.")
    members = REQUESTS["GaugeRequest"]["properties"]
    assert {name: types.python(schema, name, types.prefix) for name, schema in members.items()} == {
        "dial": "parts.DialPart",
        "units": "Units",
    }


def test_answers_have_attributes_of_their_types() -> None:
    """A member that is not required may be None."""
    names = run(answer_types().source("About."))
    hints, row = get_type_hints(names["GaugeAnswer"]), names["RowPart"]
    assert (get_origin(hints["rows"]), *get_args(hints["rows"])) == (list, row)
    assert hints["best"] == row | None
    assert hints["tally"] == dict[str, int]
    assert hints["price"] == float | None
    assert hints["gone"] == str | None
    assert set(COMMON) <= set(hints), "what every answer carries comes from its base"
    assert get_origin(names["Side"]) is Literal
    raw = {"rows": [{"gap": {"value": 1.0, "unit": "mm"}, "verdict": None}], "best": None, "tally": {"a": 1}, "price": 2.0, "new": True}
    answer = names["GaugeAnswer"](raw)
    assert (answer.rows[0].gap.to("cm").value, answer.rows[0].verdict, answer.best, answer.tally["a"]) == (0.1, None, None, 1)
    assert answer.raw["new"] is True


def test_member_of_one_name_with_two_sets_of_words_is_told_apart() -> None:
    two = {
        "OneRequest": {"properties": {"top": points("TopPart"), "low": points("LowPart")}},
        "TopPart": {"properties": {"side": {"enum": ["left", "right"]}}},
        "LowPart": {"properties": {"side": {"enum": ["fore", "aft"]}}},
    }
    assert Types(two, ["OneRequest"], "parts.").words == {"TopSide": ("left", "right"), "LowSide": ("fore", "aft")}


def test_words_never_take_the_name_of_an_object() -> None:
    same = {"OneRequest": {"properties": {"side": {"enum": ["left", "right"]}, "other": points("Side")}}, "Side": {"properties": {}}}
    assert Types(same, ["OneRequest"], "parts.").words == {"OneSide": ("left", "right")}


def test_object_that_holds_itself_is_refused() -> None:
    with pytest.raises(ValueError, match="APart holds itself"):
        Types({"OneRequest": {"properties": {"a": points("APart")}}, "APart": {"properties": {"a": points("APart")}}}, ["OneRequest"], "")


def test_answer_with_a_word_of_the_language_is_refused() -> None:
    wrong = AnswerTypes({"OneAnswer": {"properties": {"from": {"type": "string"}}}}, ["OneAnswer"], "answers.")
    with pytest.raises(ValueError, match="OneAnswer"):
        wrong.source("About.")
