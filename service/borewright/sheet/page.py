"""The sheet as one self-contained HTML page: no script, no request to anywhere, under a policy that allows its own style alone."""

from __future__ import annotations

import base64
import hashlib
from importlib import resources

from jinja2 import Environment, PackageLoader, StrictUndefined

from borewright.sheet.content import Content
from borewright.sheet.tables import at_the_point, is_decimal

CSS = (resources.files("borewright.sheet") / "templates" / "sheet.css").read_text(encoding="utf-8")
_STYLE = base64.b64encode(hashlib.sha256(CSS.encode("utf-8")).digest()).decode("ascii")
OWN_POLICY = f"default-src 'none'; style-src 'sha256-{_STYLE}'; base-uri 'none'; form-action 'none'"
POLICY = f"{OWN_POLICY}; frame-ancestors 'none'"  # a page that was saved can't say who frames it


_templates = Environment(
    loader=PackageLoader("borewright.sheet"), autoescape=True, undefined=StrictUndefined, trim_blocks=True, auto_reload=False
)
_templates.filters["split_at_point"] = at_the_point
_templates.tests["decimal"] = is_decimal


def page(content: Content) -> str:
    """The page of a sheet."""
    return _templates.get_template("sheet.html.jinja").render(sheet=content, css=CSS, policy=OWN_POLICY)
