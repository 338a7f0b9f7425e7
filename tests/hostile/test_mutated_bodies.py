"""Thousands of valid bodies with something wrong in them, over all operations on one connection: nothing may break the service."""

import copy
import json
import math
import random
import re
import time
from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from borewright.quantities import KINDS

PARTS = 3  # of the whole, for as many processes
MOST_GROWTH = 20 * 1024 * 1024  # bytes of the worker's memory over the whole run
LONGEST = 10.0  # seconds that one answer may take on a busy machine
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
UNITS = [*sorted({unit for kind in KINDS.values() for unit in kind.units}), "", "qqq", "mm²", "µm", "in in", "%", "m" * 300]
NUMBERS: list[Any] = [0, -0.0, 1, -1, 0.5, 3, 7, 90, 360, 1e-320, 5e-9, 1e16, 1e308, -1e308, 2**53 + 1, 10**18, 10**40, math.nan, -math.inf]
TEXTS = [
    "", " ", "null", "0", "NaN", "1e999 mm", "1,5 mm", "1/2 in", "-0 mm", "1 mm ± 1 kg", "5 mm ± 9 mm", "1 mm ± -1 mm", "± 1 mm", "1 ± 1 %",
    "１２ mm", "٣ mm", "1_0 mm", "\ud800", "a\0b", "\u202e1 mm", "e\u0301" * 90, "🛠" * 40, "A" * 3000, "9" * 700, "1 " + "m" * 900,
    "__proto__", "constructor", "../../etc/passwd", "%s%n%x", "{{7*7}}", "${1}", "<script>alert(1)</script>", "'; --", "#/bore", "\r\nA: b",
]  # fmt: skip
PLAIN: list[Any] = [
    None,
    True,
    False,
    [],
    {},
    [[]],
    [{}],
    [None] * 40,
    {"": 1},
    {"value": 1},
    {"unit": "mm"},
    {"value": None, "unit": None},
]
Place = tuple[Any, Any]


def places(tree: Any) -> Iterator[Place]:
    """Every container of a tree with each of its keys or indices."""
    for key, inner in list(tree.items() if isinstance(tree, dict) else enumerate(tree)):
        yield tree, key
        if isinstance(inner, dict | list):
            yield from places(inner)


class Mutator:
    """Makes bodies that are almost right; the same seed makes the same bodies, whatever was made before."""

    def __init__(self, bodies: list[Any], seed: int) -> None:
        self.seed, self.random = seed, random.Random(seed)
        self.pieces = [container[key] for body in bodies for container, key in places(body)]
        self.names = sorted({key for body in bodies for _, key in places(body) if isinstance(key, str)})
        self.changes = (
            [self.scale] * 8
            + [self.replace] * 5
            + [self.swap] * 2
            + [self.leave_out] * 2
            + [self.rename, self.add, self.repeat, self.spell]
        )

    def body(self, given: Any, turn: str) -> bytes:
        """Mutate a body in one to four places, and sometimes its bytes."""
        self.random.seed(f"{self.seed}/{turn}")
        tree = copy.deepcopy(given)
        for _ in range(self.random.choice((1, 1, 1, 2, 4))):
            found = list(places(tree))
            if found:
                self.random.choice(self.changes)(*self.random.choice(found))
        sent = json.dumps(tree).encode()
        return self.bytes(sent) if self.random.random() < 0.12 else sent

    def scale(self, container: Any, key: Any) -> None:
        """Another number in the same place, unit and all: mostly near, sometimes far off."""
        value = container[key]
        power = self.random.choice((0.05, 0.3, 0.3, 3, 12))
        factor = self.random.choice((1, 1, 1, -1)) * 10 ** self.random.uniform(-power, power)
        if isinstance(value, int | float) and not isinstance(value, bool):
            scaled = float(value) * factor
            container[key] = round(scaled) if isinstance(value, int) and math.isfinite(scaled) else scaled
        elif isinstance(value, str):
            container[key] = NUMBER.sub(lambda found: f"{float(found[0]) * factor:.6g}", value, count=self.random.choice((0, 1)))

    def replace(self, container: Any, key: Any) -> None:
        container[key] = copy.deepcopy(self.random.choice((self.quantity, self.quantity, self.number, self.text, self.plain))())

    def swap(self, container: Any, key: Any) -> None:
        """A piece of another body where it does not belong."""
        container[key] = copy.deepcopy(self.random.choice(self.pieces))

    def leave_out(self, container: Any, key: Any) -> None:
        del container[key]

    def rename(self, container: Any, key: Any) -> None:
        if isinstance(container, dict):
            container[self.random.choice((key + "_", key.upper(), key[:-1], self.random.choice(self.names)))] = container.pop(key)

    def add(self, container: Any, key: Any) -> None:
        if isinstance(container, dict):
            container[self.random.choice((*self.names, "x", "\ud800", "~1/0"))] = copy.deepcopy(self.random.choice(self.pieces))
        else:
            container.insert(0, copy.deepcopy(container[key]))

    def repeat(self, container: Any, key: Any) -> None:
        """A list that is longer than anybody needs, or mixed up."""
        if isinstance(container, list):
            many = [copy.deepcopy(container[key]) for _ in range(self.random.choice((2, 8, 60)))]
            container[:] = self.random.choice((container + many, many, container[::-1]))
        elif isinstance(container[key], list):
            container[key] = container[key] * self.random.choice((0, 2, 30))

    def spell(self, container: Any, key: Any) -> None:
        """A quantity in another of its spellings."""
        found = NUMBER.search(container[key]) if isinstance(container[key], str) else None
        if found:
            unit = container[key][found.end() :].strip()
            spread = abs(float(found[0])) * self.random.choice((0, 1e-4, 0.01, 0.5, 2))
            container[key] = {"value": float(found[0]), "unit": unit, "tolerance": spread}

    def number(self) -> Any:
        return self.random.choice(NUMBERS)

    def text(self) -> str:
        return self.random.choice(TEXTS)

    def plain(self) -> Any:
        return self.random.choice(PLAIN)

    def quantity(self) -> Any:
        number, unit = self.random.choice((self.number(), round(10 ** self.random.uniform(-4, 6), 3))), self.random.choice(UNITS)
        spread = self.random.choice(("", "", f" ± {10 ** self.random.uniform(-6, 3):.3g}", " +/- 1"))
        whole = {"value": number, "unit": unit, "tolerance": self.random.choice((0, 0.001, 1, -1, None, "1"))}
        return self.random.choice((f"{number}{spread} {unit}", f"{number}{unit}{spread}", whole))

    def bytes(self, sent: bytes) -> bytes:
        """Damage on the way: what is sent need not be JSON, nor text."""
        at, other = sorted((self.random.randrange(len(sent)), self.random.randrange(len(sent))))
        return self.random.choice(
            (
                sent[:at] + bytes([sent[at] ^ 1 << self.random.randrange(8)]) + sent[at + 1 :],
                sent[:at],
                sent[at:],
                sent[:other] + sent[at:],
                sent[:at] + self.random.randbytes(self.random.randrange(1, 9)) + sent[at:],
                b'{"bore": 1, ' + sent[1:],
                sent * 2,
                b"[" * 30 + sent + b"]" * 30,
                sent.decode("ascii").encode("utf-16"),
                sent[:at] + b"\xed\xa0\x80" + sent[at:],
            )
        )


def test_the_same_seed_makes_the_same_bodies(valid_bodies: list[tuple[str, Any]]) -> None:
    bodies = [body for _, body in valid_bodies]

    def made(seed: int) -> list[bytes]:
        mutator = Mutator(bodies, seed)
        return [mutator.body(body, f"{at}/{turn}") for at, body in enumerate(bodies) for turn in range(5)]

    assert made(1) == made(1) != made(2)


def turns(seconds: list[float], rounds: int) -> list[str]:
    """How often each body has its turn: as often as the time that it takes allows, a third of all shared evenly."""
    weights = [1 / max(second, 0.002) for second in seconds]
    each = [math.ceil(rounds * (weight / sum(weights) * 2 + 1 / len(seconds)) / 3) for weight in weights]
    dealt = [f"{at}/{turn}" for at, count in enumerate(each) for turn in range(count)]
    random.Random(0).shuffle(dealt)
    return dealt[:rounds]


@pytest.mark.parametrize("part", range(PARTS))
def test_mutated_bodies(
    live: Any,
    caller: Any,
    lawful: Callable[..., Any],
    valid_bodies: list[tuple[str, Any]],
    rounds: int,
    seed: int,
    part: int,
    capsys: pytest.CaptureFixture[str],
) -> None:
    seconds = []
    wanted = len(range(part, rounds, PARTS))
    for path, body in valid_bodies * 2:  # the second time is the one that counts
        asked = time.monotonic()
        assert caller.ask("POST", path, json.dumps(body).encode()).status == 200
        seconds.append(time.monotonic() - asked)
    worker, before = live.worker(), live.resident()
    mutator = Mutator([body for _, body in valid_bodies], seed)
    statuses: Counter[int] = Counter()
    slowest, begun = (0.0, "", b""), time.monotonic()
    for turn in turns(seconds[len(valid_bodies) :], wanted):
        path, body = valid_bodies[int(turn.split("/")[0])]
        sent = mutator.body(body, f"{part}/{turn}")
        asked = time.monotonic()
        answer = caller.ask("POST", path, sent)
        slowest = max(slowest, (time.monotonic() - asked, path, sent))
        assert answer.status in (200, 400, 413, 422, 503), f"{path}\n{sent!r}\n{answer.body!r}\n{live.log.read_text()[-4000:]}"
        assert lawful(answer) is not None, f"{path}\n{sent!r}"
        assert b"ended" not in answer.body or answer.status != 503, f"a calculator died of {path}\n{sent!r}"
        statuses[answer.status] += 1
    took, growth = time.monotonic() - begun, live.resident() - before
    with capsys.disabled():
        counted = ", ".join(f"{count} x {status}" for status, count in sorted(statuses.items()))
        print(f"\n{sum(statuses.values())} mutated bodies from {seed} in {took:.1f} s: {counted}; ", end="")
        print(
            f"slowest {slowest[0] * 1e3:.0f} ms at {slowest[1]}; memory of the worker {before / 2**20:.1f} MiB, {growth / 2**20:+.1f} MiB"
        )
    assert sum(statuses.values()) == wanted
    assert live.worker() == worker, "the worker has been replaced"
    assert growth < MOST_GROWTH
    assert slowest[0] < LONGEST, slowest[1:]
    assert statuses[200] > wanted // 10, "too few of the bodies reach the calculations"
    assert statuses[422] > wanted // 10
