"""Generated requests to every operation, by examples, boundary values and random ones, checked against the document."""

import re
from pathlib import Path

import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.config import SchemathesisConfig

from borewright.web.app import create_app

# Schema-valid builds that can't exist are 422 (impossible-build), and a wrong entry of a batch's column fails its own row alone.
CONFIG = SchemathesisConfig.from_path(Path(__file__).parent / "generated" / "schemathesis.toml")
# What a schema can't say: a bare number needs `units` beside it, columns are equally long.
# Values out of range are listed along with such a one.
EXEMPT, OUT_OF_RANGE = re.compile("has no unit|equally long"), "outside what can be"
schema = schemathesis.openapi.from_wsgi("/v1/openapi.json", create_app(), config=CONFIG)


def schema_valid_is_never_invalid(
    context: schemathesis.CheckContext, response: schemathesis.Response, case: schemathesis.Case
) -> bool | None:
    """What the document admits is answered, or refused as what can't exist; never as against the schema."""
    meta = case.meta
    if meta is None or not meta.generation.mode.is_positive or response.status_code != 422:
        return None
    problem = response.json()
    if problem["type"] == "/problems/invalid-request":
        details = [error["detail"] for error in problem["errors"]]
        assert any(EXEMPT.search(detail) for detail in details), f"the document admits {case.body}: {details}"
        assert all(EXEMPT.search(detail) or OUT_OF_RANGE in detail for detail in details), f"the document admits {case.body}: {details}"
    else:
        assert problem["type"] == "/problems/impossible-build"
    return None


@schema.parametrize()
@settings(max_examples=10, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck))
def test_every_operation_keeps_its_contract(case: schemathesis.Case) -> None:
    plain = {"Accept-Encoding": "identity"}  # within one process nothing unpacks an answer
    case.call_and_validate(headers=plain, additional_checks=[schema_valid_is_never_invalid])
