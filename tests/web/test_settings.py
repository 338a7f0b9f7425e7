"""Every setting is documented, read from the environment and refused where it can't be used."""

import re
from dataclasses import fields
from pathlib import Path

import pytest

from borewright.web.settings import PREFIX, SettingError, Settings

NAMES = [setting.name for setting in fields(Settings)]
README = Path(__file__).parents[2] / "README.md"


def test_every_setting_is_documented_in_its_class() -> None:
    documented = re.findall(r"^    ([a-z_]+) : \S.*$", Settings.__doc__ or "", re.MULTILINE)
    assert documented == NAMES


def test_a_readme_that_lists_the_settings_lists_them_all() -> None:
    named = set(re.findall(rf"\b{PREFIX}[A-Z_]+\b", README.read_text(encoding="utf-8")))
    every = {PREFIX + name.upper() for name in NAMES}
    assert named in (set(), every)


def test_defaults() -> None:
    assert Settings.from_environment({}) == Settings()
    assert Settings.from_environment({"BODY_BYTES": "5", "BOREWRIGHT_OTHER": "x"}) == Settings()


@pytest.mark.parametrize("name", NAMES)
def test_each_is_read(name: str) -> None:
    found = Settings.from_environment({PREFIX + name.upper(): "7"})
    assert found == Settings(**{name: 7})


def test_the_process_environment_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BOREWRIGHT_NESTING", "9")
    assert Settings.from_environment().nesting == 9


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("value", ["", "0", "000", "-1", "+1", "1.5", "1e3", "1_000", " 1", "1 ", "٣", "²", "many", "9" * 13, "9" * 5000])
def test_values_that_can_not_be_used(name: str, value: str) -> None:
    with pytest.raises(SettingError) as caught:
        Settings.from_environment({PREFIX + name.upper(): value})
    assert PREFIX + name.upper() in str(caught.value)
    assert "whole number above zero" in str(caught.value)
    assert len(str(caught.value)) < 200
