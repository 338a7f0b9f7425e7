"""The compose file: against its published schema, and what must hold for each service in it."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from borewright.web.settings import PREFIX, Settings


@pytest.fixture(scope="module")
def composed(docker: Path) -> dict[str, Any]:
    found: dict[str, Any] = yaml.safe_load((docker / "compose.yaml").read_text(encoding="utf-8"))
    return found


def test_the_published_schema_has_nothing_to_say(docker: Path) -> None:
    checker = Path(sys.executable).with_name("check-jsonschema")
    done = subprocess.run([checker, "--builtin-schema", "vendor.compose-spec", docker / "compose.yaml"], capture_output=True, check=False)
    assert done.returncode == 0, done.stdout.decode()


def test_every_service_is_locked_up(composed: dict[str, Any]) -> None:
    assert set(composed["services"]) == {"proxy", "borewright", "counters"}
    for name, service in composed["services"].items():
        assert service["read_only"] is True, name
        assert service["cap_drop"] == ["ALL"], name
        assert "no-new-privileges:true" in service["security_opt"], name
        assert service["mem_limit"], name
        assert service["pids_limit"], name
        assert "privileged" not in service, name
        assert set(service["networks"]) <= set(composed["networks"]), name


def test_only_the_proxy_is_reached_and_only_from_this_machine(composed: dict[str, Any]) -> None:
    ports = {name: service.get("ports", []) for name, service in composed["services"].items()}
    assert ports == {"proxy": ["127.0.0.1:8080:8080"], "borewright": [], "counters": []}
    assert composed["networks"]["replicas"]["internal"] is True
    assert composed["services"]["borewright"]["networks"] == ["replicas"]


def test_the_settings_exist_and_can_be_used(composed: dict[str, Any]) -> None:
    service = composed["services"]["borewright"]
    read = Settings.from_environment(service["environment"])
    assert len(service["environment"]) == len([name for name in service["environment"] if hasattr(read, name.removeprefix(PREFIX).lower())])
    (mounted,) = service["volumes"]
    assert mounted == f"./keys:{Path(read.keys_file or '').parent}:ro", (
        "the folder: a file that is mounted stays the old one when it is replaced"
    )
    assert read.rate_storage.startswith("redis://counters:")
    assert read.trusted_proxies == 1, "the address of the caller is the one that the proxy saw"
    grace = int(service["stop_grace_period"].removesuffix("s"))
    assert grace > read.drain_seconds + read.grace_seconds
    assert service["deploy"]["replicas"] >= 2


def test_keys_stay_out_of_the_repository_and_the_image(docker: Path, composed: dict[str, Any]) -> None:
    assert "secrets" not in composed
    assert subprocess.run(["git", "check-ignore", "-q", docker / "keys" / "keys"], cwd=docker, check=False).returncode == 0
    assert "docker/keys" in (docker.parent / ".gitignore").read_text(encoding="utf-8").splitlines()
    ignored = (docker.parent / ".dockerignore").read_text(encoding="utf-8").splitlines()
    assert ignored[0] == "*"
    assert "!docker" not in ignored
