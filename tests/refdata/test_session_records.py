"""What the library keeps of a session: every finding, notes, windows set by hand, cuts of a session."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest
from sqlalchemy import func, select

from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.errors import Conflict, NotFound, UnfitValue
from knowngood_refdata.models import ChannelRow, SourceFile
from knowngood_refdata.queries import session_cuts, session_marks, session_windows, sessions
from knowngood_refdata.queries.session_cuts import CutDraft
from knowngood_refdata.queries.session_history import session_history
from knowngood_refdata.queries.session_marks import NoteDraft
from knowngood_refdata.queries.session_windows import WindowDraft
from knowngood_refdata.queries.undo import undo
from knowngood_refdata.records import (
    Behaviour,
    Channel,
    Conditions,
    Estimate,
    Event,
    EventKind,
    Evidence,
    FanThreshold,
    Findings,
    Quantity,
    Recording,
    Recovery,
    Response,
    Role,
    SteadyWindow,
    Stroke,
    StrokeFinding,
    Unsettled,
    Verdict,
)

if TYPE_CHECKING:
    from knowngood_refdata.store import Store

TIME_S = np.round(np.arange(0.0, 100.0, 0.1) + 0.05, 3)
PRESSURE = np.round(np.sin(TIME_S) * 10 + 30, 2)
RECORDING = Recording(TIME_S, (Channel("P1", Role.LOW_SIDE, "psi", True, PRESSURE),))
WINDOW = SteadyWindow(
    10.0, 40.0, 751.5, 1, "idle",
    {Quantity.LOW_SIDE: Estimate(3e5, 9e2), Quantity.VENT: Estimate(281.0, 0.4)},
    behaviour={
        Quantity.LOW_SIDE: Behaviour(4e3, Estimate(-12.5, 3.0), 18.0, amplitude=6e3, period_s=14.0),
        Quantity.VENT: Behaviour(0.2, Estimate(0.0, 0.01), 30.0),
    },
)  # fmt: skip
MINE = replace(WINDOW, start_s=20.0, end_s=30.0, label="mine", by_hand=True)
NOTED = Event(EventKind.BLOWER, 50.0, "full speed", until_s=60.0, by_hand=True)
FOUND = Findings(
    windows=(WINDOW,),
    events=(
        Event(
            EventKind.CLUTCH_CYCLING, 55.0, "4 cycles", until_s=80.0,
            evidence=Evidence(50.0, 85.0, (Role.LOW_SIDE, Role.HIGH_SIDE)), within_s=0.62,
        ),
        Event(EventKind.ENGINE_SPEED_STEP, 60.0, "from 750 to 2000 rpm", within_s=0.9),
        Event(EventKind.FAN_STAGE_UP, 61.0, "fan switched to stage 2"),
    ),
    responses=(
        Response(
            750.0, 2000.0, Estimate(1e4, 3e3), Estimate(-2e5, 1e4), Verdict.RISES, Verdict.FALLS,
            same_fan_stage=True, low_per_octave=Estimate(0.02, 0.01), from_at_s=10.0, to_at_s=45.0,
        ),
    ),
    unsettled=(Unsettled(40.0, 100.0, ("high side still falls 9 psi/min",)),),
    fan=(
        FanThreshold(2, Estimate(1.6e6, 2e4), None, 1, 0, Evidence(40.0, 90.0, (Role.HIGH_SIDE,))),
        FanThreshold(3, None, Estimate(1.8e6, 2e4), 0, 1),
    ),
    recoveries=(Recovery(EventKind.DOORS, 50.0, 42.0, Role.HIGH_SIDE),),
    stroke=StrokeFinding(Stroke.REGULATING, ("the low side stays at 2.1 bar",)),
)  # fmt: skip
DRAFT = SessionDraft(
    None, "Season check", "R-134a", "log.csv", findings=FOUND,
    started_at=datetime(2026, 7, 1, 9, 0, tzinfo=UTC), conditions=Conditions(fan_stage=1),
)  # fmt: skip


def saved(store: Store, draft: SessionDraft = DRAFT) -> int:
    return sessions.save(store, draft, RECORDING, b"log")


def without_ids(found: Findings) -> Findings:
    return replace(
        found,
        windows=tuple(replace(one, id=None) for one in found.windows),
        events=tuple(replace(one, id=None) for one in found.events),
        responses=tuple(replace(one, id=None) for one in found.responses),
    )


def cut_of(store: Store, number: int, from_s: float, until_s: float, title: str = "part") -> int:
    (made,) = session_cuts.cut(
        store, number, [CutDraft(from_s, until_s, title, Conditions(fan_stage=2), FOUND)]
    )
    return made


def test_everything_that_was_found_comes_back(store: Store) -> None:
    assert without_ids(sessions.findings(store, saved(store))) == FOUND


def test_a_session_in_which_nothing_was_found_says_so(store: Store) -> None:
    assert sessions.findings(store, saved(store, replace(DRAFT, findings=None))) == Findings()


def test_a_new_analysis_leaves_nothing_of_the_old_one(store: Store) -> None:
    number = saved(store)
    sessions.save_findings(store, number, Findings())
    assert sessions.findings(store, number) == Findings()


def test_a_new_analysis_never_removes_what_a_person_noted(store: Store) -> None:
    number = saved(store)
    note = session_marks.add(store, number, NoteDraft(EventKind.DOORS, 12.0, "opened"))
    sessions.save_findings(store, number, replace(FOUND, events=(NOTED,)))
    (event,) = sessions.findings(store, number).events
    assert event == Event(EventKind.DOORS, 12.0, "opened", note, by_hand=True)


def test_notes_that_come_with_a_session_are_kept_as_notes(store: Store) -> None:
    number = saved(store, replace(DRAFT, findings=replace(FOUND, events=(NOTED,), windows=(MINE,))))
    (note,) = session_marks.notes(store, number)
    assert (note.said, note.who) == (NoteDraft(EventKind.BLOWER, 50.0, "full speed", 60.0), "Ada Fell")
    (window,) = session_windows.windows(store, number)
    assert window.said == WindowDraft(20.0, 30.0, "mine")


def test_a_note_is_corrected_removed_and_brought_back(store: Store) -> None:
    number = saved(store)
    note = session_marks.add(store, number, NoteDraft(EventKind.NOTE, 12.0, " a smell "))
    session_marks.change(store, note, 1, NoteDraft(EventKind.NOTE, 13.0, "oil smell", until_s=20.0))
    session_marks.remove(store, note, 2)
    assert session_marks.notes(store, number) == ()
    latest, corrected, added, *_ = session_history(store, number)
    assert [one.action for one in (latest, corrected, added)] == ["deleted", "changed", "added"]
    assert {(one.who, one.kind, one.subject) for one in (latest, corrected, added)} == {
        ("Ada Fell", "note", "oil smell")
    }
    undo(store, latest.id, "it was right")
    (back,) = session_marks.notes(store, number)
    assert (back.said.text, back.said.at_s, back.said.until_s) == ("oil smell", 13.0, 20.0)


@pytest.mark.parametrize(
    ("draft", "words"),
    [
        (NoteDraft(EventKind.NOTE, 12.0, "  "), "needs words"),
        (NoteDraft(EventKind.FAN_STAGE_UP, 12.0, "fan"), "not noted by hand"),
        (NoteDraft(EventKind.NOTE, -1.0, "before"), "lies within it"),
        (NoteDraft(EventKind.NOTE, 200.0, "after"), "lies within it"),
        (NoteDraft(EventKind.NOTE, 50.0, "backwards", 40.0), "lies within it"),
        (NoteDraft(EventKind.NOTE, float("nan"), "when?"), "lies within it"),
    ],
)
def test_a_note_that_says_nothing_or_lies_outside_the_session_is_refused(
    store: Store, draft: NoteDraft, words: str
) -> None:
    number = saved(store)
    with pytest.raises(UnfitValue, match=words):
        session_marks.add(store, number, draft)
    assert session_marks.notes(store, number) == ()


def test_a_note_that_someone_else_changed_is_not_overwritten(store: Store) -> None:
    number = saved(store)
    note = session_marks.add(store, number, NoteDraft(EventKind.NOTE, 12.0, "first"))
    session_marks.change(store, note, 1, NoteDraft(EventKind.NOTE, 12.0, "theirs"))
    with pytest.raises(Conflict):
        session_marks.change(store, note, 1, NoteDraft(EventKind.NOTE, 12.0, "mine"))
    with pytest.raises(Conflict):
        session_marks.remove(store, note, 1)
    with pytest.raises(NotFound):
        session_marks.remove(store, 99, 1)
    assert session_marks.notes(store, number)[0].said.text == "theirs"


def test_a_window_set_by_hand_stands_beside_those_of_the_program(store: Store) -> None:
    number = saved(store)
    window = session_windows.add(store, number, WindowDraft(20.0, 30.0, "mine"))
    own, hand = sessions.findings(store, number).windows
    assert (own.by_hand, hand.by_hand, hand.id, dict(hand.values)) == (False, True, window, {})
    sessions.save_findings(store, number, replace(FOUND, windows=(WINDOW, replace(MINE, id=window))))
    found = sessions.findings(store, number)
    assert without_ids(found).windows == (WINDOW, MINE)


def test_a_window_that_was_moved_loses_its_values_until_they_are_worked_out_anew(store: Store) -> None:
    number = saved(store, replace(DRAFT, findings=Findings(windows=(MINE,))))
    (window,) = session_windows.windows(store, number)
    session_windows.move(store, window.id, window.version, WindowDraft(20.0, 35.0, "longer"))
    (moved,) = sessions.findings(store, number).windows
    assert (moved.end_s, moved.label, moved.by_hand, dict(moved.values)) == (35.0, "longer", True, {})


def test_an_analysis_of_a_window_that_was_moved_meanwhile_does_not_put_it_back(store: Store) -> None:
    number = saved(store)
    window = session_windows.add(store, number, WindowDraft(20.0, 30.0, "mine"))
    (seen,) = (one for one in sessions.findings(store, number).windows if one.by_hand)
    session_windows.move(store, window, 1, WindowDraft(21.0, 30.0, "mine"))
    sessions.save_findings(store, number, Findings(windows=(replace(MINE, id=seen.id),)))
    (still,) = sessions.findings(store, number).windows
    assert (still.start_s, dict(still.values)) == (21.0, {})


def test_a_window_set_by_hand_stays_through_a_new_analysis_and_its_removal_can_be_undone(
    store: Store,
) -> None:
    number = saved(store)
    sessions.save_findings(store, number, Findings(windows=(MINE,)))
    sessions.save_findings(store, number, FOUND)
    (window,) = session_windows.windows(store, number)
    assert window.said == WindowDraft(20.0, 30.0, "mine")
    session_windows.remove(store, window.id, window.version)
    assert [one.by_hand for one in sessions.findings(store, number).windows] == [False]
    removed = session_history(store, number)[0]
    assert (removed.kind, removed.action, removed.why) == (
        "window set by hand", "deleted", "window set by hand removed",
    )  # fmt: skip
    undo(store, removed.id, "it was right")
    assert len(session_windows.windows(store, number)) == 1


@pytest.mark.parametrize(
    "draft",
    [WindowDraft(30.0, 30.0, "x"), WindowDraft(-1.0, 3.0, "x"), WindowDraft(1.0, 300.0, "x"),
     WindowDraft(1.0, 3.0, " "), WindowDraft(float("nan"), 3.0, "x")],
)  # fmt: skip
def test_a_window_without_name_or_length_or_outside_the_session_is_refused(
    store: Store, draft: WindowDraft
) -> None:
    number = saved(store)
    with pytest.raises(UnfitValue):
        session_windows.add(store, number, draft)


def test_a_cut_shows_the_samples_of_the_original_and_copies_none(store: Store) -> None:
    number = saved(store)
    cut = cut_of(store, number, 30.0, 60.0)
    recorded = sessions.recording(store, cut)
    inside = (TIME_S >= 30.0) & (TIME_S <= 60.0)
    np.testing.assert_allclose(recorded.time_s, TIME_S[inside] - TIME_S[inside][0], atol=1e-12)
    np.testing.assert_array_equal(recorded.channels[0].values, PRESSURE[inside])
    info, whole = sessions.info(store, cut), sessions.info(store, number)
    assert (info.parent_id, info.sample_count) == (number, int(inside.sum()))
    assert (info.source_sha256, info.source_name) == (whole.source_sha256, whole.source_name)
    assert info.conditions.fan_stage == 2
    assert info.started_at == datetime(2026, 7, 1, 9, 0, 30, 50_000, tzinfo=UTC)
    assert sessions.source(store, cut) == b"log"
    with store.reading() as session:
        counted = session.scalar(select(func.count()).select_from(ChannelRow))
        files = session.scalar(select(func.count()).select_from(SourceFile))
    assert (counted, files) == (2, 1)


def test_the_original_is_as_it_was_after_a_cut(store: Store) -> None:
    number = saved(store)
    before = sessions.info(store, number), sessions.findings(store, number)
    cut_of(store, number, 30.0, 60.0)
    assert (sessions.info(store, number), sessions.findings(store, number)) == before
    np.testing.assert_array_equal(sessions.recording(store, number).time_s, TIME_S)


def test_a_cut_of_a_cut_is_one_of_the_same_original(store: Store) -> None:
    number = saved(store)
    first = cut_of(store, number, 30.0, 60.0)
    second = cut_of(store, first, 10.0, 20.0, "deeper")
    recorded, outer = sessions.recording(store, second), sessions.recording(store, first)
    inside = (outer.time_s >= 10.0) & (outer.time_s <= 20.0)
    np.testing.assert_array_equal(recorded.channels[0].values, outer.channels[0].values[inside])
    assert sessions.info(store, second).parent_id == number
    assert [one.id for one in session_cuts.cuts_of(store, number)] == [first, second]


def test_a_session_is_split_in_one_go_or_not_at_all(store: Store) -> None:
    number = saved(store)
    drafts = [
        CutDraft(0.0, 49.99, "first half", Conditions(), Findings()),
        CutDraft(50.0, 100.0, "second half", Conditions(), Findings()),
    ]
    parts = session_cuts.cut(store, number, drafts, "split")
    values = [sessions.recording(store, one).channels[0].values for one in parts]
    np.testing.assert_array_equal(np.concatenate(values), PRESSURE)
    with pytest.raises(UnfitValue, match="fewer than 2 samples"):
        session_cuts.cut(store, number, [drafts[0], replace(drafts[1], from_s=99.99)])
    with pytest.raises(UnfitValue, match="needs a title"):
        session_cuts.cut(store, number, [replace(drafts[0], title=" ")])
    assert len(session_cuts.cuts_of(store, number)) == 2


def test_a_cut_outlives_the_removal_of_its_original(store: Store) -> None:
    number = saved(store)
    cut = cut_of(store, number, 30.0, 60.0)
    sessions.remove(store, number, 1, "only a part of it counts")
    assert sessions.recording(store, cut).time_s.size == 300
    assert [one.id for one in sessions.list_sessions(store)] == [cut]


def test_a_cut_does_not_stand_for_its_file(store: Store) -> None:
    number = saved(store)
    cut_of(store, number, 30.0, 60.0)
    found = sessions.find_by_hash(store, sessions.info(store, number).source_sha256)
    assert found is not None
    assert found.id == number
