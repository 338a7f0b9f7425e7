"""Asking a service on this machine whether it is ready, for who watches its container: with the standard library alone, to be quick."""

from __future__ import annotations

import ipaddress
from urllib.request import ProxyHandler, build_opener

SECONDS = 2.0


def place(port: int, private_address: tuple[str, int] | None) -> str:
    """Where health is answered: host and port as an address has them.

    private_address : the one that alone answers it, where there is one

    >>> place(8080, None), place(8080, ("0.0.0.0", 9090)), place(8080, ("::", 9090)), place(8080, ("10.0.0.7", 9090))
    ('127.0.0.1:8080', '127.0.0.1:9090', '[::1]:9090', '10.0.0.7:9090')
    """
    host, number = private_address or ("127.0.0.1", port)
    try:
        address = ipaddress.ip_address(host)
    except ValueError:  # a name
        return f"{host}:{number}"
    if address.is_unspecified:  # every address of the machine: this one among them
        host = "127.0.0.1" if address.version == 4 else "::1"
    return f"{host}:{number}" if address.version == 4 else f"[{host}]:{number}"


def check(port: int, private_address: tuple[str, int] | None) -> str:
    """What the service answers when it is ready.

    Raises OSError where it is not ready or does not answer.
    """
    asking = build_opener(ProxyHandler({}))  # not by way of a proxy that the environment names
    with asking.open(f"http://{place(port, private_address)}/health/ready", timeout=SECONDS) as answer:
        text: str = answer.read().decode()
    return text
