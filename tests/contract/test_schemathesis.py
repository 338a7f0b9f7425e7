"""Generated requests to every operation, by examples, boundary values and random ones, checked against the document."""

from pathlib import Path

import schemathesis
from admitted import BY_READING, codes_of_reading
from hypothesis import HealthCheck, settings
from schemathesis.config import SchemathesisConfig

from borewright.calculations.base.mistakes import BEYOND_SCHEMA, Code
from borewright.web.app import create_app

# Schema-valid builds that can't exist are 422 (impossible-build), and a wrong entry of a batch's column fails its own row alone.
CONFIG = SchemathesisConfig.from_path(Path(__file__).parent / "generated" / "schemathesis.toml")
schema = schemathesis.openapi.from_wsgi("/v1/openapi.json", create_app(), config=CONFIG)


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


@schema.parametrize()
@settings(max_examples=10, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck))
def test_every_operation_keeps_its_contract(case: schemathesis.Case) -> None:
    plain = {"Accept-Encoding": "identity"}  # within one process nothing unpacks an answer
    case.call_and_validate(headers=plain, additional_checks=[schema_valid_is_never_invalid])
