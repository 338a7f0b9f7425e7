"""The programs of the documentation do what they say, against a live service."""

import subprocess
from collections.abc import Iterator

import pytest

from borewright.demo.run import running_service
from borewright.web.client_code.snippets import ADDRESS, Shown, shown
from borewright.web.document.openapi import openapi

EVERY = [(one, title) for one in shown() for title in one.code]
each = pytest.mark.parametrize(("one", "title"), EVERY, ids=[f"{one.place}: {title}" for one, title in EVERY])


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with running_service() as found:
        yield found


def test_every_example_of_the_document_is_a_program() -> None:
    documented = {
        operation["operationId"]: list(operation["requestBody"]["content"]["application/json"]["examples"])
        for methods in openapi(whole=True)["paths"].values()
        for operation in methods.values()
        if "requestBody" in operation
    }
    assert {one.operation: list(one.code) for one in shown()} == documented
    assert list(documented) == [one.operation for one in shown()], "in the order of the document"


@each
def test_python(address: str, one: Shown, title: str, capsys: pytest.CaptureFixture[str]) -> None:
    exec(compile(one.code[title]["Python"].replace(ADDRESS, address), title, "exec"), {})
    printed = capsys.readouterr().out.strip()
    assert printed in {"pass", "watch", "unknown", "fail"} or printed == "2 []"


@each
def test_curl(address: str, one: Shown, title: str) -> None:
    command = one.code[title]["curl"].replace(ADDRESS, address) + " --output /dev/null --write-out '%{http_code} %{content_type}'"
    ran = subprocess.run(["sh", "-c", command], capture_output=True, text=True, timeout=60, check=False)
    assert (ran.stdout, ran.stderr) == ("200 application/json", "")


@each
def test_typescript_names_types_of_the_document(one: Shown, title: str) -> None:
    schemas = openapi()["components"]["schemas"]
    text = one.code[title]["TypeScript"]
    named = [part.split('"]')[0] for part in text.split('["schemas"]["')[1:]]
    assert len(named) == 2
    assert [name for name in named if name not in schemas] == []
