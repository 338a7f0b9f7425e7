"""The image: what its file promises, and what a linter says of it. `docker/prove` builds and runs it."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest


@pytest.fixture(scope="module")
def stages(docker: Path) -> list[str]:
    """The text of each stage, lines joined."""
    text = (docker / "Dockerfile").read_text(encoding="utf-8").replace("\\\n", " ")
    return re.split(r"^FROM ", text, flags=re.MULTILINE)[1:]


def test_the_linter_has_nothing_to_say(docker: Path) -> None:
    linter = Path(sys.executable).with_name("hadolint")
    done = subprocess.run([linter, "--failure-threshold", "style", docker / "Dockerfile"], capture_output=True, check=False)
    assert (done.returncode, done.stdout) == (0, b"")


def test_nothing_is_installed_that_is_not_pinned_by_its_hash(stages: list[str]) -> None:
    installs = re.findall(r"pip\S*(?: --python \S+)? install\b[^&\n]*", stages[0])
    assert len(installs) == 3
    for install in installs:
        assert ("--require-hashes" in install and "--only-binary :all:" in install) or install.split()[-2:] == [
            "--no-deps",
            "/wheels/*.whl",
        ]
    assert "--no-build-isolation" in stages[0], "a build in isolation would fetch what is not pinned"


def test_the_final_stage_installs_nothing_and_takes_one_folder(stages: list[str]) -> None:
    assert len(stages) == 2
    assert not re.search(r"\b(apt|apt-get|pip install|curl|wget|ADD)\b", stages[1])
    assert re.findall(r"^COPY (.*)$", stages[1], re.MULTILINE) == ["--from=build /opt/borewright /opt/borewright"]
    assert "--without-pip /opt/borewright" in stages[0]
    assert "/opt/borewright/sbom.cdx.json" in stages[0]


def test_the_user_is_a_number_and_not_root(stages: list[str]) -> None:
    users = re.findall(r"^USER (.*)$", stages[1], re.MULTILINE)
    assert users == ["10001:10001"], "Kubernetes can tell that a number is not root"


def test_the_health_check_needs_no_other_program(stages: list[str]) -> None:
    command = ast.literal_eval(re.findall(r"^HEALTHCHECK .*?CMD (\[.*\])$", stages[1], re.MULTILINE)[0])
    entry = ast.literal_eval(re.findall(r"^ENTRYPOINT (\[.*\])$", stages[1], re.MULTILINE)[0])
    assert command == ["borewright", "health", *entry[entry.index("--port") :]], "the same port"


def test_labels(stages: list[str]) -> None:
    labels = set(re.findall(r"org\.opencontainers\.image\.(\w+)=", stages[1]))
    assert {"title", "description", "version", "revision", "licenses"} <= labels


def test_no_registry_and_no_machine_is_named(docker: Path) -> None:
    for file in docker.rglob("*"):
        if file.is_file():
            text = file.read_text(encoding="utf-8")
            assert not re.search(r"https?://(?!127\.0\.0\.1|\S*debian\))", text), file
