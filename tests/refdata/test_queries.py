"""Vehicles, sessions and readings in the library, on both databases."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from sqlalchemy import select

from knowngood_refdata.drafts import ReadingDraft, SessionDraft, SpecDraft, VehicleDraft
from knowngood_refdata.errors import NotFound, UnfitValue
from knowngood_refdata.models import Audit
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.queries.readings import ReasonMissing
from knowngood_refdata.records import (
    AirSource,
    Channel,
    Conditions,
    Estimate,
    Event,
    EventKind,
    Findings,
    Instruments,
    Opening,
    PressureInstrument,
    Quantity,
    Recording,
    Response,
    Role,
    SourceKind,
    Standing,
    SteadyWindow,
    Verdict,
)
from knowngood_refdata.store import Conflict, Store

LABEL = SpecDraft("charge", 0.470, "470 ± 15 g", SourceKind.UNDER_HOOD_LABEL, "label of car 3", 0.015)
BOOK = SpecDraft("charge", 0.500, "500 g", SourceKind.SERVICE_INFORMATION, "Tarn workshop data", revision="B")
GAS = SpecDraft("refrigerant", None, "R-1234yf", SourceKind.UNDER_HOOD_LABEL, "label of car 3")
SKERRY = VehicleDraft(
    "Tarn", "Skerry", "1.6 petrol", 2021, 2023, family="Tarn small", specs=(BOOK, LABEL, GAS)
)
CONDITIONS = Conditions(
    ambient_k=304.65, relative_humidity=0.48, altitude_m=240.0, air_source=AirSource.RECIRCULATION,
    hood=Opening.OPEN, sun=False, fan_stage=1, blower=1.0,
)  # fmt: skip
WINDOW = SteadyWindow(
    10.0, 80.0, 751.5, 1, "idle", {Quantity.LOW_SIDE: Estimate(3e5, 9e2), Quantity.SUPERHEAT: Estimate(6, 1)}
)
FOUND = Findings(
    (WINDOW,),
    (Event(EventKind.FAN_STAGE_UP, 271.0, "fan stage 2"),),
    (
        Response(
            750.0, 2000.0, Estimate(1e4, 3e3), Estimate(-2e5, 1e4), Verdict.RISES, Verdict.FALLS,
            same_fan_stage=False, remark="fan",
        ),
    ),
)  # fmt: skip
RECORDING = Recording(
    np.array([0.0, 1.0, 2.5]),
    (
        Channel("P1", Role.LOW_SIDE, "psi", True, np.array([30.1, np.nan, 30.4])),
        Channel("RPM", Role.ENGINE_SPEED, "rpm", False, np.array([750.0, 751.0, 748.0])),
    ),
)


def test_the_label_on_the_car_beats_the_book_and_both_are_kept(store: Store) -> None:
    found = vehicles.vehicle(store, vehicles.add_vehicle(store, SKERRY))
    best = found.spec("charge")
    assert best is not None
    assert (best.as_printed, best.tolerance, best.entered_by) == ("470 ± 15 g", 0.015, "Ada Fell")
    assert [one.as_printed for one in found.specs["charge"]] == ["470 ± 15 g", "500 g"]
    assert found.refrigerant == "R-1234yf"
    assert (found.maker, found.family) == ("Tarn", "Tarn small")


@pytest.mark.parametrize("words", ["21 skerry 1.6", "SKERRY tarn", "2022", "1234yf petrol", ""])
def test_a_vehicle_is_found_by_any_of_its_words(store: Store, words: str) -> None:
    vehicles.add_vehicle(store, SKERRY)
    assert len(vehicles.search(store, words)) == 1


@pytest.mark.parametrize("words", ["skerry 2.0", "2024", "%", "_", "skerry 19"])
def test_a_vehicle_is_not_found_by_words_it_lacks(store: Store, words: str) -> None:
    vehicles.add_vehicle(store, SKERRY)
    assert vehicles.search(store, words) == ()


def test_search_knows_no_case_beyond_ascii(store: Store) -> None:
    vehicles.add_vehicle(store, replace(SKERRY, make="ÅRVIK", specs=()))
    assert len(vehicles.search(store, "årvik")) == 1


def test_a_refrigerant_added_later_can_be_searched_for(store: Store) -> None:
    number = vehicles.add_vehicle(store, replace(SKERRY, specs=()))
    vehicles.add_spec(store, number, GAS)
    assert [one.id for one in vehicles.search(store, "r-1234yf")] == [number]


def test_two_vehicles_of_a_maker_share_it(store: Store) -> None:
    first, second = (vehicles.add_vehicle(store, replace(SKERRY, model=name)) for name in ("Skerry", "Fell"))
    assert vehicles.vehicle(store, first).family_id == vehicles.vehicle(store, second).family_id


@pytest.mark.parametrize("draft", [replace(SKERRY, make=" "), replace(SKERRY, year_to=2019)])
def test_a_vehicle_without_make_or_with_impossible_years_is_refused(
    store: Store, draft: VehicleDraft
) -> None:
    with pytest.raises(ValueError, match=r"needs a make|make no range"):
        vehicles.add_vehicle(store, draft)
    assert vehicles.count(store) == 0


def test_text_that_one_database_would_refuse_is_refused_on_both(store: Store) -> None:
    with pytest.raises(Exception, match="NUL") as caught:
        vehicles.add_vehicle(store, replace(SKERRY, notes="a\0b"))
    assert isinstance(caught.value, UnfitValue) or isinstance(caught.value.__cause__, UnfitValue)
    assert vehicles.count(store) == 0


def test_every_addition_leaves_its_trace(store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    with store.reading() as session:
        traces = session.scalars(select(Audit).where(Audit.table_name == "configuration")).all()
    (trace,) = traces
    assert (trace.row_id, trace.action, trace.who, trace.why) == (
        number,
        "added",
        "Ada Fell",
        "vehicle added",
    )
    assert trace.after["model"] == "Skerry"


def saved(store: Store, **changes: object) -> int:
    number = vehicles.add_vehicle(store, SKERRY)
    draft = SessionDraft(number, "Session", "R-1234yf", "log.csv", CONDITIONS, findings=FOUND)
    return sessions.save(store, replace(draft, **changes), RECORDING, b"time,P1\n")  # type: ignore[arg-type]


def test_a_session_comes_back_as_it_was_saved(store: Store) -> None:
    gauges = Instruments(low=PressureInstrument(1.0, 10e5, "low side gauge"))
    started = datetime(2024, 8, 14, 10, 42, tzinfo=timezone(timedelta(hours=2)))
    number = saved(store, instruments=gauges, started_at=started)
    info = sessions.info(store, number)
    assert info.conditions == CONDITIONS
    assert info.instruments == gauges
    assert info.started_at == started
    assert (info.duration_s, info.sample_count, info.technician) == (2.5, 3, "Ada Fell")
    assert info.source_sha256 == hashlib.sha256(b"time,P1\n").hexdigest()
    assert sessions.source(store, number) == b"time,P1\n"


def test_samples_come_back_in_the_unit_of_the_file(store: Store) -> None:
    recording = sessions.recording(store, saved(store))
    np.testing.assert_array_equal(recording.time_s, RECORDING.time_s)
    for found, given in zip(recording.channels, RECORDING.channels, strict=True):
        assert (found.name, found.role, found.unit, found.gauge) == (
            given.name, given.role, given.unit, given.gauge,
        )  # fmt: skip
        np.testing.assert_array_equal(found.values, given.values)


def test_findings_come_back_as_they_were_found(store: Store) -> None:
    found = sessions.findings(store, saved(store))
    assert [replace(one, id=None) for one in found.windows] == list(FOUND.windows)
    assert [replace(one, id=None) for one in found.events] == list(FOUND.events)
    assert [replace(one, id=None) for one in found.responses] == list(FOUND.responses)


def test_a_new_analysis_replaces_the_old_one_but_not_the_windows_set_by_hand(store: Store) -> None:
    number = saved(store)
    sessions.save_findings(store, number, Findings(windows=(replace(WINDOW, by_hand=True),)))
    sessions.save_findings(store, number, replace(FOUND, windows=(replace(WINDOW, start_s=20.0),)))
    found = sessions.findings(store, number)
    assert [(one.start_s, one.by_hand) for one in found.windows] == [(10.0, True), (20.0, False)]
    assert len(found.events) == 1


def test_the_same_file_is_stored_once_and_found_by_its_hash(store: Store) -> None:
    first = saved(store)
    second = sessions.save(store, SessionDraft(None, "Again", "R-134a", "log.csv"), RECORDING, b"time,P1\n")
    found = sessions.find_by_hash(store, hashlib.sha256(b"time,P1\n").hexdigest())
    assert found is not None
    assert found.id == second
    assert sessions.source(store, first) == sessions.source(store, second)
    assert sessions.find_by_hash(store, "0" * 64) is None


def test_sessions_are_listed_by_vehicle_the_latest_first(store: Store) -> None:
    first = saved(store)
    vehicle_id = sessions.info(store, first).vehicle_id
    second = sessions.save(store, SessionDraft(vehicle_id, "B", "R-134a", "b.csv"), RECORDING, b"b")
    other = sessions.save(store, SessionDraft(None, "C", "R-134a", "c.csv"), RECORDING, b"c")
    assert [one.id for one in sessions.list_sessions(store, vehicle_id)] == [second, first]
    assert [one.id for one in sessions.list_sessions(store)] == [other, second, first]


def test_conditions_corrected_on_an_outdated_version_are_a_conflict(store: Store) -> None:
    number = saved(store)
    version = sessions.info(store, number).version
    warmer = replace(CONDITIONS, ambient_k=306.0)
    sessions.update_conditions(store, number, version, warmer, Instruments())
    with pytest.raises(Conflict, match="Theirs were kept"):
        sessions.update_conditions(store, number, version, CONDITIONS, Instruments())
    assert sessions.info(store, number).conditions == warmer


def test_a_correction_is_recorded_with_what_stood_before(store: Store) -> None:
    number = saved(store)
    warmer = replace(CONDITIONS, ambient_k=306.0)
    sessions.update_conditions(store, number, 1, warmer, Instruments())
    with store.reading() as session:
        trace = session.scalars(select(Audit).where(Audit.action == "changed")).one()
    assert (trace.before["ambient_k"], trace.after["ambient_k"]) == (304.65, 306.0)
    assert "blower" not in trace.after


def test_a_mapping_is_remembered_until_another_is_confirmed(store: Store) -> None:
    assert sessions.remembered_mapping(store, "abc") is None
    sessions.remember_mapping(store, "abc", {"P1": {"role": "low side", "unit": "psi", "gauge": True}})
    sessions.remember_mapping(store, "abc", {"P1": {"role": "high side", "unit": "psi", "gauge": True}})
    found = sessions.remembered_mapping(store, "abc")
    assert found is not None
    assert found["P1"]["role"] == "high side"


def test_a_session_that_is_not_there_is_not_found(store: Store) -> None:
    with pytest.raises(NotFound, match="no session number 7"):
        sessions.info(store, 7)
    with pytest.raises(NotFound):
        sessions.save_findings(store, 7, FOUND)


def reading(vehicle_id: int, unit_id: int | None = None, **changes: object) -> ReadingDraft:
    draft = ReadingDraft(
        vehicle_id, unit_id, None, datetime(2024, 7, 1, tzinfo=UTC), CONDITIONS, 750.0, 1,
        {Quantity.SUBCOOLING: Estimate(10.0, 0.6)},
    )  # fmt: skip
    return replace(draft, **changes)  # type: ignore[arg-type]


def test_a_reading_comes_back_with_its_car_and_its_decision(store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    unit = vehicles.add_unit(store, number, fleet_number="van 7")
    known = reading(number, unit, standing=Standing.KNOWN_GOOD, decided_why="weighed in")
    readings.add(store, known)
    (found,) = readings.readings(store, number, Standing.KNOWN_GOOD)
    assert (found.unit_name, found.decided_by, found.decided_why) == ("van 7", "Ada Fell", "weighed in")
    assert found.conditions == CONDITIONS
    assert found.values == known.values
    assert readings.readings(store, number, Standing.CANDIDATE) == ()


def test_the_readings_of_a_family_are_those_of_all_its_members(store: Store) -> None:
    first, second, stranger = (
        vehicles.add_vehicle(store, replace(SKERRY, model=name, family=family))
        for name, family in (("Skerry", "small"), ("Fell", "small"), ("Tor", "large"))
    )
    readings.add_many(store, [reading(one) for one in (first, second, stranger)])
    family = vehicles.vehicle(store, first).family_id
    assert family is not None
    assert {one.vehicle_id for one in readings.family_readings(store, family)} == {first, second}


def test_a_standing_changes_with_a_reason_under_a_name_and_only_once(store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    one = readings.add(store, reading(number))
    with pytest.raises(ReasonMissing):
        readings.decide(store, one, 1, Standing.KNOWN_GOOD, " ")
    readings.decide(store, one, 1, Standing.KNOWN_GOOD, "weighed in, no complaint")
    with pytest.raises(Conflict):
        readings.decide(store, one, 1, Standing.RETIRED, "second thoughts")
    (found,) = readings.readings(store, number)
    assert (found.standing, found.version) == (Standing.KNOWN_GOOD, 2)


def test_nobody_decides_without_a_name(address: str) -> None:
    nameless = Store.open(address)
    number = vehicles.add_vehicle(nameless, SKERRY)
    with pytest.raises(ReasonMissing, match="under a name"):
        readings.add(nameless, reading(number, standing=Standing.KNOWN_GOOD, decided_why="looks right"))
    nameless.close()


def test_a_value_that_is_no_number_is_refused_before_it_is_stored(store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    bad = reading(number, values={Quantity.VENT: Estimate(float("nan"), 1.0)})
    with pytest.raises(Exception, match="not a finite number"):
        readings.add(store, bad)
    assert readings.readings(store, number) == ()


def test_numbers_of_numpy_are_stored_as_numbers(store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    readings.add(store, reading(number, fan_stage=np.int64(2), engine_rpm=np.float64(2000.0)))
    (found,) = readings.readings(store, number)
    assert (found.fan_stage, found.engine_rpm) == (2, 2000.0)


def test_readings_and_sessions_of_a_vehicle_are_counted(store: Store) -> None:
    number = vehicles.add_vehicle(store, SKERRY)
    cars = [vehicles.add_unit(store, number, fleet_number=name) for name in ("van 1", "van 2")]
    known = {"standing": Standing.KNOWN_GOOD, "decided_why": "weighed in"}
    readings.add_many(store, [reading(number, car, **known) for car in (cars[0], cars[0], cars[1])])
    readings.add(store, reading(number, cars[0]))
    assert readings.count(store, number, Standing.KNOWN_GOOD) == (3, 2)
    assert sessions.count(store, number) == 0
    sessions.save(store, SessionDraft(number, "A", "R-134a", "a.csv"), RECORDING, b"a")
    assert sessions.count(store, number) == 1
