"""Removing a session: what goes with it, what stays, and how it comes back."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.drafts import ReadingDraft, SessionDraft, VehicleDraft
from knowngood_refdata.errors import Conflict, NotFound
from knowngood_refdata.queries import (
    readings,
    session_cuts,
    session_marks,
    session_removal,
    sessions,
    vehicles,
)
from knowngood_refdata.queries.history import deleted
from knowngood_refdata.queries.reasons import WhyMissing
from knowngood_refdata.queries.session_cuts import CutDraft
from knowngood_refdata.queries.session_history import session_history
from knowngood_refdata.queries.session_marks import NoteDraft
from knowngood_refdata.queries.undo import undo
from knowngood_refdata.records import (
    Channel,
    Conditions,
    Estimate,
    EventKind,
    Findings,
    Quantity,
    Recording,
    Role,
)

if TYPE_CHECKING:
    from knowngood_refdata.records import SessionInfo
    from knowngood_refdata.store import Store

TIME_S = np.arange(0.0, 100.0)
RECORDING = Recording(TIME_S, (Channel("P1", Role.LOW_SIDE, "psi", True, np.round(TIME_S / 10 + 30, 1)),))


@pytest.fixture
def vehicle_id(store: Store) -> int:
    return vehicles.add_vehicle(store, VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021))


@pytest.fixture
def whole(store: Store, vehicle_id: int) -> SessionInfo:
    draft = SessionDraft(vehicle_id, "idle, 2500, idle", "R-134a", "log.csv")
    return sessions.info(store, sessions.save(store, draft, RECORDING, b"log"))


@pytest.fixture
def parts(store: Store, whole: SessionInfo) -> tuple[SessionInfo, ...]:
    drafts = [CutDraft(at, at + 30.0, f"part at {at:.0f}", Conditions(), Findings()) for at in (0.0, 50.0)]
    return tuple(sessions.info(store, one) for one in session_cuts.cut(store, whole.id, drafts))


def shown(store: Store, vehicle_id: int) -> set[int]:
    return {one.id for one in sessions.list_sessions(store, vehicle_id)}


def reading(vehicle_id: int, session_id: int) -> ReadingDraft:
    values = {Quantity.LOW_SIDE: Estimate(3e5, 5e3)}
    return ReadingDraft(
        vehicle_id, None, session_id, datetime(2026, 5, 4, tzinfo=UTC), Conditions(), 750.0, 1, values
    )


def test_a_session_goes_with_its_parts_and_one_undo_brings_all_of_them_back(
    store: Store, vehicle_id: int, whole: SessionInfo, parts: tuple[SessionInfo, ...]
) -> None:
    session_removal.remove(store, [whole, *parts], "wrong car")
    assert shown(store, vehicle_id) == set()
    records = session_removal.removed(store, vehicle_id)
    assert {(one.id, one.subject, one.why) for one in records} == {
        (one.id, one.title, "wrong car") for one in (whole, *parts)
    }
    undo(store, records[1].change_id, "removed by mistake")
    assert shown(store, vehicle_id) == {one.id for one in (whole, *parts)}
    assert session_removal.removed(store, vehicle_id) == ()
    np.testing.assert_array_equal(sessions.recording(store, parts[1].id).time_s, np.arange(31.0))
    latest, removal, *_ = session_history(store, whole.id)
    assert [(one.action, one.why) for one in (latest, removal)] == [
        ("brought back", "removed by mistake"),
        ("deleted", "wrong car"),
    ]


def test_parts_that_are_not_chosen_outlive_the_session(
    store: Store, vehicle_id: int, whole: SessionInfo, parts: tuple[SessionInfo, ...]
) -> None:
    session_removal.remove(store, [whole, parts[0]], "only the end counts")
    assert shown(store, vehicle_id) == {parts[1].id}
    assert sessions.recording(store, parts[1].id).time_s.size == 31
    assert session_removal.what_belongs(store, parts[1].id).parts == ()


def test_what_belongs_to_a_session_is_counted_for_it_and_for_each_part(
    store: Store, vehicle_id: int, whole: SessionInfo, parts: tuple[SessionInfo, ...]
) -> None:
    note = session_marks.add(store, whole.id, NoteDraft(EventKind.DOORS, 5.0, "door open"))
    session_marks.add(store, whole.id, NoteDraft(EventKind.NOTE, 9.0, "fan heard"))
    session_marks.remove(store, note, 1)
    readings.add(store, reading(vehicle_id, parts[1].id))
    found = session_removal.what_belongs(store, whole.id)
    assert (found.whole.by_hand, found.whole.readings) == (1, 0)
    assert [(one.session.id, one.by_hand, one.readings) for one in found.parts] == [
        (parts[0].id, 0, 0),
        (parts[1].id, 0, 1),
    ]


def test_readings_of_the_book_stay_and_still_know_their_session_when_it_comes_back(
    store: Store, vehicle_id: int, whole: SessionInfo
) -> None:
    number = readings.add(store, reading(vehicle_id, whole.id))
    session_removal.remove(store, [whole], "log of another day")
    (kept,) = readings.readings(store, vehicle_id)
    assert (kept.id, kept.values[Quantity.LOW_SIDE].value) == (number, 3e5)
    (record,) = session_removal.removed(store, vehicle_id)
    undo(store, record.change_id, "it was that day")
    (kept,) = readings.readings(store, vehicle_id)
    assert kept.session_id == sessions.info(store, whole.id).id


def test_nothing_is_removed_when_one_of_them_was_changed_since(
    store: Store, vehicle_id: int, whole: SessionInfo, parts: tuple[SessionInfo, ...]
) -> None:
    with pytest.raises(Conflict, match=r"'part at 50' since it was shown\. Nothing was removed"):
        session_removal.remove(store, [whole, parts[0], replace(parts[1], version=7)], "wrong car")
    assert shown(store, vehicle_id) == {one.id for one in (whole, *parts)}


def test_a_session_is_removed_only_with_a_reason_and_only_once(
    store: Store, vehicle_id: int, whole: SessionInfo
) -> None:
    with pytest.raises(WhyMissing):
        session_removal.remove(store, [whole], "  ")
    session_removal.remove(store, [whole], "wrong car")
    with pytest.raises(NotFound):
        session_removal.remove(store, [whole], "wrong car")
    with pytest.raises(NotFound):
        session_removal.what_belongs(store, whole.id)


def test_removed_sessions_are_told_for_their_own_vehicle_alone(
    store: Store, vehicle_id: int, whole: SessionInfo
) -> None:
    other = vehicles.add_vehicle(store, VehicleDraft("Fen", "Reed", "electric", 2023))
    session_removal.remove(store, [whole], "wrong car")
    assert session_removal.removed(store, other) == ()
    (told,) = deleted(store)
    assert (told.kind, told.vehicle_id, told.subject) == ("session", vehicle_id, whole.title)
