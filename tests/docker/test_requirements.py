"""What goes into the image is pinned: every release by the hashes of its files, all that the service needs, and no index address."""

import re
import tomllib
from pathlib import Path

import pytest
from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

PINNED = re.compile(r"^([a-z0-9-]+)==(\S+)(?: ; ([^\\]*\S))? \\\n((?:    --hash=sha256:[0-9a-f]{64}(?: \\)?\n)+)", re.MULTILINE)
FILES = ("requirements.txt", "build-requirements.txt")


def pinned(file: Path) -> dict[str, Version]:
    return {name: Version(version) for name, version, _, _ in PINNED.findall(file.read_text(encoding="utf-8"))}


@pytest.mark.parametrize("name", FILES)
def test_every_line_is_a_release_a_hash_or_a_remark(docker: Path, name: str) -> None:
    text = (docker / name).read_text(encoding="utf-8")
    left = [line for line in PINNED.sub("", text).splitlines() if line and not line.lstrip().startswith("#")]
    assert left == [], "no option and no address of an index"
    assert len(pinned(docker / name)) == len(re.findall(r"^\S+==", text, re.MULTILINE)) > 20


def test_all_that_the_service_needs_is_pinned_as_it_wants_it(docker: Path) -> None:
    project = tomllib.loads((docker.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    found = pinned(docker / "requirements.txt")
    for text in (*project["dependencies"], *project["optional-dependencies"]["otel"]):
        wanted = Requirement(text)
        name = canonicalize_name(wanted.name)
        assert name in found, f"{name}: run .ci/pin"
        assert found[name] in wanted.specifier, f"{name}: run .ci/pin"


def test_the_builders_requirements_are_pinned(docker: Path) -> None:
    found = pinned(docker / "build-requirements.txt")
    lines = (docker / "build-requirements.in").read_text(encoding="utf-8").splitlines()
    wanted = {canonicalize_name(line) for line in lines if line and not line.startswith("#")}
    assert wanted <= found.keys()
    assert {"hatchling", "cyclonedx-bom"} <= wanted


def test_the_pins_hold_for_the_images_python(docker: Path) -> None:
    python = re.findall(r"^ARG BASE=python:(\d+\.\d+)-", (docker / "Dockerfile").read_text(encoding="utf-8"), re.MULTILINE)[0]
    assert f"\npython={python}\n" in (docker.parent / ".ci" / "pin").read_text(encoding="utf-8")
    image = {**default_environment(), "python_version": python, "python_full_version": f"{python}.0", "sys_platform": "linux"}
    for name, _, marker, _ in PINNED.findall((docker / "requirements.txt").read_text(encoding="utf-8")):
        if marker:
            assert isinstance(Requirement(f"{name} ; {marker}").marker.evaluate(image), bool)
