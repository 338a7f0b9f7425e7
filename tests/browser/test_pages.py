"""The pages around the reference in a real browser."""

from typing import Any

import pytest

PAGES = ("/", "/glossary", "/problems", "/problems/impossible-build")


@pytest.mark.parametrize("path", PAGES)
def test_reads_well(tab: Any, path: str) -> None:
    page = tab.open(path)
    assert page.locator("h1").count() == 1
    assert tab.findings() == []
    stops, unseen = tab.unseen_stops(80)
    assert unseen == []
    assert stops >= page.locator("a").count()


def test_every_link_holds_behind_a_proxy_that_serves_all_under_a_path(tab: Any) -> None:
    tab.behind("/shop")
    for path in PAGES:
        page = tab.open(path)
        for address in page.evaluate("[...document.links].map(link => link.href)"):
            assert address.startswith(f"{tab.address}/")
            assert (
                page.evaluate("async address => { const got = await fetch(address); await got.blob(); return got.status; }", address) == 200
            )


def test_skip_link_leads_past_the_head(tab: Any) -> None:
    page = tab.open("/problems")
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('main') !== null")


def test_a_script_that_was_slipped_in_does_not_run(tab: Any) -> None:
    """The watch would see what the policy lets through: it does complain."""
    page = tab.open("/")
    page.evaluate("() => { const s = document.createElement('script'); s.textContent = 'window.ran = true'; document.body.append(s); }")
    page.evaluate("() => { const i = new Image(); i.src = 'http://example.invalid/x.png'; document.body.append(i); }")
    page.wait_for_function("document.querySelector('img').complete")
    assert page.evaluate("window.ran") is None
    assert sum("Content Security Policy" in complaint for complaint in tab.complaints) == 2
    tab.complaints.clear()
    tab.requests[:] = [address for address in tab.requests if not address.startswith("http://example.invalid/")]
