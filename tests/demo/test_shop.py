"""The demo's library: what it holds, and that it tells a sick car from a healthy one."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from knowngood_demo.instruments import DIGITAL
from knowngood_demo.logs import UNDERCHARGED, conditions_of, skerry_session
from knowngood_demo.sessions import SUMMER_DAY
from knowngood_demo.shop import build_library, ensure_library
from knowngood_demo.visits import PLANS
from knowngood_refdata.expected.comparison import compare_window
from knowngood_refdata.expected.outcome import Outcome
from knowngood_refdata.published.answering import answer
from knowngood_refdata.published.set_up import Today
from knowngood_refdata.queries import pairs, readings, sessions, tables, vehicles
from knowngood_refdata.queries.known_book import known_book
from knowngood_refdata.queries.pairs import Likeness
from knowngood_refdata.records import Quantity, SourceKind, Standing
from knowngood_refdata.store import Store
from knowngood_sessions.core.finding.analysis import analyse

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from knowngood_demo.design import Faults
    from knowngood_refdata.expected.comparison import WindowComparison
    from knowngood_refdata.records import Reading, Vehicle

USER = "Ida Quill"


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return ensure_library(tmp_path_factory.mktemp("shop") / "demo.sqlite", USER)


@pytest.fixture(scope="module")
def store(library: Path) -> Iterator[Store]:
    opened = Store.open(library, user=USER)
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def skerry(store: Store) -> Vehicle:
    return next(one for one in vehicles.search(store, "skerry 1.6") if one.year_from == 2021)


def known_good(store: Store, vehicle: Vehicle) -> tuple[Reading, ...]:
    return readings.readings(store, vehicle.id, Standing.KNOWN_GOOD)


def idle_comparison(store: Store, vehicle: Vehicle, faults: Faults | None) -> WindowComparison:
    _, record = skerry_session(faults, 31) if faults else skerry_session(seed=31)
    conditions = conditions_of(SUMMER_DAY)
    found = analyse(record, "R-1234yf", conditions, DIGITAL)
    return compare_window(known_book(store), vehicle, None, conditions, found.windows[0])


def test_a_library_that_stands_is_left_alone(library: Path, store: Store) -> None:
    before = library.stat().st_mtime_ns
    assert ensure_library(library, "someone else") == library
    assert library.stat().st_mtime_ns == before
    assert vehicles.count(store) == 13


def test_nothing_half_built_lies_beside_the_library(library: Path) -> None:
    assert not [one.name for one in library.parent.iterdir() if "growing" in one.name]


def test_the_cars_belong_to_three_makers_and_five_families(store: Store) -> None:
    cars = vehicles.search(store)
    assert len({car.maker for car in cars}) == 3
    assert len({car.family_id for car in cars}) == 5


def test_the_skerry_shows_its_charge_with_the_label_as_source(skerry: Vehicle) -> None:
    assert skerry.name == "Tarn Skerry 1.6 petrol, 2021–23, single evaporator"
    charge = skerry.spec("charge")
    assert charge is not None
    assert (charge.as_printed, charge.source_kind) == ("470 ± 15 g", SourceKind.UNDER_HOOD_LABEL)
    assert (charge.value, charge.tolerance) == (0.470, 0.015)


def test_where_label_and_book_disagree_both_stand_and_the_label_comes_first(store: Store) -> None:
    older = next(one for one in vehicles.search(store, "skerry") if one.year_from == 2018)
    assert [one.as_printed for one in older.specs["charge"]] == ["490 ± 15 g", "520 ± 15 g"]
    assert older.specs["charge"][1].revision == "rev. B"


def test_some_configurations_have_many_readings_one_has_two_and_one_has_none(store: Store) -> None:
    counts = Counter({car.name: len(known_good(store, car)) for car in vehicles.search(store)})
    assert sorted(counts.values())[:2] == [0, 2]
    assert sum(count >= 6 for count in counts.values()) >= 8
    assert counts["Fen Wader 1.5 diesel, 2017–22, export, single evaporator"] == 0


def test_one_model_was_built_with_either_refrigerant_and_holds_readings_of_both(store: Store) -> None:
    closest = pairs.pairs(store, "R-134a", "R-1234yf")[0]
    assert closest.likeness is Likeness.ENGINE
    assert closest.first.family_id == closest.second.family_id
    for car in (closest.first, closest.second):
        assert len(known_good(store, car)) >= 6


def test_one_published_table_is_held_and_answers_only_inside_its_rows(store: Store, skerry: Vehicle) -> None:
    (held,) = tables.tables(store, skerry.id)
    assert held.table is not None
    assert (held.generic, held.citation) == (False, "Tarn workshop data, section 82")
    summer = Today(conditions_of(SUMMER_DAY), engine_rpm=780.0, refrigerant="R-1234yf")
    assert len(answer(held.table, summer).given) == 3
    assert "at rest" in answer(held.table, replace(summer, at_rest=True)).outcomes[0].refusal


def test_every_known_good_reading_says_who_decided_and_why(store: Store) -> None:
    for car in vehicles.search(store):
        for reading in known_good(store, car):
            assert reading.decided_by == USER
            assert reading.decided_why
            assert reading.unit_name


def test_the_book_keeps_a_retired_reading_with_its_reason(store: Store, skerry: Vehicle) -> None:
    (retired,) = readings.readings(store, skerry.id, Standing.RETIRED)
    assert "filter" in retired.decided_why


def test_the_stored_sessions_come_with_their_samples_and_findings(store: Store, skerry: Vehicle) -> None:
    stored = sessions.list_sessions(store, skerry.id)
    assert len(stored) == 2
    for info in stored:
        assert sessions.findings(store, info.id).windows
        assert len(sessions.recording(store, info.id).time_s) == info.sample_count == 750
        assert info.technician


def test_the_undercharged_skerry_stands_out_from_the_known_good_readings(
    store: Store, skerry: Vehicle
) -> None:
    compared = idle_comparison(store, skerry, UNDERCHARGED)
    outcome = {one.quantity: one.outcome for one in compared.strips}
    assert compared.strips[0].forecast.readings >= 6
    assert outcome[Quantity.SUBCOOLING] is Outcome.BELOW
    assert outcome[Quantity.HIGH_SIDE] is Outcome.BELOW
    assert outcome[Quantity.VENT] is Outcome.ABOVE
    assert outcome[Quantity.LOW_SIDE] is Outcome.INSIDE


def test_a_healthy_skerry_lies_inside_the_known_good_ranges(store: Store, skerry: Vehicle) -> None:
    compared = idle_comparison(store, skerry, None)
    assert {one.outcome for one in compared.strips} <= {Outcome.INSIDE, Outcome.CANNOT_TELL}


def test_a_second_build_holds_the_same_readings(store: Store, tmp_path: Path) -> None:
    plan = next(one for one in PLANS if one.car.model == "Gill")
    again = Store.open(tmp_path / "again.sqlite", user=USER)
    build_library(again, [plan])
    (first,), (second,) = (vehicles.search(one, "gill") for one in (store, again))
    assert [one.values for one in known_good(again, second)] == [
        one.values for one in known_good(store, first)
    ]
    again.close()
