"""A work order from a shop's system becomes a filed PDF: python order_to_pdf.py order.json folder.

The file's name has the order and the digest of what went in: the same order is filed once, and a changed one beside it.
"""

import json
import re
import sys
from pathlib import Path

from borewright_client import Client


def file_order(client: Client, source: Path, folder: Path) -> Path:
    """Fetch the sheet of an order and file it; where it was filed already, nothing is drawn again."""
    order = json.loads(source.read_text(encoding="utf-8"))
    sheet = client.build_sheet(**order)
    name = re.sub(r"[^\w-]", "_", order["order"]["id"])  # "2026/17" is no folder
    target = folder / f"{name}-{sheet.verdict}-{sheet.input_digest[:12]}.pdf"
    if not target.exists():
        folder.mkdir(parents=True, exist_ok=True)
        client.save_build_sheet(target, **order)
    return target


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    with Client() as service:
        print(file_order(service, Path(sys.argv[1]), Path(sys.argv[2])))
