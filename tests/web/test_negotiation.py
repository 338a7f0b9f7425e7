"""Accept headers, by RFC 9110, section 12.5.1."""

import pytest
from flask import Flask

from borewright.web.negotiation import wanted_form
from borewright.web.problems import Problem

JSON, HTML, PDF = FORMS = ("application/json", "text/html", "application/pdf")
app = Flask(__name__)


@pytest.mark.parametrize(
    ("accept", "form"),
    [
        (None, JSON),
        ("", JSON),
        ("*/*", JSON),
        ("application/json", JSON),
        ("APPLICATION/JSON", JSON),
        ("text/html", HTML),
        ("text/*", HTML),
        ("application/pdf", PDF),
        ("application/*", JSON),
        ("text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8", HTML),
        ("application/json;q=0.2, application/pdf;q=0.9, text/html;q=0.5", PDF),
        ("application/json;q=0, */*", HTML),
        ("text/html;q=0.5, */*;q=0.6", JSON),
        ("application/json;q=0, text/html;q=0, */*;q=0.1", PDF),
        ("image/png, application/pdf;q=0.1", PDF),
        ("text/html;q=1.0, application/pdf;q=1.0", HTML),
        ("garbage", None),
        ("image/png", None),
        ("*/*;q=0", None),
        ("application/problem+json", None),
    ],
)
def test_the_form_that_is_wanted_most(accept: str | None, form: str | None) -> None:
    headers = {} if accept is None else {"Accept": accept}
    with app.test_request_context(headers=headers):
        if form is not None:
            assert wanted_form(FORMS) == form
            return
        with pytest.raises(Problem) as refusal:
            wanted_form(FORMS)
    assert refusal.value.kind.status == 406
    assert all(each in refusal.value.detail for each in FORMS)
