"""Bodies in other encodings of text, and compressed ones, over a real socket."""

import codecs
import gzip
import json
import zlib
from collections.abc import Callable
from typing import Any

import pytest

Rule = Callable[..., Any]
PATH = "/v1/displacement"
GIVEN = {"bore": "4 in ± 0.001 in", "stroke": "3 in", "cylinders": 8}
TEXT = json.dumps(GIVEN, ensure_ascii=False)
BODY = TEXT.encode()
JSON = b"Content-Type: application/json\r\n"

TEXTS = {
    "UTF-16 with its mark": TEXT.encode("utf-16"),
    "UTF-16, little end first": TEXT.encode("utf-16-le"),
    "UTF-16, big end first": TEXT.encode("utf-16-be"),
    "UTF-32": TEXT.encode("utf-32"),
    "Latin-1": TEXT.encode("latin-1"),
    "a mark before UTF-8": codecs.BOM_UTF8 + BODY,
    "a mark of UTF-16 before UTF-8": codecs.BOM_UTF16_LE + BODY,
    "EBCDIC": json.dumps(GIVEN).encode("cp500"),
    "overlong forms": BODY.replace(b"/", b"\xc0\xaf").replace(b"4", b"\xc0\xb4"),
    "surrogates as UTF-8": BODY.replace(b"4", b"\xed\xa0\xb4"),
    "beyond Unicode": BODY.replace(b"4", b"\xf4\x90\x80\x80"),
    "nulls between": b"\0".join(BODY[at : at + 1] for at in range(len(BODY))),
}


@pytest.mark.parametrize("body", TEXTS.values(), ids=TEXTS)
def test_other_encodings_of_text(caller: Any, lawful: Rule, body: bytes) -> None:
    found = lawful(caller.ask("POST", PATH, body))
    assert found["type"] == "/problems/not-json"


@pytest.mark.parametrize("charset", ["utf-16", "latin-1", "utf-7", "idna", "zip", "hex", "unknown", "'"])
def test_other_encodings_by_their_name(caller: Any, lawful: Rule, charset: str) -> None:
    answer = caller.ask("POST", PATH, BODY, f"Content-Type: application/json; charset={charset}\r\n".encode())
    assert lawful(answer)["type"] == "/problems/unsupported-media-type"


CODINGS = ["br", "zstd", "compress", "deflate", "chunked", "aes128gcm", "gzip, gzip", "gzip, br", "x" * 3000, "\xff", "%00"]


@pytest.mark.parametrize("coding", CODINGS)
@pytest.mark.parametrize("body", [BODY, gzip.compress(BODY), zlib.compress(BODY), b""], ids=["plain", "gzip", "deflate", "empty"])
def test_codings_that_are_not_taken(caller: Any, lawful: Rule, coding: str, body: bytes) -> None:
    answer = caller.ask("POST", PATH, body, JSON + b"Content-Encoding: " + coding.encode("latin-1") + b"\r\n")
    assert lawful(answer)["type"] == "/problems/unsupported-media-type"
    assert "accept-encoding" in answer.headers


def test_a_compressed_body_that_does_not_say_so(caller: Any, lawful: Rule) -> None:
    assert lawful(caller.ask("POST", PATH, gzip.compress(BODY)))["type"] == "/problems/not-json"


MIB = 1024 * 1024
GZIP = JSON + b"Content-Encoding: gzip\r\n"
PACKED = gzip.compress(BODY)
BROKEN = {
    "no gzip at all": BODY,
    "nothing": b"",
    "half": PACKED[: len(PACKED) // 2],
    "no checksum": PACKED[:-8],
    "a wrong checksum": PACKED[:-8] + bytes(4) + PACKED[-4:],
    "a wrong length": PACKED[:-4] + b"\xff\xff\xff\x7f",
    "garbage after it": PACKED + b"garbage",
    "a broken block": PACKED[:12] + b"\xff\xff\xff\xff" + PACKED[16:],
    "the other format": zlib.compress(BODY),
    "packed twice": gzip.compress(PACKED),
}


def test_a_packed_body_is_read(caller: Any, lawful: Rule) -> None:
    answer = caller.ask("POST", PATH, PACKED, GZIP)
    assert lawful(answer) == lawful(caller.ask("POST", PATH, BODY))


@pytest.mark.parametrize("body", BROKEN.values(), ids=BROKEN)
def test_broken_packing(caller: Any, lawful: Rule, body: bytes) -> None:
    answer = caller.ask("POST", PATH, body, GZIP)
    assert answer.status == 400, answer
    lawful(answer)


def test_bombs(live: Any, caller: Any, lawful: Rule) -> None:
    """Much in little: one thousandth of what comes out of it, and once more of that."""
    bomb = gzip.compress(b" " * 200_000_000, 9)
    bombs = [bomb, gzip.compress(bomb), gzip.compress(b"[" * 30_000_000, 9), gzip.compress(b'{"bore": "' + b"9" * 100_000_000 + b'"}', 9)]
    before, held = live.resident(), []
    for _ in range(3):
        for path in (PATH, PATH + "/batch", "/v1/build-sheet"):
            for body in bombs:
                answer = caller.ask("POST", path, body, GZIP)
                assert answer.status in (400, 413, 422), answer  # too large, or too many values, or no JSON: whichever shows first
                lawful(answer)
        held.append(live.resident())
    assert held[0] - before < 64 * MIB, f"more than the last body of a batch or two, unpacked: {held}"
    assert max(held) - held[0] < 20 * MIB, f"what is refused must not add up: {held}"
