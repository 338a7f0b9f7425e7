"""Debian's Chromium without a screen, driven by Playwright, and a watch over what a page asks for and complains of."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import axe_playwright_python
from playwright.sync_api import Browser, Page, Route, sync_playwright

# no sandbox: it wants privileges that a container lacks, and only pages of this service are opened
ARGUMENTS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
)
REMEDY = "these tests want Chromium: apt-get install chromium (.ci/packages does)"
PATIENCE = 90_000  # milliseconds; other tests run beside
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")
SHEET_PATH = "/sheet-of-the-test"


@contextmanager
def launched() -> Iterator[Browser]:
    """Chromium, closed at the end.

    Raises RuntimeError where it is not installed.
    """
    program = shutil.which("chromium")
    if program is None:
        raise RuntimeError(REMEDY)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=list(ARGUMENTS))
        try:
            yield browser
        finally:
            browser.close()


class Watched:
    """A tab that writes down every request it sends and every complaint it makes."""

    def __init__(self, browser: Browser, address: str, width: int, height: int = 844) -> None:
        self.address = address
        self.requests: list[str] = []
        self.complaints: list[str] = []
        self.context = browser.new_context(viewport={"width": width, "height": height}, accept_downloads=True)
        self.context.set_default_timeout(PATIENCE)
        self.context.on("request", lambda request: self.requests.append(request.url))
        self.context.on("requestfailed", lambda request: self.complaints.append(f"{request.url}: {request.failure}"))
        self.context.on("console", lambda message: self.complaints.append(f"{message.type}: {message.text}"))
        self.context.on("weberror", lambda error: self.complaints.append(f"error: {error.error}"))
        self.page: Page = self.context.new_page()

    def open(self, path: str) -> Page:
        """Go to a page of the service."""
        self.page.goto(self.address + path)
        return self.page

    def open_docs(self, place: str = "") -> Page:
        """Go to the reference and wait until its requests are there."""
        page = self.open(f"/docs{place}")
        page.locator(".opblock").first.wait_for()
        return page

    def behind(self, prefix: str) -> None:
        """Serve the service under a path of its own, as a proxy would that takes the path off."""
        served_at = self.address
        self.address += prefix
        self.page.route(f"{self.address}/**", lambda route: route.fulfill(response=route.fetch(url=served_at + _beyond(route, prefix))))

    def open_sheet(self, order: dict[str, Any]) -> Page:
        """Open an order's sheet as the service sends it, with its headers: a browser can't POST from its address bar."""

        def send(route: Route) -> None:
            body, headers = json.dumps(order), {"Content-Type": "application/json", "Accept": "text/html"}
            route.fulfill(response=self.context.request.post(f"{self.address}/v1/build-sheet", data=body, headers=headers))

        self.page.route(self.address + SHEET_PATH, send)
        return self.open(SHEET_PATH)

    def strangers(self) -> list[str]:
        """The requests that were not to the service itself; data: and blob: addresses ask nobody."""
        own = (self.address + "/", "data:", f"blob:{self.address}/")
        return [address for address in self.requests if not address.startswith(own)]

    def findings(self) -> list[str]:
        """What axe-core finds, of any weight, with the places."""
        if not self.page.evaluate("'axe' in window"):
            self.page.evaluate(AXE)
        found = self.page.evaluate("axe.run(document, {resultTypes: ['violations']})")
        return [
            f"{violation['impact']} {violation['id']}: {', '.join(str(node['target']) for node in violation['nodes'][:5])}"
            for violation in found["violations"]
        ]

    def grave_findings(self) -> list[str]:
        """What axe-core finds to be serious or critical."""
        return [finding for finding in self.findings() if finding.startswith(("serious", "critical"))]

    def overhang(self) -> int:
        """By how many pixels the page is wider than the window."""
        found: int = self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        return found

    def unseen_stops(self, most: int) -> tuple[int, list[str]]:
        """Press Tab until the focus leaves the page: how many stops there were, and those where nothing shows the focus."""
        stops, unseen = 0, []
        for _ in range(most):
            self.page.keyboard.press("Tab")
            stop = self.page.evaluate(FOCUS)
            if stop is None:
                break
            stops += 1
            if not stop["seen"]:
                unseen.append(stop["what"])
        return stops, unseen

    def close(self) -> None:
        """Close the tab."""
        self.context.close()


def _beyond(route: Route, prefix: str) -> str:
    parts = urlsplit(route.request.url)
    return parts.path.removeprefix(prefix) + (f"?{parts.query}" if parts.query else "")


FOCUS = """() => {
  const at = document.activeElement;
  if (!at || at === document.body) return null;
  const style = getComputedStyle(at), box = at.getBoundingClientRect();
  const outlined = style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
  const within = box.width > 0 && box.height > 0 && box.right > 0 && box.left < innerWidth && box.bottom > 0 && box.top < innerHeight;
  return {seen: outlined && within, what: at.outerHTML.slice(0, 160)};
}"""
