"""Confirmed cases of a library: compared once, and anew when what they rest on has changed."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from knowngood_checkup import cases
from knowngood_checkup.cases import SPEEDS, known_of, one_a_speed
from knowngood_checkup.core.explain.evidence import CarKind
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.known import KNOWN
from knowngood_refdata.expected.comparison import compare_window
from knowngood_refdata.queries import checkups, vehicles
from knowngood_refdata.queries.known_book import known_book
from knowngood_refdata.records import CompressorKind, MeteringDevice

from .conftest import IDLE, spec
from .healthy_cars import SUMMER, window

if TYPE_CHECKING:
    from knowngood_refdata.store import Store


@pytest.fixture
def compared(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The labels of the windows that are compared, as they are."""
    found: list[str] = []

    def noting(*given: object, **named: object) -> object:
        found.append(given[4].label)  # type: ignore[attr-defined]
        return compare_window(*given, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(cases, "compare_window", noting)
    return found


def test_without_cases_what_is_known_is_what_everybody_knows(store: Store, session_id: int) -> None:
    assert known_of(store) is KNOWN


def test_a_case_teaches_but_never_about_itself(store: Store, session_id: int) -> None:
    checkups.confirm(store, session_id, Fault.CONDENSER_AIR, "washed, and it was gone")
    assert Fault.CONDENSER_AIR in known_of(store).ways
    assert known_of(store, without=session_id) is KNOWN


def test_what_was_compared_is_kept_until_the_record_changes(
    store: Store, session_id: int, compared: list[str]
) -> None:
    checkups.confirm(store, session_id, Fault.CONDENSER_AIR, "washed")
    first = known_of(store)
    assert compared
    del compared[:]
    again = known_of(store)
    assert not compared
    assert (again.ways_of(Fault.CONDENSER_AIR) == first.ways_of(Fault.CONDENSER_AIR)).all()
    vehicle = known_book(store).readings[0].vehicle_id
    vehicles.add_spec(store, vehicle, spec("metering device", MeteringDevice.ORIFICE_TUBE.value))
    known_of(store)
    assert compared


def test_of_each_engine_speed_the_longest_window_counts() -> None:
    car = CarKind(CompressorKind.FIXED)
    short = replace(window(label="short"), start_s=0.0, end_s=40.0)
    long = replace(window(label="long"), start_s=100.0, end_s=200.0)
    raised = [window(780.0 * 2.0**step, label=f"{step} up", start_s=300.0) for step in (1.0, 2.0, 3.0)]
    kept = one_a_speed([short, *raised, long], car)
    assert [one.label for one in kept] == ["long", "1.0 up", "2.0 up"]
    assert len(kept) == SPEEDS


def test_the_engine_does_not_turn_an_electric_compressor() -> None:
    fast = window(2_000.0, label="fast", start_s=300.0)
    assert len(one_a_speed([window(), fast], CarKind(CompressorKind.ELECTRIC))) == 1


def test_without_ticks_nothing_else_changes(store: Store, session_id: int) -> None:
    book = known_book(store)
    vehicle = vehicles.vehicle(store, book.readings[0].vehicle_id)
    full, bare = (compare_window(book, vehicle, None, SUMMER, IDLE, ticks=ticks) for ticks in (True, False))
    assert any(one.known_good for one in full.strips)
    assert not any(one.known_good for one in bare.strips)
    for one, other in zip(full.strips, bare.strips, strict=True):
        assert (one.outcome, one.reason, one.forecast.outer) == (
            other.outcome,
            other.reason,
            other.forecast.outer,
        )
