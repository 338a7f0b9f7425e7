"""The command `borewright-client`: ask for one build, for a CSV of them, for a sheet."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from borewright_client._client import Client
from borewright_client._errors import (
    BorewrightError,
    ConnectionFailed,
    MissingExtra,
    TimedOut,
    TooManyRequests,
    Unavailable,
    UnexpectedAnswer,
    Unsendable,
    WrongSetting,
)
from borewright_client._operations import MOST_ROWS, Operations

if TYPE_CHECKING:
    import click

REFUSED, MISUSED, UNREACHED, BROKEN_OFF = 1, 2, 3, 130
LOCAL = "http://127.0.0.1:8080"


def main() -> None:
    """Run the command; it wants click (the extra `cli`)."""
    try:
        command = _command()
    except ModuleNotFoundError as missing:
        print(f"{missing.name} is not here: pip install 'borewright-client[cli]'", file=sys.stderr)
        sys.exit(MISUSED)
    command()


def _command() -> click.Group:
    import click

    from borewright_client._version import __version__

    @click.group(context_settings={"help_option_names": ["-h", "--help"]})
    @click.option("--url", envvar="BOREWRIGHT_CLIENT_URL", default=LOCAL, show_default=True, help="Address of the service.")
    @click.option("--timeout", type=float, default=None, help="Longest wait for an answer, in seconds.")
    @click.version_option(__version__)
    @click.pass_context
    def group(context: click.Context, url: str, timeout: float | None) -> None:
        """Ask a Borewright service.

        The key, where one is needed, comes from BOREWRIGHT_CLIENT_API_KEY, and the address and how long and how often is tried from
        BOREWRIGHT_CLIENT_URL, _TIMEOUT, _DEADLINE and _RETRIES.

        It exits with 1 where the service refuses, 2 for a wrong use, 3 where no service is reached.
        """
        context.obj = _tried(lambda: Client(url, timeout=timeout, deadline=None if timeout is None else timeout * 2))
        context.call_on_close(context.obj.close)

    @group.command(epilog=_listed("Calculations", _calculations()))
    @click.argument("name")
    @click.argument("fields", nargs=-1, metavar="[REQUEST.json] [FIELD=VALUE]...")
    @click.pass_obj
    def ask(client: Client, name: str, fields: tuple[str, ...]) -> None:
        """Ask one calculation.

        NAME is one of those below. Then comes a JSON file with the request (- is standard input), fields of it, or both. A field inside
        another is dotted, and text that is JSON is taken as it. What a calculation wants is in the answer to none of its fields.

        \b
            borewright-client ask displacement bore="94 mm" stroke="88 mm" cylinders=4
            borewright-client ask compression build.json gasket.thickness="1.2 mm"
        """
        body: dict[str, Any] = {}
        for given in fields:
            if "=" in given:
                _place(body, given)
            elif given == "-" or Path(given).is_file():
                body.update(_read(given))
            else:
                raise click.BadParameter(f"{given!r} is no file, and a field is given as FIELD=VALUE")
        _show(_tried(lambda: client.ask(name, body).raw))

    @group.command(epilog=_listed("Calculations that take batches", MOST_ROWS))
    @click.argument("name")
    @click.argument("source", type=click.Path(exists=True, dir_okay=False))
    @click.option("-o", "--output", required=True, type=click.Path(dir_okay=False), help="The CSV to write.")
    @click.option("--common", type=click.Path(exists=True, dir_okay=False), help="A JSON file with the fields that all rows share.")
    @click.option("--units", type=click.Choice(["inch", "metric"]), help="What a bare number means, and the units of the answer.")
    @click.option("--encoding", default="utf-8", show_default=True, help="Of the CSV that is read, like latin-1.")
    @click.option("--decimal", type=click.Choice([".", ","]), default=".", show_default=True, help="What parts its decimals.")
    @click.option("--chunk", type=int, default=20_000, show_default=True, help="Rows of one request.")
    @click.option("--anew", is_flag=True, help="Begin anew instead of going on with what is written.")
    @click.pass_obj
    def batch(client: Client, /, name: str, source: str, output: str, common: str | None, anew: bool, **how: Any) -> None:
        """Calculate every row of a CSV into another.

        SOURCE names a field in each column's head, with the unit of its bare numbers if any: "bore [mm]", "gasket.thickness [in]". A
        row that is refused has its reason in the column `errors`. A run that was broken off goes on where it stood. Cells are parted by
        commas, semicolons or tabs, as the heads show.

        \b
            borewright-client batch compression rows.csv -o results.csv --common common.json
        """
        shared = None if common is None else _read(common)
        shown = sys.stderr.isatty()
        done = _tried(lambda: client.csv(name, source, output, common=shared, progress=shown, resume=not anew, **how), resumed=True)
        click.echo(f"{output}: {done.rows} rows, {done.failed} of them refused")

    @group.command()
    @click.argument("order", type=click.Path(exists=True, dir_okay=False, allow_dash=True))
    @click.option("-o", "--output", required=True, type=click.Path(dir_okay=False), help="The file to write: .pdf, .html or .json.")
    @click.pass_obj
    def sheet(client: Client, order: str, output: str) -> None:
        """Fetch the build sheet of an order.

        ORDER is a JSON file (- is standard input) with `order`, `build` and, if numbers are bare, `units`.

        \b
            borewright-client sheet order.json -o order.pdf
        """
        body = {"order": {}, "build": {}, **_read(order)}
        unknown = body.keys() - {"order", "build", "units", "detail"}
        if unknown:
            raise click.BadParameter(f"{order}: there is no {', '.join(sorted(unknown))} here, but order, build, units and detail")
        click.echo(str(_tried(lambda: client.save_build_sheet(output, **body))))

    return group


def _place(body: dict[str, Any], given: str) -> None:
    import click

    name, _, text = given.partition("=")
    *above, last = name.split(".")
    for step in above:
        body = body.setdefault(step, {})
        if not isinstance(body, dict):
            raise click.BadParameter(f"{step} can't be a value and hold {name}")
    try:
        body[last] = json.loads(text)
    except ValueError:
        body[last] = text


def _read(name: str) -> dict[str, Any]:
    import click

    try:
        text = (sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()).decode("utf-8-sig")
        found = json.loads(text)
    except (OSError, ValueError, RecursionError) as error:
        raise click.BadParameter(f"{name}: {error}") from None
    if not isinstance(found, dict):
        raise click.BadParameter(f"{name} is no JSON object")
    return found


def _listed(title: str, names: Iterable[str]) -> str:
    """Names under the help, none of them broken at its hyphen."""
    lines = textwrap.wrap(f"{title}: {', '.join(names)}.", width=76, break_on_hyphens=False)
    return "\n".join(("\b", *lines))


def _calculations() -> list[str]:
    """The names of all calculations, as in their paths."""
    methods = [name for name in vars(Operations) if not name.startswith("_")]
    return sorted(name.replace("_", "-") for name in methods if not name.endswith("_batch"))


def _tried(ask: Any, *, resumed: bool = False) -> Any:
    import click

    goes_on = "; the same command goes on with what is written" if resumed else ""
    try:
        return ask()
    except KeyboardInterrupt:
        click.echo(f"Broken off{goes_on}", err=True)
        sys.exit(BROKEN_OFF)
    except BorewrightError as error:
        passing = isinstance(error, ConnectionFailed | TimedOut | Unavailable | TooManyRequests)
        click.echo(f"Error: {error}{goes_on if passing else ''}", err=True)
        if isinstance(error, WrongSetting | Unsendable | MissingExtra):
            sys.exit(MISUSED)
        sys.exit(UNREACHED if isinstance(error, ConnectionFailed | TimedOut | UnexpectedAnswer) else REFUSED)
    except OSError as error:
        click.echo(f"Error: {error.filename}: {error.strerror}" if error.filename else f"Error: {error}", err=True)
        sys.exit(MISUSED)


def _show(answer: Any) -> None:
    import click

    text = json.dumps(answer, indent=2, ensure_ascii=False)
    try:
        text.encode(sys.stdout.encoding or "utf-8")
    except UnicodeError:
        text = json.dumps(answer, indent=2)
    click.echo(text)
