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
