"""The files beside the image, read once."""

from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def docker() -> Path:
    """The folder with everything that runs the service in containers."""
    return ROOT / "docker"
