"""The manifests: against the schemas of Kubernetes, as kustomize would put them together, and locked up as far as they can be."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import kubernetes_validate
import pytest
import yaml

from borewright.web.app import create_app
from borewright.web.settings import PREFIX, Settings

VERSION = "1.37"
FOLDER = Path(__file__).parents[2] / "docker" / "kubernetes"


def documents(file: Path) -> list[dict[str, Any]]:
    return [found for found in yaml.safe_load_all(file.read_text(encoding="utf-8")) if found]


def kustomization(folder: Path) -> dict[str, Any]:
    (found,) = documents(folder / "kustomization.yaml")
    return found


def resources(folder: Path) -> Iterator[dict[str, Any]]:
    for name in kustomization(folder)["resources"]:
        path = folder / name
        yield from resources(path) if path.is_dir() else documents(path)


EVERY = list(resources(FOLDER / "shared-limits"))
BY_NAME = {(found["kind"], found["metadata"]["name"]): found for found in EVERY}
DEPLOYMENT = BY_NAME["Deployment", "borewright"]
POD = DEPLOYMENT["spec"]["template"]
(CONTAINER,) = POD["spec"]["containers"]
(PATCH,) = documents(FOLDER / "shared-limits" / "deployment-patch.yaml")


def environment(*deployments: dict[str, Any]) -> dict[str, str]:
    return {
        pair["name"]: pair["value"] for found in deployments for pair in found["spec"]["template"]["spec"]["containers"][0].get("env", [])
    }


@pytest.mark.parametrize("found", EVERY, ids=lambda found: f"{found['kind']} {found['metadata']['name']}")
def test_the_schema_of_kubernetes_has_nothing_to_say(found: dict[str, Any]) -> None:
    kubernetes_validate.validate(found, VERSION, strict=True)


def test_the_validator_would_say_so() -> None:
    wrong = {**DEPLOYMENT, "spec": {**DEPLOYMENT["spec"], "replica": 2}}
    with pytest.raises(kubernetes_validate.ValidationError):
        kubernetes_validate.validate(wrong, VERSION, strict=True)


@pytest.mark.parametrize("folder", ["base", "shared-limits"])
def test_every_file_is_part_of_its_kustomization(folder: str) -> None:
    found = kustomization(FOLDER / folder)
    assert (found["apiVersion"], found["kind"]) == ("kustomize.config.k8s.io/v1beta1", "Kustomization")
    named = {name for name in found["resources"] if name.endswith(".yaml")} | {patch["path"] for patch in found.get("patches", [])}
    assert named == {file.name for file in (FOLDER / folder).glob("*.yaml")} - {"kustomization.yaml"}


def test_no_name_is_given_twice_and_none_says_its_namespace() -> None:
    assert len(BY_NAME) == len(EVERY)
    assert not any("namespace" in found["metadata"] for found in EVERY)


@pytest.mark.parametrize(
    "deployment", [found for found in EVERY if found["kind"] == "Deployment"], ids=lambda found: found["metadata"]["name"]
)
def test_pods_meet_the_restricted_standard(deployment: dict[str, Any]) -> None:
    """Pod Security Standards, level restricted, and a file system that is read-only."""
    spec = deployment["spec"]["template"]["spec"]
    assert spec["automountServiceAccountToken"] is False
    assert spec["securityContext"]["runAsNonRoot"] is True
    assert spec["securityContext"]["runAsUser"] > 0
    assert spec["securityContext"]["seccompProfile"] == {"type": "RuntimeDefault"}
    assert not {"hostNetwork", "hostPID", "hostIPC"} & set(spec)
    assert {kind for volume in spec["volumes"] for kind in volume if kind != "name"} <= {"emptyDir", "secret"}
    for container in spec["containers"]:
        assert container["securityContext"] == {
            "allowPrivilegeEscalation": False,
            "readOnlyRootFilesystem": True,
            "capabilities": {"drop": ["ALL"]},
        }
        assert container["resources"]["limits"]["memory"]
        assert container["resources"]["requests"].keys() >= {"cpu", "memory"}
        assert {"startupProbe", "livenessProbe", "readinessProbe"} <= container.keys()


def test_the_user_is_the_images() -> None:
    user = POD["spec"]["securityContext"]
    assert f"USER {user['runAsUser']}:{user['runAsGroup']}\n" in (FOLDER.parent / "Dockerfile").read_text(encoding="utf-8")


def test_selectors_find_the_pods() -> None:
    labels = {name: BY_NAME["Deployment", name]["spec"]["template"]["metadata"]["labels"] for name in ("borewright", "borewright-counters")}
    for found in EVERY:
        spec, name = found.get("spec", {}), found["metadata"]["name"]
        target = "borewright-counters" if name == "borewright-counters" else "borewright"
        selectors = [spec.get("selector"), spec.get("podSelector")]
        for selector in filter(None, selectors):
            assert (selector.get("matchLabels") or selector).items() <= labels[target].items(), name
    for constraint in POD["spec"]["topologySpreadConstraints"]:
        assert constraint["labelSelector"]["matchLabels"].items() <= labels["borewright"].items()


def test_ports_have_the_names_that_are_asked_for() -> None:
    ports = {port["name"]: port["containerPort"] for port in CONTAINER["ports"]}
    private = Settings.from_environment(environment(DEPLOYMENT)).private_address
    assert private is not None
    assert ports == {"http": 8080, "private": private[1]}
    asked = {CONTAINER[probe]["httpGet"]["port"] for probe in ("startupProbe", "livenessProbe", "readinessProbe")}
    assert asked == {"private"}
    for name in ("borewright", "borewright-private"):
        assert {port["targetPort"] for port in BY_NAME["Service", name]["spec"]["ports"]} <= ports.keys()


def test_probes_ask_pages_that_answer() -> None:
    settings = Settings.from_environment({name: value for name, value in environment(DEPLOYMENT).items() if "KEYS" not in name})
    client = create_app(settings).test_client()
    for probe in ("startupProbe", "livenessProbe", "readinessProbe"):
        path = CONTAINER[probe]["httpGet"]["path"]
        assert client.get(path, environ_overrides={"SERVER_PORT": str(settings.private_address[1])}).status_code == 200
        assert client.get(path, environ_overrides={"SERVER_PORT": "8080"}).status_code == 404
    assert CONTAINER["livenessProbe"]["httpGet"]["path"] == "/health/live", "a draining pod must not be killed"


def test_settings_exist_and_can_be_used() -> None:
    given = environment(DEPLOYMENT, PATCH)
    read = Settings.from_environment(given)
    assert all(hasattr(read, name.removeprefix(PREFIX).lower()) for name in given)
    mounts = {mount["name"]: mount["mountPath"] for mount in CONTAINER["volumeMounts"]}
    assert read.keys_file == f"{mounts['keys']}/keys"
    counters = BY_NAME["Service", "borewright-counters"]
    assert read.rate_storage == f"redis://{counters['metadata']['name']}:{counters['spec']['ports'][0]['port']}/0"
    assert mounts["tmp"] == "/tmp"


def test_there_is_time_to_drain() -> None:
    read = Settings.from_environment(environment(DEPLOYMENT))
    before = float(CONTAINER["lifecycle"]["preStop"]["exec"]["command"][-1].partition("sleep(")[2].rstrip(")"))
    assert POD["spec"]["terminationGracePeriodSeconds"] > before + read.drain_seconds + read.grace_seconds
    probe = CONTAINER["readinessProbe"]
    assert probe["periodSeconds"] * probe["failureThreshold"] <= before + read.drain_seconds


def test_pods_come_and_go_one_at_a_time_and_never_all() -> None:
    scaler = BY_NAME["HorizontalPodAutoscaler", "borewright"]["spec"]
    assert scaler["scaleTargetRef"] == {"apiVersion": "apps/v1", "kind": "Deployment", "name": "borewright"}
    assert "replicas" not in DEPLOYMENT["spec"]
    assert 2 <= scaler["minReplicas"] < scaler["maxReplicas"]
    assert BY_NAME["PodDisruptionBudget", "borewright"]["spec"]["maxUnavailable"] < scaler["minReplicas"]
    assert DEPLOYMENT["spec"]["strategy"]["rollingUpdate"]["maxUnavailable"] == 0
    assert CONTAINER["resources"]["requests"]["cpu"], "the autoscaler measures against it"


def test_nobody_is_asked_but_the_store() -> None:
    base = BY_NAME["NetworkPolicy", "borewright"]["spec"]
    assert base["policyTypes"] == ["Ingress", "Egress"]
    assert base["egress"] == []
    assert all(rule.get("from") and rule.get("ports") for rule in base["ingress"])
    assert BY_NAME["NetworkPolicy", "borewright-counters"]["spec"]["egress"] == []
    (to_store, to_names) = BY_NAME["NetworkPolicy", "borewright-to-counters"]["spec"]["egress"]
    assert to_store["to"] == [{"podSelector": {"matchLabels": {"app.kubernetes.io/name": "borewright-counters"}}}]
    assert {port["port"] for port in to_names["ports"]} == {53}


def test_the_memory_holds_the_largest_bodies() -> None:
    """Each worker has bodies and answers, and at worst as many of the largest batches as places (docker/README.md has their peak)."""
    workers, read = int(CONTAINER["args"][-1]), Settings.from_environment(environment(DEPLOYMENT))
    largest_batch, process = 550_000_000, 60_000_000
    needed = workers * (process + read.held_bytes + read.calculations_at_once * largest_batch)
    limit = CONTAINER["resources"]["limits"]["memory"]
    assert limit.endswith("Gi")
    assert int(limit.removesuffix("Gi")) * 1024**3 > needed


def test_the_image_can_be_named_by_its_digest() -> None:
    (image,) = kustomization(FOLDER / "base")["images"]
    assert image["name"] == CONTAINER["image"]
    assert set(image) <= {"name", "newName", "newTag", "digest"}
