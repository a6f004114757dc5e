"""A full fit, one added reading and any range at once, against a mixed model of a general package.

Rival in the same run: the package's linear mixed model of one quantity with the same covariates and one level
instead of five, which gives no ranges. Targets: 5,000 readings of 750 configurations, all quantities, under
0.5 s; an added reading under 50 ms; any range under 2 ms; 50,000 readings under 10 s and 1 GB.
"""

from __future__ import annotations

import resource
import time
from typing import TYPE_CHECKING, Any

import pytest
from tests.benchmarks.mixed_model import intercepts_only
from tests.refdata.expected.drawn_fleet import drawn_fleet

from knowngood_refdata.expected.book import Book
from knowngood_refdata.expected.forecasts import Side, Subject, What
from knowngood_refdata.expected.match import Point
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from tests.refdata.expected.fleet import Fleet

READINGS, ADDED = 5_000, 12
FIT_S, ADDED_S, RANGE_S = 0.5, 0.05, 0.002
LARGE, LARGE_S, LARGE_KB = 50_000, 10.0, 1_000_000


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    """Some 5,200 readings."""
    found = drawn_fleet(3, makers=8, families=200, configurations=1200)
    assert len(found.library) > READINGS + ADDED
    return found


def rival_s(fleet: Fleet) -> float:
    """Seconds that the mixed model takes for one quantity with one level, the configurations, alone."""
    began = time.perf_counter()
    intercepts_only(fleet, fleet.library[:READINGS], Quantity.VENT)
    return time.perf_counter() - began


@pytest.mark.benchmark(group="expected ranges of 5,000 readings")
def test_all_quantities_are_fitted_before_the_mixed_model_has_one(benchmark: Any, fleet: Fleet) -> None:
    benchmark.pedantic(Book.of, args=(fleet.library[:READINGS], fleet.vehicles), rounds=7, warmup_rounds=1)
    ours, rival = benchmark.stats.stats.min, rival_s(fleet)
    print(f"\n{READINGS} readings, seven quantities: {ours:.3f} s; mixed model, one quantity: {rival:.2f} s")
    assert ours < FIT_S
    assert 3.0 * ours / 7.0 < rival


@pytest.mark.benchmark(group="one reading more")
def test_a_reading_is_added_at_once(benchmark: Any, fleet: Fleet) -> None:
    book = Book.of(fleet.library[:READINGS], fleet.vehicles)
    more = iter(fleet.library[READINGS : READINGS + ADDED])
    benchmark.pedantic(lambda: book.with_readings([next(more)]), rounds=ADDED - 1)
    print(f"\nadded to {READINGS} readings in {1e3 * benchmark.stats.stats.min:.1f} ms")
    assert benchmark.stats.stats.min < ADDED_S


@pytest.mark.benchmark(group="one range")
def test_any_range_comes_at_once(benchmark: Any, fleet: Fleet) -> None:
    book = Book.of(fleet.library[:READINGS], fleet.vehicles)
    asked = [one for _, one in fleet.kept_back[:: max(1, len(fleet.kept_back) // 60)]]
    about = [
        Subject(fleet.vehicle(one), one.unit_id, Point(one.conditions, one.engine_rpm, one.fan_stage))
        for one in asked
    ]
    # Several times, so that neither a table made once nor another program counts.
    took = [min(_seconds(book, one, what) for _ in range(5)) for what in (*Quantity, *Side) for one in about]
    benchmark(book.forecast, about[0], Quantity.SUPERHEAT)
    print(
        f"\na range in {1e3 * benchmark.stats.stats.median:.2f} ms, the slowest in {1e3 * max(took):.2f} ms"
    )
    assert benchmark.stats.stats.median < RANGE_S
    assert max(took) < RANGE_S


def _seconds(book: Book, about: Subject, what: What) -> float:
    began = time.perf_counter()
    book.forecast(about, what)
    return time.perf_counter() - began


def test_fifty_thousand_readings_take_seconds_and_less_than_a_gigabyte() -> None:
    fleet = drawn_fleet(5, makers=8, families=900, configurations=10_500)
    assert len(fleet.library) > LARGE
    began = time.perf_counter()
    book = Book.of(fleet.library[:LARGE], fleet.vehicles)
    took = time.perf_counter() - began
    peak_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(
        f"\n{LARGE} readings in {took:.1f} s, {peak_kb / 1e3:.0f} MB at the most, the fleet itself included"
    )
    assert len(book.readings) == LARGE
    assert took < LARGE_S
    assert peak_kb < LARGE_KB
