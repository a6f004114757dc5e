"""Windows set by hand get their values, parts are cut out, and the program's own word stays as it is."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.drafts import SpecDraft
from knowngood_refdata.queries import session_cuts, session_marks, session_windows, sessions, vehicles
from knowngood_refdata.queries.session_marks import NoteDraft
from knowngood_refdata.queries.session_windows import WindowDraft
from knowngood_refdata.records import (
    CompressorKind,
    Conditions,
    Event,
    EventKind,
    Quantity,
    SourceKind,
)
from knowngood_sessions.gather import load, with_findings_of
from knowngood_sessions.opening import change_words, last_change, open_session
from knowngood_sessions.reworking import compressor_of, cut, halves, mean_rpm, rework, stage_at

if TYPE_CHECKING:
    from knowngood_refdata.store import Store
    from knowngood_sessions.gather import Session

PSI_PA = 6_894.757


def test_a_window_set_by_hand_is_given_the_values_of_its_samples_and_the_programs_stay(
    store: Store, session: Session
) -> None:
    number, own = session.info.id, session.findings.windows
    window = session_windows.add(store, number, WindowDraft(100.0, 160.0, "mine"))
    rework(store, number)
    found = sessions.findings(store, number).windows
    (hand,) = (one for one in found if one.by_hand)
    low = next(one for one in session.traces if one.key == "low side").values[100:161]
    assert hand.values[Quantity.LOW_SIDE].value == pytest.approx(float(low.mean()), abs=0.05 * PSI_PA)
    assert hand.values[Quantity.LOW_SIDE].standard_uncertainty > 0.0
    assert (hand.id, hand.label, hand.fan_stage) == (window, "mine", 1)
    assert [(one.start_s, one.end_s, one.label) for one in found if not one.by_hand] == [
        (one.start_s, one.end_s, one.label) for one in own
    ]


def test_a_window_that_was_moved_in_the_library_is_worked_out_when_the_session_is_opened(
    store: Store, session: Session
) -> None:
    session_windows.add(store, session.info.id, WindowDraft(100.0, 160.0, "mine"))
    assert load(store, session.info.id).lacks_values
    opened = open_session(store, session.info.id)
    assert not opened.session.lacks_values
    assert change_words(opened.undo) == "window set by hand added (mine)"


def test_what_was_undone_is_not_offered_to_be_undone_again(store: Store, session: Session) -> None:
    from knowngood_refdata.queries.undo import undo
    from knowngood_sessions.opening import UNDO_WHY

    number = session.info.id
    assert last_change(store, number) is None
    session_marks.add(store, number, NoteDraft(EventKind.NOTE, 5.0, "first"))
    session_marks.add(store, number, NoteDraft(EventKind.NOTE, 6.0, "second"))
    for left in (("first", "second"), ("first",)):
        notes = [one.said.text for one in session_marks.notes(store, number)]
        assert notes == list(left)
        change = last_change(store, number)
        assert change is not None
        assert change.subject == left[-1]
        undo(store, change.id, UNDO_WHY)
    assert last_change(store, number) is None


def test_notes_and_windows_are_read_again_without_the_samples(store: Store, session: Session) -> None:
    note = session_marks.add(store, session.info.id, NoteDraft(EventKind.DOORS, 50.0, "open"))
    again = with_findings_of(store, session)
    assert again.recording is session.recording
    assert again.samples is session.samples
    (noted,) = (one for one in again.findings.events if one.by_hand)
    assert (noted.id, again.version_of(noted)) == (note, 1)


def test_the_mean_engine_speed_of_a_stretch_names_a_window(session: Session) -> None:
    assert mean_rpm(session.derived, 100.0, 160.0) == pytest.approx(750.0, abs=10.0)
    assert mean_rpm(session.derived, 1e6, 2e6) is None


def test_the_fan_stage_at_a_moment_is_counted_on_from_the_start() -> None:
    up, down = (
        Event(EventKind.FAN_STAGE_UP, 60.0, "fan"),
        Event(EventKind.FAN_STAGE_DOWN, 90.0, "fan"),
    )
    stages = [stage_at(Conditions(fan_stage=1), [down, up], at_s) for at_s in (59.0, 60.0, 100.0)]
    assert stages == [1, 2, 1]
    assert stage_at(Conditions(), [up], 70.0) is None


def test_a_part_is_analysed_on_its_own_and_keeps_notes_and_windows_that_lie_in_it(
    store: Store, session: Session
) -> None:
    number = session.info.id
    session_marks.add(store, number, NoteDraft(EventKind.NOTE, 300.0, "fan forced"))
    session_marks.add(store, number, NoteDraft(EventKind.NOTE, 10.0, "too early"))
    session_windows.add(store, number, WindowDraft(400.0, 480.0, "mine"))
    rework(store, number)
    whole = with_findings_of(store, session)
    (made,) = cut(store, whole, [(260.0, 510.0, "forced fan")])
    part = load(store, made)
    assert (part.info.title, part.info.parent_id) == ("forced fan", number)
    assert part.info.conditions.run_time_s == 600.0 + 260.0
    assert [(one.at_s, one.text) for one in part.findings.events if one.by_hand] == [(40.0, "fan forced")]
    (hand,) = (one for one in part.findings.windows if one.by_hand)
    assert (hand.start_s, hand.end_s) == (140.0, 220.0)
    assert hand.values
    np.testing.assert_array_equal(
        part.recording.channels[0].values, session.recording.channels[0].values[260:511]
    )
    again = with_findings_of(store, session)
    assert again.info == whole.info
    assert again.findings == whole.findings


def test_a_part_that_begins_with_the_fan_at_another_stage_says_so(store: Store, session: Session) -> None:
    (made,) = cut(store, session, [(300.0, 500.0, "forced fan")])
    ups = [one for one in session.findings.events if one.kind is EventKind.FAN_STAGE_UP and one.at_s < 300.0]
    assert ups
    assert sessions.info(store, made).conditions.fan_stage == 2


def test_a_split_loses_no_sample_and_doubles_none(store: Store, session: Session) -> None:
    first, second = halves(session, 300.4)
    assert (first[1], second[0]) == (300.0, 301.0)
    parts = cut(store, session, [first, second])
    sizes = [sessions.info(store, one).sample_count for one in parts]
    assert sizes == [301, session.recording.time_s.size - 301]
    assert [one.id for one in session_cuts.cuts_of(store, session.info.id)] == list(parts)


def test_the_kind_of_compressor_is_taken_from_the_record_of_the_vehicle(
    store: Store, session: Session
) -> None:
    vehicle_id = session.info.vehicle_id
    assert vehicle_id is not None
    assert compressor_of(store, None) is None
    assert compressor_of(store, vehicle_id) is None
    kind = CompressorKind.FIXED
    vehicles.add_spec(
        store, vehicle_id, SpecDraft("compressor", None, kind.value, SourceKind.UNDER_HOOD_LABEL, "label")
    )
    assert compressor_of(store, vehicle_id) is kind


def test_a_session_without_samples_can_be_shown(session: Session) -> None:
    empty = replace(session, recording=replace(session.recording, time_s=np.empty(0)))
    assert empty.samples.nearest(3.0) is None
