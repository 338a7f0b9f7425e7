"""Retry-After in both its forms, and in none."""

import time
from email.utils import formatdate

import pytest

from borewright_client._retry_after import retry_after

THEN = "Sun, 06 Nov 1994 08:49:37 GMT"


@pytest.mark.parametrize(("text", "seconds"), [("0", 0.0), ("120", 120.0), (" 7 ", 7.0), ("9" * 5000, float("inf"))])
def test_seconds(text: str, seconds: float) -> None:
    assert retry_after({"Retry-After": text}) == seconds


@pytest.mark.parametrize(
    "text", ["", "soon", "-5", "1.5", "nan", "inf", "٣", "1_0", "Sun, 99 Nov 1994 08:49:37 GMT", "Sun, 06 Nov 99999 08:49:37 GMT"]
)
def test_neither_form_is_as_if_absent(text: str) -> None:
    assert retry_after({"Retry-After": text}) is None


def test_absent() -> None:
    assert retry_after({}) is None


def test_date_counts_from_the_servers_clock() -> None:
    assert retry_after({"Retry-After": "Sun, 06 Nov 1994 08:50:37 GMT", "Date": THEN}) == 60.0


def test_date_counts_from_ours_where_the_server_tells_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(time, "time", lambda: 1_000_000.0)
    assert retry_after({"Retry-After": formatdate(1_000_030, usegmt=True)}) == 30.0
    assert retry_after({"Retry-After": formatdate(1_000_030, usegmt=True), "Date": "never"}) == 30.0


@pytest.mark.parametrize("zone", ["UTC", "America/Chicago", "Asia/Tokyo"])
@pytest.mark.parametrize("date", ["Sunday, 06-Nov-94 08:50:37 GMT", "Sun Nov  6 08:50:37 1994", "Sun, 06 Nov 1994 08:50:37 -0000"])
def test_the_old_forms_of_a_date_are_in_utc(date: str, zone: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """RFC 9110, 5.6.7."""
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    assert retry_after({"Retry-After": date, "Date": THEN}) == 60.0
    monkeypatch.undo()
    time.tzset()


def test_date_in_the_past_is_now() -> None:
    assert retry_after({"Retry-After": THEN}) == 0.0
