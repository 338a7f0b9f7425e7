"""Docstrings, imports and literals come out as written and no longer than a line may be."""

import ast
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from borewright.web.client_code.text import WIDTH, docstring, imports, literal

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=20,
)


@given(VALUES, st.integers(1, 120))
def test_literal_is_the_value(value: Any, room: int) -> None:
    assert ast.literal_eval(literal(value, room)) == value


def test_literal_breaks_what_is_too_long() -> None:
    value = {"parts": [{"name": f"part {number}", "bore": "3.892 in ± 0.0005 in"} for number in range(9)]}
    assert max(map(len, literal(value, 60).splitlines())) <= 60


@pytest.mark.parametrize("text", ['ends in a "quote"', 'holds """ three', r"a \d backslash", "plain"])
def test_docstring_says_what_it_was_given(text: str) -> None:
    function = ast.parse("def f():\n" + docstring([text], "    ")).body[0]
    assert isinstance(function, ast.FunctionDef)
    assert (ast.get_docstring(function) or "").strip() == text


def test_docstring_wraps_and_hangs_arguments_only() -> None:
    lines = docstring(["word " * 40, "", "bore : " + "word " * 40, ">>> " + "x" * 200], "    ").splitlines()
    assert all(len(line) <= WIDTH for line in lines if ">>>" not in line)
    assert lines[1].startswith("    word")
    assert lines[4].startswith("        word")
    assert lines[5] == "    >>> " + "x" * 200


def test_imports_take_names_and_not_words_of_docstrings() -> None:
    assert imports('class A(TypedDict):\n    """Check the Basis."""\n') == "from typing import TypedDict\n\n"
