"""A web shop checks a cart before it is paid: do these pistons, rods and this crankshaft go together?"""

import sys
from collections.abc import Mapping
from typing import Any

from borewright_client import BorewrightError, Client, ImpossibleBuild, InvalidRequest


def cart_messages(client: Client, cart: Mapping[str, Any]) -> list[str] | None:
    """What the buyer is to be told: nothing where it fits. None where it could not be checked, which must not stop a sale."""
    try:
        answer = client.with_options(timeout=2.0, deadline=3.0, retries=1).ask("assembly-fit", cart)
    except (InvalidRequest, ImpossibleBuild) as refused:
        return [f"{field.pointer}: {field.detail}" for field in refused.errors]
    except BorewrightError as trouble:
        print(f"not checked: {trouble}", file=sys.stderr)
        return None
    worst = [check for check in answer.checks if check.verdict == "fail"]
    return [f"{check.name}: {check.value if check.value is not None else 'not known'}. {check.reason}" for check in worst]


CART = {
    "block": {"deck_height": "232 mm", "cylinder_length": "140 mm"},
    "crank": {"stroke": "88 mm", "counterweight_radius": "76 mm"},
    "rod": {"length": "150 mm", "small_end_bore": "22.01 mm", "pin_retention": "floating"},
    "piston": {
        "compression_height": "36 mm",
        "skirt_below_pin": "24 mm",
        "boss_below_pin": "14 mm",
        "pin_diameter": "22 mm",
        "pin_length": "60 mm",
        "pin_bore": "22.008 mm",
        "width_at_boss": "62 mm",
    },
}

if __name__ == "__main__":
    with Client() as service:
        messages = cart_messages(service, CART)
        print("not checked" if messages is None else "\n".join(messages) or "it fits")
