"""Time of strength with no tolerance and with the most that are taken, side by side. Run as a script; look at the ratio."""

import copy
import time
from typing import Any

from borewright.calculations.base.registry import calculations
from borewright.calculations.base.single import answer

ROUNDS = 5
TOLERANCES = {"compression_ratio": "10 ± 0.1", "speed": "7000 ± 10 rpm", "bore": "3.882 ± 0.001 in"}


def main() -> None:
    """Measure and print."""
    calculation = calculations()["strength"]
    plain: dict[str, Any] = copy.deepcopy(next(iter(calculation.examples.values())))
    toleranced = {**copy.deepcopy(plain), **{name: text for name, text in TOLERANCES.items() if name in plain}}
    taken = {}
    for name, request in (("as the example", plain), ("with tolerances", toleranced)):
        answer(calculation, request)
        begin = time.process_time()
        for _ in range(ROUNDS):
            answer(calculation, request)
        taken[name] = (time.process_time() - begin) / ROUNDS
        print(f"{name}: {taken[name] * 1e3:.0f} ms")
    print(f"ratio: {taken['with tolerances'] / taken['as the example']:.1f}")


if __name__ == "__main__":
    main()
