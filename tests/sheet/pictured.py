"""What the README's pictures show: the demo's order on a fixed day, and a digest of all that its page says."""

from __future__ import annotations

import datetime
import hashlib
from html.parser import HTMLParser
from typing import Any

from borewright.demo.run import read_order
from borewright.sheet.content import content
from borewright.sheet.page import page
from borewright.sheet.sections import worked

NOTE = "what-the-page-said"
DAY = datetime.date(2026, 11, 30)


class _Words(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.inside = ""

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.inside = tag

    def handle_data(self, data: str) -> None:
        if self.inside != "style":
            self.words += data.split()


def order() -> dict[str, Any]:
    """The demo's order with its date."""
    found = read_order(None)
    return {**found, "order": {**found["order"], "date": DAY.isoformat()}}


def digest() -> str:
    """A digest of the words and figures of its page, whatever they are drawn with."""
    read = _Words()
    read.feed(page(content(worked(order()))))
    return hashlib.sha256(" ".join(read.words).encode()).hexdigest()
