"""What one of the two databases would change or refuse is refused on both, in words; the rest is kept."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest
from sqlalchemy import select, text

from knowngood_refdata.drafts import SessionDraft, SpecDraft, VehicleDraft
from knowngood_refdata.errors import NotFound, StoreError, UnfitValue
from knowngood_refdata.models import Audit, SessionRow
from knowngood_refdata.queries import sessions, vehicles
from knowngood_refdata.records import (
    Channel,
    Instruments,
    Recording,
    Role,
    SourceKind,
    Thermometer,
)
from knowngood_refdata.store import Conflict, LibraryDamaged, Store

SKERRY = VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, 2023)
DRAFT = SessionDraft(None, "Session", "R-134a", "log.csv")
SAMPLES = np.array([30.0, 31.0, 32.0])
RECORDING = Recording(np.arange(3.0), (Channel("P1", Role.LOW_SIDE, "psi", True, SAMPLES),))


@pytest.mark.parametrize(
    "draft",
    [
        replace(DRAFT, title="a\0b"),
        replace(DRAFT, note="half \ud83d"),
        replace(DRAFT, started_at=datetime(2024, 7, 1)),  # noqa: DTZ001 - a time without zone is the point
        replace(DRAFT, instruments=Instruments(line=Thermometer(float("nan"), "probe"))),
        replace(DRAFT, instruments=Instruments(line=Thermometer(1.0, "a\0b"))),
        replace(DRAFT, conditions=replace(DRAFT.conditions, ambient_k=float("inf"))),
        replace(DRAFT, conditions=replace(DRAFT.conditions, fan_stage=2**40)),
    ],
    ids=["NUL", "half character", "no zone", "NaN in JSON", "NUL in JSON", "infinite", "too large"],
)
def test_a_session_with_an_unfit_value_is_refused_in_words_and_nothing_is_stored(
    store: Store, draft: SessionDraft
) -> None:
    with pytest.raises(UnfitValue, match="Nothing was stored") as caught:
        sessions.save(store, draft, RECORDING, b"log")
    assert "INSERT" not in str(caught.value)
    assert sessions.list_sessions(store) == ()
    assert sessions.save(store, DRAFT, RECORDING, b"log") > 0


def test_text_of_any_length_and_alphabet_is_kept(store: Store) -> None:
    long = "Åß😀 'quoted'; -- \\ % _ " * 5000
    number = vehicles.add_vehicle(store, replace(SKERRY, notes=long))
    assert vehicles.vehicle(store, number).notes == long


def test_a_file_name_that_is_no_text_does_not_stop_the_import(store: Store) -> None:
    # Linux hands over the byte 0xff of a file name as this half character.
    number = sessions.save(store, replace(DRAFT, source_name="log\udcff.csv"), RECORDING, b"log")
    assert sessions.info(store, number).source_name == "log\\udcff.csv"


def test_a_channel_without_a_sample_at_each_time_is_refused(store: Store) -> None:
    short = replace(RECORDING.channels[0], values=np.array([1.0]))
    with pytest.raises(UnfitValue, match="'P1' has 1 samples at 3 times"):
        sessions.save(store, DRAFT, replace(RECORDING, channels=(short,)), b"log")
    assert sessions.list_sessions(store) == ()


def test_a_session_of_a_vehicle_that_is_not_there_is_refused_in_words(store: Store) -> None:
    with pytest.raises(NotFound, match="Nothing was stored"):
        sessions.save(store, replace(DRAFT, vehicle_id=77), RECORDING, b"log")
    assert sessions.find_by_hash(store, "0" * 64) is None
    assert sessions.list_sessions(store) == ()


def test_a_session_without_samples_and_with_an_empty_file_comes_back_empty(store: Store) -> None:
    number = sessions.save(store, DRAFT, Recording(np.empty(0), ()), b"")
    assert sessions.source(store, number) == b""
    assert sessions.recording(store, number).time_s.shape == (0,)


@pytest.mark.parametrize("table", ["channel_chunk", "source_file"])
def test_samples_and_files_that_rotted_are_not_shown_as_if_they_were_whole(store: Store, table: str) -> None:
    number = sessions.save(store, DRAFT, RECORDING, b"time,P1\n0,30\n1,31\n2,32\n")
    with store.engine.begin() as connection:
        content = connection.execute(text(f"SELECT content FROM {table}")).scalars().first()
        assert content is not None
        rotten = bytearray(content)
        rotten[len(rotten) // 2] ^= 1
        connection.execute(text(f"UPDATE {table} SET content = :content"), {"content": bytes(rotten)})
    with pytest.raises(LibraryDamaged, match=f"of session {number}"):
        (sessions.recording if table == "channel_chunk" else sessions.source)(store, number)


def test_a_removed_session_is_only_marked_and_tells_who_removed_it_and_why(store: Store) -> None:
    number = sessions.save(store, DRAFT, RECORDING, b"log")
    with pytest.raises(Conflict, match="It was kept"):
        sessions.remove(store, number, 7, "wrong car")
    sessions.remove(store, number, 1, "wrong car")
    assert sessions.list_sessions(store) == ()
    with pytest.raises(NotFound):
        sessions.info(store, number)
    with store.reading() as session:
        assert session.get_one(SessionRow, number).title == "Session"
        trace = session.scalars(select(Audit).where(Audit.action == "deleted")).one()
    assert (trace.table_name, trace.row_id, trace.who, trace.why) == (
        "session",
        number,
        "Ada Fell",
        "wrong car",
    )


@pytest.mark.parametrize("years", [(1821, None), (2021, 99_999_999), (2021, 2019)])
def test_years_that_no_vehicle_was_built_in_are_refused(store: Store, years: tuple[int, int | None]) -> None:
    with pytest.raises(ValueError, match="make no range"):
        vehicles.add_vehicle(store, replace(SKERRY, year_from=years[0], year_to=years[1]))


@pytest.mark.parametrize(("words", "found"), [("2034", 1), ("34", 1), ("2020", 0), ("98", 0)])
def test_a_vehicle_still_built_is_found_by_any_year_since_its_first(
    store: Store, words: str, found: int
) -> None:
    vehicles.add_vehicle(store, replace(SKERRY, year_to=None))
    assert len(vehicles.search(store, words)) == found


@pytest.mark.parametrize("words", ["A\u030arvik", "ÅRVIK STRASSE", "\0årvik"])
def test_search_knows_neither_case_nor_how_an_accent_was_typed(store: Store, words: str) -> None:
    vehicles.add_vehicle(store, replace(SKERRY, make="Årvik", model="Straße"))
    assert len(vehicles.search(store, words)) == 1


def test_a_whole_page_pasted_into_the_search_finds_nothing(store: Store) -> None:
    vehicles.add_vehicle(store, SKERRY)
    assert vehicles.search(store, "skerry " * 5000) == ()
    assert vehicles.search(store, "s" * 100_000) == ()


def test_a_spec_value_of_a_vehicle_that_is_not_there_is_refused(store: Store) -> None:
    charge = SpecDraft("charge", 0.47, "470 g", SourceKind.MEASURED, "weighed")
    with pytest.raises(StoreError, match="no vehicle number 9"):
        vehicles.add_spec(store, 9, charge)
