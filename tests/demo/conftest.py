"""The sheet of the demo's own work order."""

from typing import Any

import pytest

from borewright.demo.run import read_order
from borewright.sheet.sections import build_sheet


@pytest.fixture(scope="session")
def sheet() -> dict[str, Any]:
    return build_sheet(read_order(None))
