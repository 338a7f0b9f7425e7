"""The service over a socket against its own document: requests by a generator that is not ours, from examples, boundaries and at random."""

import json
from pathlib import Path
from typing import Any

import hypothesis
import pytest
import schemathesis
from admitted import BY_READING, codes_of_reading
from schemathesis.config import SchemathesisConfig
from schemathesis.pytest.lazy import get_all_tests

from borewright.calculations.base.mistakes import BEYOND_SCHEMA, Code

ROOT = Path(__file__).parents[2]
# Schema-valid builds that can't exist are 422 (impossible-build), and a wrong entry of a batch's column fails its own row alone.
CONFIG = SchemathesisConfig.from_path(ROOT / "tests" / "contract" / "generated" / "schemathesis.toml")
PATHS = json.loads((ROOT / "openapi" / "openapi.json").read_text(encoding="utf-8"))["paths"]
EXAMPLES = 10  # to each operation at random, at the usual number of rounds
CHECKS = list(hypothesis.HealthCheck)


def schema_valid_is_never_invalid(
    context: schemathesis.CheckContext, response: schemathesis.Response, case: schemathesis.Case
) -> bool | None:
    """What the document admits is answered, or refused as what can't exist, or for what no schema can say; never as against the schema."""
    meta = case.meta
    if meta is None or not meta.generation.mode.is_positive or response.status_code != 422:
        return None
    problem = response.json()
    codes = {error["code"] for error in problem["errors"]}
    if problem["type"] == "/problems/invalid-request":
        read = codes_of_reading(case.operation.path, case.body)
        assert read <= BY_READING, f"the document admits {case.body}: {problem['errors']}"
        assert codes & BEYOND_SCHEMA, f"the document admits {case.body}: {problem['errors']}"
        assert codes <= BEYOND_SCHEMA | {Code.OUT_OF_RANGE, Code.IMPOSSIBLE}, f"the document admits {case.body}: {problem['errors']}"
    else:
        assert problem["type"] == "/problems/impossible-build"
        assert codes <= {Code.OUT_OF_RANGE, Code.IMPOSSIBLE}, problem["errors"]
    return None


@pytest.fixture(scope="module")
def served(live: Any) -> dict[str, Any]:
    """The document as it is served."""
    (answer,) = live.raw(b"GET /v1/openapi.json HTTP/1.1\r\nHost: a\r\n\r\n")
    found: dict[str, Any] = json.loads(answer.body)
    assert set(found["paths"]) == set(PATHS), "`borewright openapi` writes the list that these tests go by"
    return found


@pytest.mark.parametrize("path", PATHS)
def test_every_operation_keeps_its_contract(live: Any, served: dict[str, Any], path: str, rounds: int, seed: int) -> None:
    """A path a test, prepared within it: schema.parametrize() prepares every case of all when tests are collected, in each process."""
    number = max(EXAMPLES, EXAMPLES * rounds // 5000)

    @hypothesis.seed(seed)
    @hypothesis.settings(max_examples=number, database=None, deadline=None, suppress_health_check=CHECKS)
    def keeps_its_contract(case: schemathesis.Case) -> None:
        case.call_and_validate(additional_checks=[schema_valid_is_never_invalid])

    worker = live.worker()
    schema = schemathesis.openapi.from_dict({**served, "paths": {path: served["paths"][path]}}, config=CONFIG)
    schema.config.update(base_url=f"http://127.0.0.1:{live.port}")
    found = [made.ok() for made in get_all_tests(schema=schema, test_func=keeps_its_contract, settings=None, given_kwargs={})]
    assert len(found) == len(served["paths"][path])
    for _, generated in found:
        generated()
    assert live.worker() == worker, "the worker has been replaced"
