"""What the package gives to its users, and what it asks of them."""

import ast
import sys
from pathlib import Path

import borewright_client

PACKAGE = Path(borewright_client.__file__).parent


def test_every_public_name_is_exported_in_order() -> None:
    public = (name for name in vars(borewright_client) if not name.startswith("_") or name == "__version__")
    assert borewright_client.__all__ == sorted(public)


def test_version_is_the_distributions() -> None:
    pyproject = (PACKAGE.parents[1] / "pyproject.toml").read_text()
    assert f'version = "{borewright_client.__version__}"' in pyproject


def test_every_error_can_be_caught_as_one() -> None:
    errors = [member for member in vars(borewright_client).values() if isinstance(member, type) and issubclass(member, Exception)]
    assert len(errors) == 23
    assert all(issubclass(error, borewright_client.BorewrightError) for error in errors)


# what an extra brings is imported where it is used, and nowhere else; NumPy where it asks itself; and what requests stands on
EXTRAS = {"_cli.py": {"click"}, "transport.py": {"httpx"}, "_measured.py": {"numpy"}, "_sessions.py": {"urllib3"}}


def test_depends_on_requests_alone() -> None:
    roots = set()
    for source in PACKAGE.rglob("*.py"):
        extra = EXTRAS.get(source.name, set())
        for node in ast.walk(ast.parse(source.read_text())):
            if isinstance(node, ast.Import):
                roots |= {alias.name.partition(".")[0] for alias in node.names} - extra
            elif isinstance(node, ast.ImportFrom):
                assert node.level == 0
                roots |= {str(node.module).partition(".")[0]} - extra
    assert roots - sys.stdlib_module_names == {"borewright_client", "requests"}


def test_is_typed() -> None:
    assert (PACKAGE / "py.typed").is_file()
