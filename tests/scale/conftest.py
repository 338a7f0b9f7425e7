"""Where the figures go."""

from collections.abc import Callable

import pytest


@pytest.fixture
def tell(capsys: pytest.CaptureFixture[str]) -> Callable[[str], None]:
    """Print a line though the test passes."""

    def show(line: str) -> None:
        with capsys.disabled():
            print(f"\n{line}")

    return show
