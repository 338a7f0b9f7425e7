"""Every setting of the service, read from the environment."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields

PREFIX = "BOREWRIGHT_"
_MOST_DIGITS = 12


class SettingError(ValueError):
    """A setting that can't be used; the message names it and says what it takes."""


@dataclass(frozen=True)
class Settings:
    """The limits of one service; each is set by BOREWRIGHT_<NAME> in the environment.

    body_bytes : largest body of one calculation
    batch_body_bytes : largest body of a batch
    nesting : deepest JSON
    digits : longest number in JSON
    batch_rows : most rows in one batch
    """

    body_bytes: int = 2_000_000
    batch_body_bytes: int = 32_000_000
    nesting: int = 24
    digits: int = 400
    batch_rows: int = 200_000

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> Settings:
        """Read the settings from the environment; what is not set keeps its default.

        Raises SettingError for a value that is not a whole number above zero.

        >>> Settings.from_environment({"BOREWRIGHT_BATCH_ROWS": "1000"}).batch_rows
        1000
        """
        given = os.environ if environment is None else environment
        chosen: dict[str, int] = {}
        for setting in fields(cls):
            name = PREFIX + setting.name.upper()
            if name in given:
                text = given[name]
                if not (text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS and int(text) > 0):
                    raise SettingError(f"{name} must be a whole number above zero, of at most {_MOST_DIGITS} digits, not {text[:40]!r}")
                chosen[setting.name] = int(text)
        return cls(**chosen)
