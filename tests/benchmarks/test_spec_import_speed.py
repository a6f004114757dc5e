"""A list of 50,000 vehicles read, understood and planned, against reading it into dictionaries alone.

The rival is `csv.DictReader` over the same bytes: the least that anyone does with such a file. It checks
nothing, compares with nothing and accounts for nothing.
"""

from __future__ import annotations

import csv
import io
import random
import time
from typing import TYPE_CHECKING

import pytest

from knowngood.parsing import parse_with_tolerance
from knowngood.scales import System
from knowngood_refdata.records import SourceKind, SpecValue, Vehicle
from knowngood_specs.core.importing.existing import ExistingIndex
from knowngood_specs.core.importing.planning import plan
from knowngood_specs.core.importing.proposal import propose
from knowngood_specs.core.importing.reader import read_rows

if TYPE_CHECKING:
    from pytest_benchmark.fixture import BenchmarkFixture

    from knowngood_refdata.quantities import Kind
    from knowngood_specs.core.importing.plan import Plan

ROWS, HELD = 50_000, 20_000
MOST = 120.0
LONGEST_S = 20.0
"""A third of the minute that a whole import may take; storing takes the rest."""

_SYLLABLES = ("ka", "to", "mi", "ra", "ne", "lu", "so", "vi", "de", "po", "ba", "fen", "tar")


def read(text: str, kind: Kind) -> tuple[float, float | None]:
    return parse_with_tolerance(text, kind, System.SI)


def vehicles() -> list[Vehicle]:
    draw = random.Random(4)
    names = ["".join(draw.choices(_SYLLABLES, k=3)).title() for _ in range(2_000)]
    made = []
    for number in range(HELD):
        grams, first = draw.randint(300, 1_200), draw.randint(1990, 2022)
        label = SourceKind.UNDER_HOOD_LABEL
        charge = SpecValue(1, "charge", grams / 1e3, 0.015, f"{grams} ± 15 g", label, "photographed")
        made.append(
            Vehicle(
                number, names[number % 40], draw.choice(names), draw.choice(("1.6 petrol", "2.0 diesel")),
                first, first + draw.randint(0, 4), specs={"charge": (charge,)},
            )
        )  # fmt: skip
    return made


def written(held: list[Vehicle]) -> bytes:
    """A list in which one row of three names a vehicle on record, and some are impossible."""
    draw = random.Random(5)
    into = io.StringIO()
    writer = csv.writer(into, delimiter=";")
    writer.writerow(["Make", "Model", "Engine", "Years", "Charge (g)", "Tolerance", "Refrigerant", "Oil"])
    for number in range(ROWS):
        known = draw.choice(held)
        model = known.model if number % 3 == 0 else f"{known.model} {number % 900}"
        grams = 0 if number % 100 == 0 else draw.randint(300, 1_200)
        years = f"{known.year_from}-{known.year_to}"
        writer.writerow([known.make, model, known.engine, years, grams, 15, "R134a", "PAG 46, 120 mL"])
    return into.getvalue().encode()


@pytest.fixture(scope="module")
def held() -> list[Vehicle]:
    return vehicles()


def test_a_list_of_50_000_vehicles_is_planned_in_a_third_of_a_minute(
    benchmark: BenchmarkFixture, held: list[Vehicle]
) -> None:
    data = written(held)
    index = ExistingIndex(held)

    def planned() -> Plan:
        table = read_rows(data, "list.csv")
        mapping = propose(table).mapping.from_source("generic", "a list")
        return plan(table, mapping, index, read, this_year=2026)

    started = time.perf_counter()
    rival = list(csv.DictReader(io.StringIO(data.decode()), delimiter=";"))
    rival_s = time.perf_counter() - started
    done: Plan = benchmark.pedantic(planned, rounds=2)  # type: ignore[no-untyped-call]
    assert sum(done.counts.values()) == len(rival) == ROWS
    assert benchmark.stats is not None
    taken_s: float = benchmark.stats.stats.min
    print(f"\n{taken_s:.1f} s; dictionaries alone {rival_s:.2f} s: {taken_s / rival_s:.0f} times")
    assert taken_s < LONGEST_S
    assert taken_s < MOST * rival_s
