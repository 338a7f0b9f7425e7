"""The command line: serve the service, make keys, list the settings, run the demo, write the generated files."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from borewright import __version__


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; the exit status is 0 when it did what was asked."""
    parser = argparse.ArgumentParser(prog="borewright", description="The arithmetic of engine building as a REST service.")
    parser.add_argument("--version", action="version", version=f"borewright {__version__}")
    commands = parser.add_subparsers(dest="command", required=True)
    serve = commands.add_parser("serve", help="serve under gunicorn")
    serve.add_argument("--host", default="127.0.0.1", help="address to bind (default: %(default)s)")
    serve.add_argument("--port", type=_port, default=8080, help="port to bind (default: %(default)s)")
    serve.add_argument("--workers", type=_count, default=2, help="worker processes (default: %(default)s)")
    serve.add_argument("--open", action="store_true", help="without keys, answer others than this machine too")
    health = commands.add_parser("health", help="ask the service on this machine whether it is ready; the exit status is 0 where it is")
    health.add_argument(
        "--port", type=_port, default=8080, help="port that it binds, unless a private address is set (default: %(default)s)"
    )
    key = commands.add_parser("key", help="make a key: its digest is appended to the keys file, the key itself is printed once")
    key.add_argument("name", help="whom the key is for: 1 to 64 of A-Z a-z 0-9 . _ -")
    key.add_argument(
        "--file", help="the keys file, made where it is not there (default: BOREWRIGHT_KEYS_FILE); - prints the line for it instead"
    )
    commands.add_parser("settings", help="list every setting: its name, default and meaning")
    demo = commands.add_parser("demo", help="run the main job on a work order")
    demo.add_argument("order", nargs="?", type=Path, help="a work order file; left out, the demo's own")
    demo.add_argument("--output", type=Path, default=Path("demo-output"), help="folder for the answers (default: %(default)s)")
    openapi = commands.add_parser("openapi", help="write the OpenAPI document, its examples and the client's methods again")
    openapi.add_argument("--root", type=Path, default=Path(), help="the repository (default: here)")
    chosen = parser.parse_args(arguments)
    match chosen.command:
        case "serve":
            # NumPy's linear algebra takes it up when it is loaded: the processes share the work, and on a machine of many processors a
            # thread for each would take all that one calculation may have
            os.environ.setdefault("OMP_NUM_THREADS", "1")
            from borewright.web.server.server import serve as run
            from borewright.web.setting_values import SettingError

            try:
                run(chosen.host, chosen.port, chosen.workers, open_to_all=chosen.open)
            except SettingError as error:
                parser.error(str(error))
        case "health":
            from borewright.web.server.health_check import check
            from borewright.web.settings import Settings

            try:
                print(check(chosen.port, Settings.from_environment().private_address))
            except OSError as error:
                print(f"not ready: {error}", file=sys.stderr)
                return 1
        case "key":
            from borewright.web.access.keys import add_key, key_line, new_key

            path = chosen.file or os.environ.get("BOREWRIGHT_KEYS_FILE")
            if not path:
                key.error("which file? Name it with --file, or in BOREWRIGHT_KEYS_FILE; --file - prints the line for it")
            try:
                made = new_key() if path == "-" else add_key(path, chosen.name)
                if path == "-":
                    print(f"line for the keys file: {key_line(chosen.name, made)}")
            except (ValueError, OSError) as error:
                key.error(str(error))
            print(f"key, shown this once: {made}")
        case "settings":
            from borewright.web.settings import listing

            for name, default, text in listing():
                print(f"{name} (default: {default})\n    {text}")
        case "demo":
            from borewright.demo import demo as show

            try:
                return show(chosen.order, chosen.output)
            except BrokenPipeError:  # whoever read the output has seen enough (`borewright demo | head`)
                os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
                return 1
        case _:
            from borewright.web.document.published_files import write

            for path in write(chosen.root):
                print(path)
    return 0


def _port(text: str) -> int:
    if not (text.isdigit() and 0 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError("a port is a whole number from 0 to 65535")
    return int(text)


def _count(text: str) -> int:
    if not (text.isdigit() and 1 <= int(text) <= 256):
        raise argparse.ArgumentTypeError("a whole number from 1 to 256")
    return int(text)


if __name__ == "__main__":
    sys.exit(main())
