"""The sheet for readings typed by hand: live answers, warnings, storing, and nothing lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel, QWidget

from knowngood.units import System
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import Role
from knowngood_sessions.panels.hand_readings import HandReadings

from .by_keys import front, in_focus, press
from .hand_sheet import FAST, IDLE, answer, filled, opened

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from .conftest import QuietHost


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
