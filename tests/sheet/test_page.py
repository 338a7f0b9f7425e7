"""The page: the same content as the data, self-contained, and nothing of the caller's is executed."""

import base64
import hashlib
import re
from html.parser import HTMLParser
from itertools import pairwise

from borewright.calculations.base.registry import calculations
from borewright.sheet.content import Content, content
from borewright.sheet.page import CSS, OWN_POLICY, POLICY, page
from borewright.sheet.sections import Worked
from borewright.sheet.showing import is_figure, shown
from borewright.sheet.sign_off import at

VOID = {"meta", "br", "img", "input", "link"}


class Reader(HTMLParser):
    """Tags with their attributes, the text, and whether tags close in order."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.open: list[str] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] not in ("style", "title", "desc"):
            self.text += data


def test_every_headline_and_verdict_is_in_the_text(demo: Worked, demo_content: Content) -> None:
    text = Reader(page(demo_content)).text
    for name, section in demo.sheet["sections"].items():
        assert calculations()[name].title in text
        headline = next((at(section, path) for path in calculations()[name].headline if is_figure(at(section, path))), None)
        if headline is not None:
            assert shown(headline) in text or shown(headline).split()[0] in text, name
    for check in demo.sheet["checks"]:
        assert check["reason"] in text
    for caution in demo.sheet["cautions"]:
        assert caution in text
    for word in (*demo.sheet["order"].values(), demo.sheet["input_digest"], demo.sheet["service_version"], "Measured", "Initials"):
        assert word in text


def test_it_is_well_formed_and_asks_nobody_for_anything(demo_content: Content) -> None:
    written = page(demo_content)
    read = Reader(written)
    assert read.open == []
    assert not {tag for tag, _ in read.tags} & {"script", "link", "img", "iframe", "object", "embed", "form", "base", "a:href"}
    for tag, attributes in read.tags:
        assert "style" not in attributes, tag
        assert not any(name.startswith("on") for name in attributes)
        for name in ("src", "href", "xlink:href", "action"):
            assert (attributes.get(name) or "#").startswith("#"), (tag, attributes)
    assert not re.findall(r"url\((?!#)", written)
    assert "@import" not in written
    assert set(re.findall(r"https?://[^\"' ]*", written)) <= {"http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"}


def test_ids_are_unique_and_every_reference_has_its_end(demo_content: Content) -> None:
    read = Reader(page(demo_content))
    ids = [attributes["id"] for _, attributes in read.tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    for _, attributes in read.tags:
        for name in ("aria-labelledby", "href"):
            for target in (attributes.get(name) or "").split():
                assert target.removeprefix("#") in ids


def test_the_policy_allows_its_own_style_alone(demo_content: Content) -> None:
    style = re.search("<style>(.*)</style>", page(demo_content), re.DOTALL)
    assert style is not None
    assert style[1] == CSS
    assert base64.b64encode(hashlib.sha256(style[1].encode()).digest()).decode() in POLICY
    assert POLICY.startswith("default-src 'none'; style-src 'sha256-")
    assert "unsafe" not in POLICY
    assert "script" not in POLICY
    assert "frame-ancestors" not in OWN_POLICY


def test_tables_and_figures_can_be_read_aloud(demo_content: Content) -> None:
    read = Reader(page(demo_content))
    assert all(attributes.get("scope") in ("col", "row") for tag, attributes in read.tags if tag == "th")
    drawn = [attributes for tag, attributes in read.tags if tag == "svg"]
    assert len(drawn) == 1 + sum(len(section.drawings) for section in demo_content.sections) > 1
    assert all(attributes["role"] == "img" and attributes["aria-labelledby"] for attributes in drawn[1:])  # the first is the code
    levels = [int(tag[1]) for tag, _ in read.tags if re.fullmatch("h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(deeper - level <= 1 for level, deeper in pairwise(levels))


def test_hostile_words_are_shown_and_stay_words(hostile: Worked) -> None:
    written = page(content(hostile))
    read = Reader(written)
    order = hostile.sheet["order"]
    assert read.open == []
    assert not {tag for tag, _ in read.tags} & {"script", "img"}
    assert not any(name.startswith("on") for _, attributes in read.tags for name in attributes)
    for word in order.values():
        assert word in read.text
    assert hostile.sheet["sections"]["compression-target"]["plans"][0]["steps"][1].removeprefix("fit the gasket ") in read.text


def test_each_word_of_the_callers_keeps_its_direction_to_itself(hostile: Worked) -> None:
    body = page(content(hostile)).split("<body>")[1]
    outside = re.sub(r"<bdi>.*?</bdi>", "", body, flags=re.DOTALL)
    assert not re.findall("[\u202a-\u202e\u2066-\u2069א-ת]", outside)


def test_it_is_the_same_each_time(demo: Worked, demo_content: Content) -> None:
    assert page(content(demo)) == page(demo_content)
