"""Every operation's batch in every shape of column, beside its floor.

    python tests/bench/bench_batches.py [operation or part of a shape ...] [--rows=100000] [--repeats=3]

The floor reads the same JSON and writes the same answer and does no more: by the parser the service has (orjson, columns of numbers as
arrays), and by the standard library's. Sizes are invented. Cycle calculations are asked for as many rows as they take.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import orjson
from batches import medians

from borewright.calculations.base.batch import columns_of
from borewright.calculations.base.calculation import Calculation
from borewright.calculations.base.fields import Quantity
from borewright.calculations.base.problems import Refusal
from borewright.calculations.base.registry import calculations
from borewright.quantities import KINDS, from_si, read_quantity
from borewright.web.calculating.jobs import Job, jobs, written
from borewright.web.settings import Settings

ROWS = 100_000
Columns = dict[str, list[Any]]


@dataclass(frozen=True)
class Asked:
    """What one operation is asked: sizes from and to, in the bare units of the system.

    some : columns that may be left out, and so may have a null here and there
    words : columns of words
    beyond : a column and a size that can't be
    rows : most rows
    """

    common: Mapping[str, Any]
    sizes: Mapping[str, tuple[float, float]]
    some: Mapping[str, tuple[float, float]]
    words: Mapping[str, Sequence[str]] = field(default_factory=dict)
    beyond: tuple[str, float] | None = None
    units: str = "inch"
    rows: int = ROWS


NATURAL = {"aspiration": "natural", "fuel": "gasoline"}
SERVICES = ("street", "sport", "race")
DUTY = {"duty.service": SERVICES}
ASKED: Mapping[str, Asked] = {
    "displacement": Asked({"cylinders": 8}, {"bore": (3.8, 4.1), "stroke": (3.2, 3.6)}, {}),
    "compression": Asked(
        {"cylinders": 8, "gasket": {"bore": 4.162}, "crown": {"recess": "5 cm3"}, "duty": NATURAL},
        {
            "bore": (3.8, 4.1),
            "stroke": (3.2, 3.6),
            "chamber_volume": (53.0, 61.0),
            "gasket.thickness": (0.03, 0.05),
            "deck_clearance": (0.005, 0.015),
        },
        {"rod_length": (5.8, 6.0)},
        DUTY,
        ("deck_clearance", -0.9),
    ),
    "ring-gap": Asked({"duty": NATURAL}, {"bore": (3.8, 4.1)}, {"temperatures.ring": (380.0, 420.0)}, DUTY),
    "skirt-clearance": Asked(
        {"alloy": "4032", "duty": NATURAL},
        {"bore": (3.8, 3.81)},
        {"skirt": (3.79, 3.799), "coating_thickness": (0.0002, 0.0004)},
        DUTY,
        ("skirt", 2.0),
    ),
    "bearing-clearance": Asked(
        {"kind": "rod", "duty": NATURAL, "oil": {"grade": "sae_30"}},
        {"journal.diameter": (2.0855, 2.0865), "housing.bore": (2.2105, 2.2115), "shell.thickness": (0.0616, 0.0618)},
        {"width": (0.76, 0.8), "side_clearance": (0.01, 0.016)},
        DUTY,
        ("journal.diameter", 2.0),
    ),
    "bench-volumes": Asked(
        {},
        {"bore": (3.8, 4.1), "bench.pour.depth": (0.49, 0.51), "bench.pour.volume": (105.0, 115.0)},
        {"bench.pour.dome_height": (0.01, 0.02)},
        {},
        ("bench.pour.dome_height", 0.9),
    ),
    "valve-train": Asked(
        {"camshaft": "block", "rocker": {"ratio": 1.6, "arm_length": 1.45}, "spring": {"coil_bind_height": 1.15}},
        {"head_mill": (0.02, 0.04), "pushrod.length": (7.7, 7.9), "spring.installed_height": (1.75, 1.85), "valve_lift": (0.45, 0.55)},
        {"lifter.preload": (0.03, 0.04), "deck_cut": (0.005, 0.015)},
        {"rocker.mounting": ("fixed", "stud")},
    ),
    "air-correction": Asked(
        {"standard": "sae-j1349"},
        {"observed_power": (400.0, 440.0), "air_temperature": (60.0, 95.0), "pressure": (13.9, 14.7), "humidity": (30.0, 60.0)},
        {},
        {"standard": ("sae-j1349", "iso-1585", "din-70020", "sae-j607")},
        ("pressure", 0.2),
    ),
    "power-gain": Asked({}, {"before": (9.0, 10.0), "after": (10.0, 11.0), "baseline_power": (300.0, 400.0)}, {}),
    "detonation-margin": Asked(
        {"cylinders": 8, "fuel": {"octane": {"rating": 93, "scale": "aki"}}, "duty": NATURAL},
        {"bore": (3.8, 4.1), "stroke": (3.2, 3.6), "compression_ratio": (9.0, 10.0), "speed": (4000.0, 5000.0)},
        {"ambient.temperature": (60.0, 95.0)},
        DUTY,
        rows=500,
    ),
}


def numbers(draw: np.random.Generator, limits: tuple[float, float], count: int) -> list[float]:
    """Sizes as a caller writes them."""
    return [float(f"{value:.4f}") for value in draw.uniform(*limits, count)]


@dataclass(frozen=True)
class Body:
    """A batch that is made, column by column."""

    calculation: Calculation
    asked: Asked
    count: int

    def made(self, columns: Columns) -> bytes:
        """The body of these columns."""
        common = json.loads(json.dumps(self.asked.common))
        for name in columns:  # what is a column is not common
            holder, (*path, last) = common, name.split(".")
            for step in path:
                holder = holder.get(step, {})
            holder.pop(last, None)
        return json.dumps({"units": self.asked.units, "common": common, "columns": columns}).encode()

    def sizes(self, *, some: bool = True) -> Columns:
        """Columns of numbers."""
        draw = np.random.default_rng(3)
        wanted = {**self.asked.sizes, **(self.asked.some if some else {})}
        return {name: numbers(draw, limits, self.count) for name, limits in wanted.items()}

    def units(self, name: str) -> tuple[str, str, str]:
        """The kind of a column, the unit that a bare number of it means, and another one."""
        kinds = {".".join(steps): field.kind for steps, field in columns_of(self.calculation.request_schema) if isinstance(field, Quantity)}
        kind = KINDS[kinds[name]]
        bare = kind.bare_means["inch" if self.asked.units == "inch" else "metric"]
        preferred = {"length": "mm", "pressure": "kPa", "power": "kW", "temperature": "degC", "volume": "mL", "ratio": "%"}
        other = preferred.get(kind.name) or next((unit for unit in kind.units if unit != bare), bare)
        return kind.name, bare, other

    def spelled(self, name: str, values: Sequence[float], form: str) -> list[Any]:
        """A column of numbers in another form."""
        kind, bare, other = self.units(name)
        units = [bare, other] if form in ("mixed", "mixed objects", "every way", "thirds") else [bare]
        found: list[Any] = []
        for row, value in enumerate(values):
            unit = units[row % len(units)]
            size = value if unit == bare else float(f"{from_si(read_quantity(f'{value} {bare}', kind).value, unit, kind):.4f}")
            if "object" in form:
                found.append({"value": size, "unit": unit})
            elif form == "every way":
                found.append(
                    [f"{size} {unit}", f"{size:.4f}{unit}", f"+{size}  {unit}", f"{size:e} {unit}", {"value": size, "unit": unit}][row % 5]
                )
            elif form == "tolerances":
                found.append(f"{size} {unit} ± {size / 1000:.5f} {unit}")
            else:
                found.append(f"{size} {unit}")
        return found


Mended = Callable[[int, Any], Any]


def mended(column: list[Any], mend: Mended) -> list[Any]:
    """A column with some of its entries made into others, by their rows."""
    return [mend(row, entry) for row, entry in enumerate(column)]


def every_second(wrong: Callable[[int], Any]) -> Mended:
    """What makes every second entry wrong."""
    return lambda row, entry: entry if row % 2 else wrong(row)


def shapes(body: Body) -> Iterator[tuple[str, Columns]]:
    """Every shape that an operation can be asked in."""
    sizes = body.sizes()
    first = next(iter(sizes))
    bare, strings = sizes[first], body.spelled(first, sizes[first], "strings")
    yield "numbers", sizes
    yield "one column alone changes", {first: bare} | {name: [column[0]] * body.count for name, column in sizes.items() if name != first}
    yield from gaps(body, sizes)
    for told, form in FORMS.items():
        yield f"one column of {told}", sizes | {first: body.spelled(first, bare, form)}
        yield f"every column of {told}", {name: body.spelled(name, column, form) for name, column in sizes.items()}
    yield "strings with nulls", sizes | {first: mended(strings, lambda row, entry: entry if row % 5 else None)}
    yield "numbers and strings", sizes | {first: mended(strings, every_second(lambda row: bare[row]))}
    toleranced = body.spelled(first, bare, "tolerances")
    yield "every second row with a tolerance", sizes | {first: mended(strings, every_second(lambda row: toleranced[row]))}
    yield "every second row out of range", sizes | {first: mended(bare, every_second(lambda _: 1e7))}
    yield "every second row of another kind", sizes | {first: mended(strings, every_second(lambda row: f"{bare[row]} s"))}
    yield "every second row unreadable", sizes | {first: mended(strings, every_second(lambda row: f"about {bare[row]}"))}
    if body.asked.beyond:
        name, size = body.asked.beyond
        yield "every second row can't be", sizes | {name: mended(sizes[name], every_second(lambda _: size))}


def gaps(body: Body, sizes: Columns) -> Iterator[tuple[str, Columns]]:
    """Columns with nulls, and columns of words."""
    some = list(body.asked.some)
    if some:
        first = sizes[some[0]]
        yield "a null in every second row", sizes | {some[0]: mended(first, every_second(lambda _: None))}
        yield "a null here and there", sizes | {some[0]: mended(first, lambda row, entry: None if row % 1000 == 7 else entry)}
    if len(some) > 1:
        first, second = (sizes[name] for name in some)
        nulls = (mended(first, every_second(lambda _: None)), mended(second, lambda row, entry: entry if row % 4 < 2 else None))
        yield "nulls in each optional column", sizes | dict(zip(some, nulls, strict=True))
    words = {name: [options[row % len(options)] for row in range(body.count)] for name, options in body.asked.words.items()}
    if words:
        yield "a column of words", sizes | words
        yield "words with nulls", sizes | {name: mended(one, lambda row, entry: entry if row % 5 else None) for name, one in words.items()}


FORMS = {
    "strings": "strings",
    "strings of two units": "mixed",
    "objects": "objects",
    "objects of two units": "mixed objects",
    "every spelling": "every way",
}


def floors(raw: bytes, answer: bytes) -> tuple[Callable[[], object], Callable[[], object]]:
    """The floor by the service's parser, and by the standard library's."""
    body, plain = orjson.loads(answer), json.loads(answer)
    for name, column in body["columns"].items():
        if set(map(type, column)) <= {float, int, type(None)}:
            body["columns"][name] = np.array(column, dtype=np.float64)

    def quick() -> bytes:
        orjson.loads(raw)
        return written(body)

    def standard() -> bytes:
        json.loads(raw)
        return json.dumps(plain).encode()

    return quick, standard


def measured(job: Job, raw: bytes, repeats: int) -> str:
    """What a batch costs and what its floors do, as a table has it."""
    try:
        found = job(raw).body
    except Refusal as refusal:  # said, and the others go on
        return f"{refusal.errors[0].detail} | | | | "
    quick, standard = floors(raw, found)
    ours, floor = medians((lambda: job(raw).body, quick), repeats)
    (plain,) = medians((standard,), 1)
    failed = len(orjson.loads(found)["failures"])
    return f"{ours * 1e3:.1f} | {floor * 1e3:.1f} | {ours / floor:.2f} | {ours / plain:.2f} | {failed}"


def main(arguments: list[str]) -> None:
    """Print the table."""
    options = dict(one.removeprefix("--").split("=") for one in arguments if one.startswith("--"))
    count, repeats = int(options.get("rows", ROWS)), int(options.get("repeats", 3))
    wanted = [one for one in arguments if not one.startswith("--")]
    work = jobs(Settings())
    print("| operation | shape | rows | ours [ms] | floor [ms] | ours / floor | ours / standard floor | failed |")
    print("|---|---|---|---|---|---|---|---|")
    for name, asked in ASKED.items():
        body = Body(calculations()[name], asked, min(count, asked.rows))
        for shape, columns in shapes(body):
            if not wanted or name in wanted or any(one in shape for one in wanted):
                print(f"| {name} | {shape} | {body.count} | {measured(work[f'{name}/batch'], body.made(columns), repeats)} |", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
