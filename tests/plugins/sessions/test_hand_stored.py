"""What becomes of readings typed by hand once they are stored."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood.units import System
from knowngood_checkup.gather import check_session
from knowngood_refdata.errors import LibraryLocked
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import AirSource, Conditions, Instruments, Quantity, Role
from knowngood_sessions.library import revise

from .hand_sheet import IDLE, answer, filled, opened, stored

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.panels.hand_readings import HandReadings

    from .conftest import QuietHost


def report(quiet: QuietHost, info: SessionInfo, system: System) -> str:
    from knowngood_sessions.section import sections

    return " ".join(one.html for one in sections(quiet.store, info.id, system))


def test_two_points_in_one_go_make_one_session_with_windows_and_a_response(
    hand: HandReadings, quiet: QuietHost, qtbot: QtBot
) -> None:
    info = stored(hand, filled(hand), qtbot)
    assert quiet.bench.session == info
    assert info.title == "Readings by hand, idle and 2000 rpm"
    found = sessions.findings(quiet.store, info.id)
    assert [(one.label, one.by_hand, one.fan_stage) for one in found.windows] == [
        ("idle", True, 1),
        ("2000 rpm", True, 1),
    ]
    (response,) = found.responses
    assert response.same_fan_stage
    assert len(sessions.list_sessions(quiet.store)) == 1


def test_the_values_shown_are_the_values_stored(hand: HandReadings, quiet: QuietHost, qtbot: QtBot) -> None:
    dialog = filled(hand, IDLE)
    shown = answer(dialog, 1, "Superheat")
    info = stored(hand, dialog, qtbot)
    (window,) = sessions.findings(quiet.store, info.id).windows
    assert quiet.units.estimate_text(window.values[Quantity.SUPERHEAT], Quantity.SUPERHEAT) == shown


def test_who_when_note_conditions_and_instruments_are_stored_with_the_session(
    hand: HandReadings, quiet: QuietHost, qtbot: QtBot
) -> None:
    dialog = filled(hand, IDLE)
    dialog.restore(
        dialog.snapshot() | {"who": "I. Quill", "when": "2026-03-04 09:30", "note": "after <b>weighing</b>"}
    )
    dialog.conditions_form._edits["ambient_k"].setText("88 F")
    dialog.conditions_form._combos["air_source"].setCurrentIndex(1)
    info = stored(hand, dialog, qtbot)
    assert (info.technician, info.note) == ("I. Quill", "after <b>weighing</b>")
    assert info.started_at is not None
    assert f"{info.started_at.astimezone():%Y-%m-%d %H:%M}" == "2026-03-04 09:30"
    assert info.conditions.ambient_k == pytest.approx(304.26, abs=0.01)
    assert info.conditions.air_source is next(iter(AirSource))
    assert info.conditions.fan_stage == 1
    text = sessions.source(quiet.store, info.id).decode()
    assert "Ambient, at condenser: 88 F" in text
    assert "Note: after <b>weighing</b>" in text


def test_check_up_and_report_take_typed_readings_like_recorded_ones(
    hand: HandReadings, quiet: QuietHost, qtbot: QtBot
) -> None:
    info = stored(hand, filled(hand), qtbot)
    checked = check_session(quiet.store, info.id)
    assert [one.window.label for one in checked.checkup.windows] == ["idle", "2000 rpm"]
    html = report(quiet, info, System.US)
    assert "2000 rpm" in html
    assert "<svg" in html


def test_a_single_point_has_its_place_in_the_report(
    hand: HandReadings, quiet: QuietHost, qtbot: QtBot
) -> None:
    info = stored(hand, filled(hand, IDLE), qtbot)
    assert "idle" in report(quiet, info, System.SI)


def test_conditions_corrected_later_work_the_typed_points_out_anew(
    hand: HandReadings, quiet: QuietHost, qtbot: QtBot
) -> None:
    info = stored(hand, filled(hand), qtbot)
    before = sessions.findings(quiet.store, info.id)
    revise(quiet.store, info, Conditions(barometer_pa=84_000.0, fan_stage=1), Instruments())
    after = sessions.findings(quiet.store, info.id)
    low = Quantity.LOW_SIDE
    assert [one.label for one in after.windows] == [one.label for one in before.windows]
    assert after.windows[0].values[low].value == pytest.approx(
        before.windows[0].values[low].value - 101_325.0 + 84_000.0
    )
    assert len(after.responses) == 1


def test_the_same_sheet_is_not_stored_twice(hand: HandReadings, quiet: QuietHost, qtbot: QtBot) -> None:
    dialog = filled(hand)
    kept = dialog.snapshot()
    first = stored(hand, dialog, qtbot)
    dialog = opened(hand)
    dialog.restore(kept)
    with qtbot.waitSignal(hand.known, timeout=10_000) as told:
        dialog.accept()
    assert told.args == [first]
    assert len(sessions.list_sessions(quiet.store)) == 1


def test_what_could_not_be_stored_is_kept_and_said(
    hand: HandReadings, quiet: QuietHost, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def locked(*_: object) -> int:
        raise LibraryLocked("Another program holds the library. Nothing was stored. Try again.")

    monkeypatch.setattr(sessions, "save", locked)
    refused: list[str] = []
    hand.refused.connect(refused.append)
    dialog = filled(hand)
    with qtbot.waitSignal(hand.not_saved, timeout=10_000):
        dialog.accept()
    qtbot.waitUntil(lambda: bool(refused))
    assert "What was typed is kept" in refused[0]
    again = opened(hand)
    assert again.points.columns[0].edits[Role.LOW_SIDE].text() == "30"
    again.reject()


def test_a_stored_session_comes_back_on_the_sheet_to_be_corrected(
    hand: HandReadings, quiet: QuietHost, qtbot: QtBot
) -> None:
    info = stored(hand, filled(hand), qtbot)
    hand.correct(info)
    dialog = hand.dialog
    assert dialog is not None
    assert [one.values for one in dialog.sheet().points] == [
        {role: pytest.approx(value, rel=1e-5) for role, value in one.items()}
        for one in (
            {
                Role.ENGINE_SPEED: 750.0,
                Role.LOW_SIDE: 308_168.0,
                Role.HIGH_SIDE: 1_135_539.0,
                Role.SUCTION_LINE: 277.594,
            },
            {Role.ENGINE_SPEED: 2_000.0, Role.LOW_SIDE: 259_904.0, Role.HIGH_SIDE: 1_341_325.0},
        )
    ]
    dialog.points.columns[0].edits[Role.LOW_SIDE].setText("31")
    assert stored(hand, dialog, qtbot).id != info.id
    assert len(sessions.list_sessions(quiet.store)) == 2
