"""Every setting is documented, read from the environment and refused where it can't be used."""

import re
from dataclasses import MISSING, fields
from pathlib import Path
from typing import Any

import pytest

from borewright.web.setting_values import SettingError
from borewright.web.settings import GROUPS, PREFIX, Settings, listing

NAMES = [found.name for found in fields(Settings)]
WHOLE = [found.name for found in fields(Settings) if type(found.default) is int]
PAGE = Path(__file__).parents[2] / "docker" / "README.md"
COLLECTOR, STORE = "http://127.0.0.1:4318/v1/traces", "redis://10.0.0.7:6379/1"
# of each that is no whole number: what can be used, as what it is read, and what can't
OTHERS: dict[str, tuple[str, Any, list[str]]] = {
    "keys_file": ("/run/keys", "/run/keys", ["", "  "]),
    "rate_storage": (
        "redis://10.0.0.7:6379/1",
        "redis://10.0.0.7:6379/1",
        ["", "redis", "redis://", "memcached://a", "redis://a:b", "memory:"],
    ),
    "cors_origins": (
        "https://a.example,http://localhost:3000",
        ("https://a.example", "http://localhost:3000"),
        [
            "",
            "*",
            "a.example",
            "https://a.example/",
            "https://a.example/x",
            "ftp://a",
            "https://a.example,",
            "https://u@a",
            "https://a:port",
            "https://*.a.example",
            "https://a|b",
            "https://(a)",
        ],
    ),
    "private_address": ("[::1]:9090", ("::1", 9090), ["", "9090", "127.0.0.1", "127.0.0.1:0", "127.0.0.1:65536", ":80", "a b:80", "a:²"]),
    "log_level": ("warning", "warning", ["", "WARNING", "all"]),
    "otlp_endpoint": (
        "http://127.0.0.1:4318/v1/traces",
        "http://127.0.0.1:4318/v1/traces",
        ["", "127.0.0.1:4318", "grpc://a", "http://", "http://a b"],
    ),
}


def test_all_are_tested_here() -> None:
    assert sorted([*WHOLE, *OTHERS]) == sorted(NAMES)


def test_every_setting_is_listed_with_its_meaning() -> None:
    listed = listing()
    assert [name for name, _, _ in listed] == [PREFIX + name.upper() for name in NAMES]
    assert all(default and len(text) > 10 for _, default, text in listed)
    assert listing(Settings(batch_rows=3))[NAMES.index("batch_rows")][1] == "3"
    assert [row for group in GROUPS for row in listing(group=group)] == listed


def test_the_operators_page_lists_every_setting_as_it_is() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert [text.index(f"### {title}") for title in GROUPS.values()] == sorted(text.index(f"### {title}") for title in GROUPS.values())
    rows = re.findall(rf"^\| `({PREFIX}[A-Z_]+)` \| (\S+) \| (.+) \|$", text, re.MULTILINE)
    assert [(name, default.strip("`"), text) for name, default, text in rows] == listing()


def test_defaults() -> None:
    assert Settings.from_environment({}) == Settings()
    assert Settings.from_environment({"BODY_BYTES": "5", "BOREWRIGHTS": "x"}) == Settings()
    assert all(found.default is not MISSING for found in fields(Settings))


@pytest.mark.parametrize("name", WHOLE)
def test_each_whole_number_is_read(name: str) -> None:
    value = 9
    found = Settings.from_environment({PREFIX + name.upper(): str(value)})
    assert found == Settings(**{name: value})
    assert found != Settings()


@pytest.mark.parametrize("name", OTHERS)
def test_each_other_is_read(name: str) -> None:
    text, value, _ = OTHERS[name]
    assert Settings.from_environment({PREFIX + name.upper(): text}) == Settings(**{name: value})


def test_the_process_environment_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOREWRIGHT_BATCH_ROWS", "9")
    assert Settings.from_environment().batch_rows == 9


@pytest.mark.parametrize("name", WHOLE)
@pytest.mark.parametrize("value", ["", "-1", "+1", "1.5", "1e3", "1_000", " 1", "1 ", "٣", "²", "many", "9" * 13, "9" * 5000])
def test_whole_numbers_that_can_not_be_used(name: str, value: str) -> None:
    _refused(name, value, "whole number from")


@pytest.mark.parametrize("name", [name for name in WHOLE if name not in ("rate_requests", "rate_rows", "trusted_proxies", "drain_seconds")])
@pytest.mark.parametrize("value", ["0", "000"])
def test_nothing_is_no_limit(name: str, value: str) -> None:
    _refused(name, value, "whole number from")


@pytest.mark.parametrize(("name", "value"), [(name, value) for name, (_, _, wrong) in OTHERS.items() for value in wrong])
def test_others_that_can_not_be_used(name: str, value: str) -> None:
    _refused(name, value, "must be")


def _refused(name: str, value: str, reason: str) -> None:
    with pytest.raises(SettingError, match=reason) as caught:
        Settings.from_environment({PREFIX + name.upper(): value})
    assert str(caught.value).startswith(PREFIX + name.upper())
    assert len(str(caught.value)) < 220


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("BOREWRIGHT_BATCH_ROW", "did you mean BOREWRIGHT_BATCH_ROWS"),
        ("BOREWRIGHT_KEY_FILE", "did you mean BOREWRIGHT_KEYS_FILE"),
        ("BOREWRIGHT_keys_file", "is no setting"),
        ("BOREWRIGHT_", "is no setting"),
        ("BOREWRIGHT_" + "Z" * 60, "`borewright settings` lists them"),
    ],
)
def test_a_name_that_is_no_setting_stops_the_start(name: str, said: str) -> None:
    """A misspelled limit would else not be there, and nobody would know."""
    with pytest.raises(SettingError, match=said) as refused:
        Settings.from_environment({name: "secret"})
    assert str(refused.value).startswith(name)
    assert "secret" not in str(refused.value)


def test_settings_of_the_client_on_the_same_machine_are_passed_over() -> None:
    theirs = {"BOREWRIGHT_CLIENT_URL": "http://127.0.0.1:8080", "BOREWRIGHT_CLIENT_API_KEY": "secret"}
    assert Settings.from_environment({**theirs, "BOREWRIGHT_BATCH_ROWS": "7"}) == Settings(batch_rows=7)


def test_a_password_in_an_address_is_not_told() -> None:
    with pytest.raises(SettingError, match="BOREWRIGHT_RATE_STORAGE must be") as refused:
        Settings.from_environment({"BOREWRIGHT_RATE_STORAGE": "redis://:hunter2@10.0.0.7:port/0"})
    assert "hunter2" not in str(refused.value)
