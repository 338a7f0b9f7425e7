"""Gives the examples in the client's docstrings a `client` whose service is a few canned answers, so that they run offline."""

import io
import json
from typing import Any

import pytest
import requests

from borewright_client import Client

# The figures are pi/4 * bore² * stroke * 8, worked out beside the code.
ANSWERS: dict[str, dict[str, Any]] = {
    "/v1/displacement": {"displacement": {"value": 355.115153209, "unit": "in3"}},
    "/v1/displacement/batch": {"rows": 2, "columns": {"displacement": [349.847757904, 355.115153209]}},
    "/v1/build-sheet": {"verdict": "pass"},
    "/v1/reference/units": {"length": ["mm", "cm"]},
    "/v1/openapi.json": {"openapi": "3.1.0"},
    "/health/live": {"status": "ok"},
    "/health/ready": {"status": "ok"},
}


class Canned(requests.adapters.BaseAdapter):
    """Answers each path with its canned answer."""

    def send(self, request: requests.PreparedRequest, *args: object, **options: object) -> requests.Response:
        response = requests.Response()
        response.status_code = 200
        response.request = request
        response.headers["Content-Type"] = "application/json"
        response.raw = io.BytesIO(json.dumps(ANSWERS[request.path_url]).encode())
        return response

    def close(self) -> None:
        """Nothing is held open."""


@pytest.fixture(autouse=True)
def _client_in_examples(doctest_namespace: dict[str, Any]) -> None:
    session = requests.Session()
    session.mount("http://", Canned())
    doctest_namespace["client"] = Client("http://127.0.0.1:8080", session=session)
