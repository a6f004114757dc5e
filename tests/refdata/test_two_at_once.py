"""Two workstations, or a program that is killed, at one library; on both databases."""

from __future__ import annotations

import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime

import pytest
from sqlalchemy import func, select, text

from knowngood_refdata.drafts import ReadingDraft, VehicleDraft
from knowngood_refdata.models import ChannelChunk, ChannelRow, Configuration, Maker, SourceFile
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.records import Conditions, Standing
from knowngood_refdata.store import Conflict, LibraryLocked, Store

SKERRY = VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, 2023, family="Tarn small")


def test_workstations_that_add_vehicles_of_a_new_maker_at_once_make_one_maker(address: str) -> None:
    stations = [Store.open(address, user=f"station {number}") for number in range(4)]

    def add(store: Store) -> None:
        for number in range(5):
            vehicles.add_vehicle(store, replace(SKERRY, model=f"{store.user} {number}"))

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(add, stations))
    with stations[0].reading() as session:
        assert session.scalar(select(func.count()).select_from(Maker)) == 1
    assert vehicles.count(stations[0]) == 20
    for one in stations:
        one.close()


def test_of_two_who_decide_at_once_one_is_told_of_the_other(address: str) -> None:
    stations = [Store.open(address, user=f"station {number}") for number in range(2)]
    number = vehicles.add_vehicle(stations[0], SKERRY)
    draft = ReadingDraft(number, None, None, datetime(2024, 7, 1, tzinfo=UTC), Conditions(), 750.0, 1, {})
    reading = readings.add(stations[0], draft)

    def decide(store: Store) -> str:
        try:
            readings.decide(store, reading, 1, Standing.KNOWN_GOOD, "weighed in")
        except Conflict as error:
            return str(error)
        return ""

    with ThreadPoolExecutor(2) as pool:
        answers = sorted(pool.map(decide, stations))
    assert answers[0] == ""
    assert "Their decision was kept" in answers[1]
    for one in stations:
        one.close()


def test_a_row_changed_behind_the_back_of_a_change_is_a_conflict(store: Store) -> None:
    def overtaken() -> None:
        with store.writing("new name") as session:
            row = session.get_one(Configuration, number)
            session.execute(text("UPDATE configuration SET version = version + 1"))
            row.model = "Fell"

    number = vehicles.add_vehicle(store, SKERRY)
    with pytest.raises(Conflict, match="Their version was kept"):
        overtaken()
    assert vehicles.vehicle(store, number).model == "Skerry"


def test_two_makers_of_one_name_are_a_conflict_whatever_the_name_says(store: Store) -> None:
    def add() -> None:
        with store.writing() as session:
            session.add(Maker(name="Locked malformed readonly"))

    add()
    with pytest.raises(Conflict, match="entered the same"):
        add()


def test_whoever_reads_sees_one_state_throughout(address: str) -> None:
    reader, writer = Store.open(address), Store.open(address, user="Ada Fell")
    with reader.reading() as session:
        before = session.scalar(select(func.count()).select_from(Configuration))
        vehicles.add_vehicle(writer, SKERRY)
        after = session.scalar(select(func.count()).select_from(Configuration))
    assert (before, after, vehicles.count(reader)) == (0, 0, 1)
    reader.close()
    writer.close()


def test_whoever_waits_too_long_for_another_is_told_in_words(
    address: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("knowngood_refdata.engines.BUSY_S", 0.2)
    first, second = Store.open(address, user="Ada Fell"), Store.open(address, user="Bo Tarn")
    with first.writing("a long change") as session:
        session.execute(text("SELECT 1"))
        with pytest.raises(LibraryLocked, match="try again in a moment"):
            vehicles.add_vehicle(second, SKERRY)
    vehicles.add_vehicle(second, SKERRY)
    assert vehicles.count(first) == 1
    first.close()
    second.close()


STOPS_HALF_WAY = """
import sys, time
import numpy as np
from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Channel, Recording, Role
from knowngood_refdata.store import Store
store = Store.open(sys.argv[1], user="Ada Fell")
samples = np.random.default_rng(1).normal(30, 1, 200_000)
recording = Recording(np.arange(200_000.0), (Channel("P1", Role.LOW_SIDE, "psi", True, samples),))
print(sessions.save(store, SessionDraft(None, "whole", "R-134a", "a.csv"), recording, b"a"), flush=True)
write_channels = sessions.write_channels

def stop(*arguments):
    write_channels(*arguments)
    print("half", flush=True)
    time.sleep(60)

sessions.write_channels = stop
sessions.save(store, SessionDraft(None, "half", "R-134a", "b.csv"), recording, b"b")
"""


def test_a_program_killed_in_the_middle_of_a_save_leaves_all_that_was_whole_and_nothing_half(
    address: str,
) -> None:
    Store.open(address).close()
    child = subprocess.Popen(
        [sys.executable, "-c", STOPS_HALF_WAY, address], stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    whole = int(child.stdout.readline())
    assert child.stdout.readline() == "half\n"
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdout.close()
    store = Store.open(address, user="Ada Fell", create=False)
    assert [one.id for one in sessions.list_sessions(store)] == [whole]
    assert len(sessions.recording(store, whole).time_s) == 200_000
    with store.reading() as session:
        rows = [
            session.scalar(select(func.count()).select_from(table))
            for table in (SourceFile, ChannelRow, ChannelChunk)
        ]
        if store.engine.dialect.name == "sqlite":
            assert session.scalar(text("PRAGMA integrity_check")) == "ok"
    assert rows == [1, 2, 8]
    vehicles.add_vehicle(store, SKERRY)
    store.close()
