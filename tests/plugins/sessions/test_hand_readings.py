"""The sheet for readings typed by hand: live answers, warnings, storing, and nothing lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QWidget

from knowngood.units import System
from knowngood_checkup.gather import check_session
from knowngood_refdata.errors import LibraryLocked
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import AirSource, Conditions, Instruments, Quantity, Role
from knowngood_sessions.library import revise
from knowngood_sessions.panels.hand_readings import HandReadings

from .by_keys import front, in_focus, press

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.panels.hand_dialog import HandDialog

    from .conftest import QuietHost

IDLE = {"engine speed": "750", "fan stage": 2, "low side": "30", "high side": "150", "suction line": "40"}
FAST = {"engine speed": "2000", "fan stage": 2, "low side": "23 psi", "high side": "12,4 bar"}


@pytest.fixture
def hand(quiet: QuietHost, window: QWidget) -> HandReadings:
    host: Host = quiet
    return HandReadings(host, window)


def opened(hand: HandReadings) -> HandDialog:
    hand.start()
    assert hand.dialog is not None
    return hand.dialog


def filled(hand: HandReadings, *points: dict[str, object]) -> HandDialog:
    dialog = opened(hand)
    dialog.points.restore(points or (IDLE, FAST))
    dialog.work_out()
    return dialog


def stored(hand: HandReadings, dialog: HandDialog, qtbot: QtBot) -> SessionInfo:
    with qtbot.waitSignal(hand.imported, timeout=10_000) as told:
        dialog.accept()
    assert told.args is not None
    info: SessionInfo = told.args[0]
    return info


def report(quiet: QuietHost, info: SessionInfo, system: System) -> str:
    from knowngood_sessions.section import sections

    return " ".join(one.html for one in sections(quiet.store, info.id, system))


def answer(dialog: HandDialog, point: int, name: str) -> str:
    return dialog.points.columns[point - 1].results[name].text()


def test_the_fields_of_the_sheet_cover_what_a_technician_reads(hand: HandReadings) -> None:
    dialog = opened(hand)
    texts = {one.text().replace("&", "") for one in dialog.findChildren(QLabel)}
    assert {
        "Engine speed", "Fan stage", "Low side", "High side", "Suction line", "Liquid line", "Discharge line",
        "Vent", "Ambient, at condenser", "Cabin intake", "Relative humidity", "Blower, of full speed",
        "Air source", "Doors", "Hood (bonnet)", "Altitude", "or barometer, absolute", "Taken by", "When",
        "Note", "Line probes", "Air probes",
    } <= texts  # fmt: skip
    assert "Fan stage at start" not in texts


def test_what_follows_from_a_point_is_shown_as_it_is_typed_with_its_uncertainty(
    hand: HandReadings, qtbot: QtBot
) -> None:
    # Çengel and Boles, Thermodynamics, 5th edition, example 11-2: 0.14 MPa and -10 °C, 0.72 MPa and 26 °C
    # make 8.76 K and 1.67 K (computed from the example's data).
    dialog = opened(hand)
    hand._host.units.set_system(System.SI)
    edits = dialog.points.columns[0].edits
    edits[Role.LOW_SIDE].setText("0.14 MPa abs")
    edits[Role.SUCTION_LINE].setText("-10")
    edits[Role.HIGH_SIDE].setText("0.72 MPa abs")
    edits[Role.LIQUID_LINE].setText("26")
    qtbot.waitUntil(lambda: answer(dialog, 1, "Superheat") != "–", timeout=2_000)
    assert answer(dialog, 1, "Superheat").startswith("9 ± ")
    assert answer(dialog, 1, "Subcooling").startswith("2 ± ")
    assert answer(dialog, 1, "Evaporating").startswith("−18.8 ± ")
    assert answer(dialog, 2, "Superheat") == "–"
    dialog.conditions_form._edits["ambient_k"].setText("20")
    qtbot.waitUntil(lambda: answer(dialog, 1, "Condensing above ambient") != "–", timeout=2_000)
    hand._host.units.set_system(System.US)
    qtbot.waitUntil(lambda: "°F" in answer(dialog, 1, "Superheat"), timeout=2_000)
    dialog.reject()


def test_values_take_any_unit_of_their_kind_and_the_local_air(hand: HandReadings) -> None:
    dialog = filled(hand, {"low side": "2,1 bar", "suction line": "278 K"})
    dialog.conditions_form._edits["barometer_pa"].setText("84 kPa")
    dialog.work_out()
    (point,) = dialog.sheet().points
    assert point.values[Role.LOW_SIDE] == pytest.approx(2.1e5 + 84_000.0)
    assert point.words[Role.LOW_SIDE] == "2,1 bar"
    dialog.reject()


def test_odd_values_are_told_and_do_not_stand_against_storing(hand: HandReadings) -> None:
    dialog = filled(hand, {"low side": "150", "high side": "30"}, FAST)
    assert "Point 1: The low side (150.0 psig) lies above the high side (30.0 psig)" in dialog.points.oddities
    assert dialog.save_button.isEnabled()
    dialog.reject()


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


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (({},), "Type what was read at one point at least."),
        (({"low side": "thirty"},), "Point 1, low side: 'thirty' is no number"),
        (({"engine speed": "750"},), "Point 1 holds no reading"),
        ((IDLE, {"low side": "40 psia"}), "as gauge at one point and as absolute at another"),
        ((IDLE, {"low side": "-40 psi"}), "Point 2, low side"),
    ],
)
def test_what_stands_against_storing_is_said_in_words_and_the_field_gets_the_keyboard(
    hand: HandReadings, quiet: QuietHost, points: tuple[dict[str, object], ...], words: str, qtbot: QtBot
) -> None:
    dialog = filled(hand, *points)
    assert words in dialog.what_is_missing()
    assert not dialog.save_button.isEnabled()
    dialog.accept()
    assert hand.dialog is dialog
    assert sessions.list_sessions(quiet.store) == ()
    dialog.reject()


def test_without_a_vehicle_in_hand_it_is_said_what_to_do(hand: HandReadings, quiet: QuietHost) -> None:
    quiet.bench.take_vehicle(None)
    refused: list[str] = []
    hand.refused.connect(refused.append)
    hand.start()
    assert "Take the vehicle in hand first" in refused[0]
    assert hand.dialog is None


def test_escape_keeps_what_was_typed_for_this_vehicle(hand: HandReadings, qtbot: QtBot) -> None:
    dialog = filled(hand)
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert hand.dialog is None
    assert hand.snapshot() is not None
    again = opened(hand)
    assert again.points.columns[1].edits[Role.LOW_SIDE].text() == "23 psi"
    again.reject()


def test_an_untouched_sheet_leaves_no_draft(hand: HandReadings) -> None:
    opened(hand).reject()
    assert hand.snapshot() is None


def test_what_was_discarded_is_gone(hand: HandReadings) -> None:
    dialog = filled(hand)
    dialog._discard.click()
    assert hand.snapshot() is None
    again = opened(hand)
    assert again.points.filled == []
    again.reject()


def test_a_draft_comes_back_after_a_restart_with_its_vehicle(
    hand: HandReadings, quiet: QuietHost, window: QWidget
) -> None:
    dialog = filled(hand)
    kept = hand.snapshot()
    assert kept is not None
    dialog.reject()
    quiet.bench.take_vehicle(None)
    again = HandReadings(quiet, window)
    again.resume(kept)
    assert quiet.bench.vehicle == quiet.vehicle
    assert again.dialog is not None
    assert again.dialog.points.columns[0].edits[Role.HIGH_SIDE].text() == "150"
    again.dialog.reject()


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


def test_a_whole_sheet_is_typed_and_stored_with_the_keyboard_alone(
    hand: HandReadings, quiet: QuietHost, qtbot: QtBot
) -> None:
    dialog = opened(hand)
    front(dialog, qtbot)

    def type_in(*texts: str) -> None:
        for text in texts:
            QTest.keyClicks(in_focus(), text)
            QTest.keyClick(in_focus(), Qt.Key.Key_Tab)

    type_in("750", "1", "30", "150", "40", "74", "", "45F")
    type_in("2000", "1", "23", "180")
    assert [one.fan_stage for one in dialog.points.points] == [1, 1]
    QTest.keyClick(dialog, Qt.Key.Key_A, Qt.KeyboardModifier.AltModifier)
    type_in("88")
    qtbot.waitUntil(lambda: dialog.save_button.isEnabled(), timeout=2_000)
    with qtbot.waitSignal(hand.imported, timeout=10_000) as told:
        QTest.keyClick(dialog, Qt.Key.Key_S, Qt.KeyboardModifier.AltModifier)
    assert told.args is not None
    assert told.args[0].conditions.ambient_k == pytest.approx(304.26, abs=0.01)
    (response,) = sessions.findings(quiet.store, told.args[0].id).responses
    assert response.same_fan_stage


def test_enter_leads_to_the_next_field_and_stores_nothing(
    hand: HandReadings, quiet: QuietHost, qtbot: QtBot
) -> None:
    dialog = filled(hand)
    front(dialog, qtbot)
    fields = dialog.points.columns[0].fields
    fields[2].setFocus()
    press(Qt.Key.Key_Return)
    assert in_focus() is fields[3]
    assert hand.dialog is dialog
    assert sessions.list_sessions(quiet.store) == ()
    dialog.reject()


@pytest.mark.parametrize("text", ["yesterday", "2026-13-40 09:30", "2999-01-01 00:00", ""])
def test_a_moment_that_cannot_be_read_keeps_the_sheet_open_and_says_so(hand: HandReadings, text: str) -> None:
    dialog = filled(hand, IDLE)
    dialog._when.setText(text)
    dialog.accept()
    assert dialog.what_is_missing().startswith("When: ")
    assert hand.dialog is dialog
    dialog.reject()


def test_up_to_six_points_can_be_added(hand: HandReadings) -> None:
    dialog = opened(hand)
    for _ in range(10):
        dialog.points.add_button.click()
    assert len(dialog.points.columns) == 6
    assert not dialog.points.add_button.isEnabled()
    dialog.reject()
