"""The code by which a sheet that was scanned finds its order."""

from __future__ import annotations

import io

import segno

MARGIN = 4  # modules of quiet around the code (ISO/IEC 18004, 9.1)


def scanned_text(order_id: str, digest: str) -> str:
    """What a scanner reads: the order's number and the beginning of the input's digest.

    >>> scanned_text("A-1", "762766cf2a766b39")
    'order A-1 input 762766cf2a766b39'
    """
    return f"order {order_id} input {digest}"


def scan_code(order_id: str, digest: str) -> str:
    """A QR code (ISO/IEC 18004) of the order's number and the digest, as SVG of one color.

    >>> scan_code("A-1", "762766cf2a766b39").startswith("<svg")
    True
    """
    code = segno.make_qr(scanned_text(order_id, digest), error="m", boost_error=False)
    drawn = io.BytesIO()
    code.save(drawn, kind="svg", border=MARGIN, omitsize=True, xmldecl=False, nl=False, svgclass=None, lineclass=None)
    return drawn.getvalue().decode("ascii")
