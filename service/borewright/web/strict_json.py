"""JSON as RFC 8259 has it and no further, with the place of everything that is not."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import chain, islice
from typing import Any, NamedTuple

import numpy as np
import orjson

from borewright.calculations.base.mistakes import Code
from borewright.calculations.base.problems import FieldError, InvalidRequest, pointer
from borewright.web.settings import Settings

MOST_NAMES = 1000  # of one object, the largest has a hundred: each that is not known becomes an error, many times as dear as reading it
NESTING = 24  # levels of arrays and objects: no request is half as deep
DIGITS = 400  # characters of a number: a double has 17 digits, and more are read as well
STRING_LENGTH = 131_072  # characters of a text or name: notes are shorter
MOST_TOLD = 100  # bad places
NOT_TAKEN = "the body is not JSON this service takes"
_EXACT_DIGITS = 18  # more are read as a float, as any JSON number may be (RFC 8259, section 6)
_LONGEST_USUAL = 60  # characters of a number none of whose three parts has more digits than that
_DIGITS = bytes(ord("0") if ord("0") <= code <= ord("9") else ord(" ") for code in range(256))
_LONG_NUMBER = b"0" * (_EXACT_DIGITS + 1)
_PIECE = 1_048_576  # bytes
_SMALL = 4096  # bytes
_OPENED = frozenset({dict, list})
_BLOCK = 1024  # values that are looked at together
_STRETCH = 65_536  # bytes of a body that are looked at together, in the processor's cache
_STEPS = np.zeros(256, dtype=np.int8)  # how much deeper each byte leads
_STEPS[list(b"[{")], _STEPS[list(b"]}")] = 1, -1


class NotJsonError(ValueError):
    """A body that is not JSON the service takes."""

    def __init__(self, detail: str, errors: list[FieldError] | None = None) -> None:
        super().__init__(detail)
        self.detail, self.errors = detail, errors or [FieldError("#", detail, Code.NOT_JSON)]


@dataclass(frozen=True, slots=True)
class _Refused:
    detail: str
    code: Code = Code.NOT_JSON


@dataclass(frozen=True, slots=True)
class _Wide(_Refused):
    """JSON, and of more names than any object of a request has."""


class StrictDecoder:
    """A reusable decoder that refuses NaN, infinities, duplicate names, deep nesting, endless numbers and endless texts.

    nesting : deepest level of arrays and objects
    digits : longest number
    string_length : longest text or name
    values : most values; each takes many times its length in memory

    >>> StrictDecoder(nesting=8, digits=40, string_length=100).decode(b'{"bore": 3.892}')
    {'bore': 3.892}
    >>> StrictDecoder(nesting=8, digits=40, string_length=100).decode(b'{"bore": NaN}')
    Traceback (most recent call last):
    borewright.web.strict_json.NotJsonError: the body is not JSON this service takes
    """

    def __init__(self, *, nesting: int, digits: int, string_length: int, values: int = 1_000_000) -> None:
        self.nesting, self.digits, self.string_length, self.values = nesting, digits, string_length, values
        self._decoder = json.JSONDecoder(
            object_pairs_hook=_object, parse_constant=_constant, parse_float=self._float, parse_int=self._whole
        )

    def decode(self, raw: bytes) -> Any:
        """Decode UTF-8 JSON.

        Raises NotJsonError with what is wrong and, where it has one, its place; InvalidRequest for texts and names that are too long,
        for objects of too many names and for too many values.
        """
        if not raw.strip():
            raise NotJsonError("the body is empty: send a JSON object")
        opened = _count(raw, b"[") + _count(raw, b"{")
        if _count(raw, b",") + opened >= self.values:  # before any of them is made; a comma in a text counts as well
            raise InvalidRequest([FieldError("#", f"the body has more than {self.values} values: send less at once", Code.WRONG_LENGTH)])
        quick = self._quick(raw, opened)
        if quick is not None:
            return quick
        if opened > self.nesting and _depth(raw, self.nesting) > self.nesting:
            raise NotJsonError(f"the body is nested deeper than {self.nesting} levels")
        try:
            text = raw.decode("utf-8")
            body = self._decoder.decode(text)
        except UnicodeDecodeError as error:
            raise NotJsonError(f"the body is not UTF-8: byte {error.start} can't be read; send it in UTF-8") from None
        except json.JSONDecodeError as error:
            raise NotJsonError(f"the body is not JSON: {error.msg} at line {error.lineno}, column {error.colno}") from None
        except RecursionError:
            raise NotJsonError(f"the body is nested deeper than {self.nesting} levels") from None
        refused = list(islice(_find(body, ()), MOST_TOLD))
        if refused:
            errors = [FieldError(pointer(*steps), found.detail, found.code) for steps, found in refused]
            raise InvalidRequest(errors) if all(isinstance(found, _Wide) for _, found in refused) else NotJsonError(NOT_TAKEN, errors)
        if len(text) > self.string_length:  # else none of its texts can be longer
            most = f"at most {self.string_length} are taken"
            long = [
                FieldError(pointer(*steps), f"{kind} of {size} characters: {most}", Code.WRONG_LENGTH)
                for steps, kind, size in self._long(body, ())
            ]
            if long:
                raise InvalidRequest(long)
        return body

    def _quick(self, raw: bytes, opened: int) -> dict[str, Any] | None:
        """What orjson reads, where it surely reads the same and nothing in it is refused; else None, and the slower way says what it is.

        It differs in whole numbers of many digits and in names given twice, and knows none of the limits.

        opened : how many signs that open an object or a list there are, inside of texts too
        """
        if self.digits < _LONGEST_USUAL or _has_long_number(raw):
            return None
        if len(raw) > self.string_length and _has_long_text(_without_escapes(raw), self.string_length):
            return None
        try:
            body = orjson.loads(raw)
        except orjson.JSONDecodeError:
            return None
        if type(body) is not dict:
            return None
        found = _counted(body, opened)
        if found.levels > self.nesting:
            return None
        # a name given twice is a name less, a colon inside a text a colon more
        if found.names != _count(raw, b":") and found.names != _colons_outside_texts(_without_escapes(raw)):
            return None
        if found.widest > MOST_NAMES:
            raise InvalidRequest(
                [FieldError(pointer(*steps), _wide(size), Code.WRONG_LENGTH) for steps, size in islice(_widest(body, ()), MOST_TOLD)]
            )
        return body

    def _long(self, body: Any, steps: tuple[Any, ...]) -> Iterator[tuple[tuple[Any, ...], str, int]]:
        """The places of texts and names that are too long."""
        if isinstance(body, str):
            if len(body) > self.string_length:
                yield steps, "a text", len(body)
        elif isinstance(body, dict):
            for name, inner in body.items():
                if len(name) > self.string_length:
                    yield steps, "a name", len(name)
                elif isinstance(inner, str | dict | list):
                    yield from self._long(inner, (*steps, name))
        elif isinstance(body, list):
            for index, inner in enumerate(body):
                if isinstance(inner, dict | list) or (isinstance(inner, str) and len(inner) > self.string_length):
                    yield from self._long(inner, (*steps, index))

    def _float(self, text: str) -> Any:
        if len(text) > self.digits:
            return _Refused(f"a number of {len(text)} digits: at most {self.digits} are taken")
        value = float(text)
        return value if math.isfinite(value) else _Refused(f"{text} is too large for a number: give a smaller one")

    def _whole(self, text: str) -> Any:
        return int(text) if len(text) <= _EXACT_DIGITS else self._float(text)


def decoder(settings: Settings) -> StrictDecoder:
    """The decoder of a service with these settings."""
    return StrictDecoder(nesting=NESTING, digits=DIGITS, string_length=STRING_LENGTH, values=settings.values)


def _count(raw: bytes, sign: bytes) -> int:
    """How often a sign stands in a body: in a large one `bytes.count` takes five times as long, where it is full of them fifty times."""
    if len(raw) < _SMALL:
        return raw.count(sign)
    return int(np.count_nonzero(np.frombuffer(raw, dtype=np.uint8) == ord(sign)))


def _has_long_number(raw: bytes) -> bool:
    """Whether more digits follow one another than are surely read alike, in a text too."""
    return any(_LONG_NUMBER in raw[at : at + _STRETCH + len(_LONG_NUMBER) - 1].translate(_DIGITS) for at in range(0, len(raw), _STRETCH))


def _has_long_text(raw: bytes, most: int) -> bool:
    """Whether a text or name of more bytes than that may stand in a body without backslashes; it goes from quote to quote in long steps."""
    at, counted, quotes = raw.find(b'"'), 0, 0
    while at >= 0 and at + most + 1 < len(raw):
        ahead = raw.rfind(b'"', at + 1, at + most + 2)
        if ahead < 0:
            counted, quotes = at + 1, quotes + _count(raw[counted : at + 1], b'"')
            if quotes % 2:  # it begins a text: else what follows are numbers
                return True
            ahead = raw.find(b'"', at + 1)
        at = ahead
    return False


def _wide(size: int) -> str:
    return f"an object of {size} names: at most {MOST_NAMES} are taken"


def _widest(body: Any, steps: tuple[Any, ...]) -> Iterator[tuple[tuple[Any, ...], int]]:
    """The places of objects of too many names."""
    if type(body) is dict and len(body) > MOST_NAMES:
        yield steps, len(body)
    elif type(body) is dict or type(body) is list:
        for name, inner in body.items() if type(body) is dict else enumerate(body):
            yield from _widest(inner, (*steps, name))


class _Counts(NamedTuple):
    """The names of all objects, the most names of one, and how deep objects and lists lie in one another."""

    names: int
    widest: int
    levels: int


def _counted(body: dict[str, Any], opened: int) -> _Counts:
    """Count level by level, for there may be many small objects on one, and no further than to the last of them.

    opened : how many objects and lists there are at most
    """
    objects = lists = names = widest = levels = 0
    level: list[list[Any]] = [[body]]
    while True:
        levels += 1
        inside: list[list[Any]] = []
        dicts: list[list[dict[str, Any]]] = []
        for block in _blocks(level):
            types = set(map(type, block))
            if dict in types:
                some = block if len(types) == 1 else [inner for inner in block if type(inner) is dict]
                sizes = list(map(len, some))
                objects, names, widest = objects + len(some), names + sum(sizes), max([widest, *sizes])
                dicts.append(some)
            if list in types:
                inside += [inner for inner in block if type(inner) is list]
        lists += len(inside)
        if objects + lists >= opened or not (inside or dicts):
            return _Counts(names, widest, levels)
        level = [*inside, [*chain.from_iterable(map(dict.values, chain.from_iterable(dicts)))]]


def _blocks(several: list[list[Any]]) -> Iterator[list[Any]]:
    """Some values after others, few enough at a time that they stay in the processor's cache."""
    for values in several:
        if len(values) <= _BLOCK:
            yield values
        else:
            for at in range(0, len(values), _BLOCK):
                yield values[at : at + _BLOCK]


def _without_escapes(raw: bytes) -> bytes:
    """A body as long, in which every quote begins or ends a text."""
    return raw.replace(b"\\\\", b"__").replace(b'\\"', b"__") if b"\\" in raw else raw


def _colons_outside_texts(raw: bytes) -> int:
    """How many colons stand outside of texts in JSON without escaped quotes."""
    found, within = 0, 0
    for at in range(0, len(raw), _PIECE):
        codes = np.frombuffer(raw, dtype=np.uint8, count=min(_PIECE, len(raw) - at), offset=at)
        quotes = np.flatnonzero(codes == ord('"'))
        before = np.searchsorted(quotes, np.flatnonzero(codes == ord(":"))) + within
        found, within = found + int(np.count_nonzero(before % 2 == 0)), (within + quotes.size) % 2
    return found


@cache
def _constant(text: str) -> _Refused:
    return _Refused(f"{text} is not JSON: leave the field out, or give a number")


def _object(pairs: list[tuple[str, Any]]) -> Any:
    if len(pairs) > MOST_NAMES:
        return _Wide(_wide(len(pairs)), Code.WRONG_LENGTH)
    found = dict(pairs)
    if len(found) != len(pairs):
        seen: set[str] = set()
        for name, _ in pairs:
            if name in seen:
                found[name] = _Refused("this name is given twice in one object: give it once")
            seen.add(name)
    return found


def _find(body: Any, steps: tuple[Any, ...]) -> Iterator[tuple[tuple[Any, ...], _Refused]]:
    if isinstance(body, _Refused):
        yield steps, body
    elif isinstance(body, dict):
        for name, inner in body.items():
            if isinstance(inner, dict | list | _Refused):
                yield from _find(inner, (*steps, name))
    elif isinstance(body, list):
        for index, inner in enumerate(body):
            if isinstance(inner, dict | list | _Refused):
                yield from _find(inner, (*steps, index))


def _depth(raw: bytes, enough: int) -> int:
    """How deep arrays and objects go, piece by piece; no further than to what is more than enough."""
    if b"\\" in raw:  # an escaped quote ends no text
        raw = raw.replace(b"\\\\", b"").replace(b'\\"', b"")
    depth = deepest = 0
    within = False
    for at in range(0, len(raw), _PIECE):
        codes = np.frombuffer(raw, dtype=np.uint8, count=min(_PIECE, len(raw) - at), offset=at)
        quoted = np.logical_xor.accumulate(codes == ord('"')) ^ within
        depths = np.cumsum(np.where(quoted, 0, _STEPS[codes]), dtype=np.int64) + depth
        deepest, depth, within = max(deepest, int(depths.max())), int(depths[-1]), bool(quoted[-1])
        if deepest > enough:
            break
    return deepest
