"""W3C Trace Context: the caller's trace goes on through the service, and the answer says under which span."""

from __future__ import annotations

import re
import secrets
from dataclasses import dataclass

HEADER = "traceparent"
# version 00 has these four fields and no more; a later version may append to them, never change them (section 4.3 of level 1)
_PARENT = re.compile(r"([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})(-[!-~]*)?")
_NO_TRACE, _NO_SPAN = "0" * 32, "0" * 16
_SAMPLED = 1


@dataclass(frozen=True)
class Trace:
    """The span of one request.

    trace_id, span_id : in lower-case hex
    parent_id : the caller's span, where it gave one
    sampled : whether the caller records the trace
    """

    trace_id: str
    span_id: str
    parent_id: str | None
    sampled: bool

    @property
    def header(self) -> str:
        """The span as traceparent writes it."""
        return f"00-{self.trace_id}-{self.span_id}-{_SAMPLED if self.sampled else 0:02x}"


def traced(header: str | None) -> Trace:
    """A new span in the caller's trace; in a new trace where it gave none, or one that is malformed (section 3.2.2).

    >>> found = traced("00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01")
    >>> found.trace_id, found.parent_id, found.sampled
    ('4bf92f3577b34da6a3ce929d0e0e4736', '00f067aa0ba902b7', True)
    """
    span = _random(8)
    parts = _PARENT.fullmatch(header) if header else None
    if parts is None or not _valid(parts):
        return Trace(_random(16), span, None, sampled=False)
    return Trace(parts[2], span, parts[3], sampled=bool(int(parts[4], 16) & _SAMPLED))


def _valid(parts: re.Match[str]) -> bool:
    longer = parts[5] is not None
    return parts[1] != "ff" and parts[2] != _NO_TRACE and parts[3] != _NO_SPAN and not (longer and parts[1] == "00")


def _random(size: int) -> str:
    while not int(found := secrets.token_hex(size), 16):
        continue
    return found
