"""The license of the service, and the notices of what it hands out that others made: the documentation's bundle, a PDF's fonts, data."""

from __future__ import annotations

from functools import cache
from importlib import resources
from importlib.util import find_spec
from pathlib import Path

DATA = """\
Data and constants come from publications, each named where it stands (/v1/reference lists them): unit factors from NIST
SP 811, physical constants from CODATA and properties of gases from NASA TM-4513 are works of the United States
government and in the public domain there; coefficients of gases and correlations are facts quoted from the papers and
textbooks named beside them. Rows marked common practice have no owner."""


def _folder(package: str) -> Path:
    """Where a package lies, which is not loaded for it: what draws takes half a second and 20 MB."""
    found = find_spec(package)
    if found is None or found.origin is None:
        raise ModuleNotFoundError(f"{package} is not installed")
    return Path(found.origin).parent


@cache
def notices() -> str:
    """The texts, one after the other.

    >>> "MIT License" in notices(), "Apache License" in notices(), "Bitstream" in notices()
    (True, True, True)
    """
    own = (resources.files("borewright.web") / "static" / "LICENSE.txt").read_text(encoding="utf-8")
    bundle, fonts = _folder("flask_swagger_ui") / "dist", _folder("matplotlib") / "mpl-data" / "fonts" / "ttf"
    parts = {
        "Borewright": own,
        "Swagger UI, which shows the API reference at /docs": (bundle / "LICENSE").read_text(encoding="utf-8"),
        "DejaVu fonts, in the PDFs and drawings": (fonts / "LICENSE_DEJAVU").read_text(encoding="utf-8"),
        "Data": DATA,
    }
    return "\n\n".join(f"{title}\n{'=' * len(title)}\n\n{text.strip()}" for title, text in parts.items()) + "\n"
