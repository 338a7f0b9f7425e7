"""The license of the service, and the notices of what it hands out that others made: the documentation's bundle, a PDF's fonts, data."""

from __future__ import annotations

from functools import cache
from importlib import resources
from pathlib import Path

import flask_swagger_ui
import matplotlib as mpl

BUNDLE = Path(flask_swagger_ui.__file__).parent / "dist" / "LICENSE"
FONTS = Path(mpl.get_data_path()) / "fonts" / "ttf"
DATA = """\
Data and constants come from publications, each named where it stands (/v1/reference lists them): unit factors from NIST
SP 811, physical constants from CODATA and properties of gases from NASA TM-4513 are works of the United States
government and in the public domain there; coefficients of gases and correlations are facts quoted from the papers and
textbooks named beside them. Rows marked common practice have no owner."""


@cache
def notices() -> str:
    """The texts, one after the other.

    >>> "MIT License" in notices(), "Apache License" in notices(), "Bitstream" in notices()
    (True, True, True)
    """
    own = (resources.files("borewright.web") / "static" / "LICENSE.txt").read_text(encoding="utf-8")
    parts = {
        "Borewright": own,
        "Swagger UI, which shows the API reference at /docs": BUNDLE.read_text(encoding="utf-8"),
        "DejaVu fonts, in the PDFs and drawings": (FONTS / "LICENSE_DEJAVU").read_text(encoding="utf-8"),
        "Data": DATA,
    }
    return "\n\n".join(f"{title}\n{'=' * len(title)}\n\n{text.strip()}" for title, text in parts.items()) + "\n"
