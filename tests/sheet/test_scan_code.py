"""The code on page one says which order and which input the sheet belongs to, and stands on paper and page."""

import re

import segno

from borewright.sheet.content import Content
from borewright.sheet.page import page
from borewright.sheet.scan_code import scan_code, scanned_text


def test_it_is_the_code_of_order_and_digest(demo_content: Content) -> None:
    """ISO/IEC 18004, drawn as the library draws the same text; the library's own tests hold it against the standard."""
    text = scanned_text(demo_content.order_id, demo_content.short_digest)
    assert demo_content.order_id in text
    assert demo_content.digest.startswith(text.rsplit(" ", 1)[1])
    size = segno.make_qr(text, error="m", boost_error=False).symbol_size(border=4)
    assert f'viewBox="0 0 {size[0]} {size[1]}"' in demo_content.scan_code
    assert demo_content.scan_code in page(demo_content)


def test_another_input_is_another_code() -> None:
    assert scan_code("A-1", "0" * 16) != scan_code("A-1", "1" * 16) != scan_code("A-2", "1" * 16)


def test_any_order_number_fits() -> None:
    for number in ("W" * 64, "\U0001f3ce" * 64, "</svg><script>"):
        assert re.fullmatch(r"<svg [^<>]*>(<path [^<>]*>)+(</path>)?</svg>", scan_code(number, "0" * 16))
