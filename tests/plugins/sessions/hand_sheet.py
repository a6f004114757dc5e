"""The sheet for readings typed by hand, filled in and stored."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.panels.hand_dialog import HandDialog
    from knowngood_sessions.panels.hand_readings import HandReadings

IDLE = {"engine speed": "750", "fan stage": 2, "low side": "30", "high side": "150", "suction line": "40"}
FAST = {"engine speed": "2000", "fan stage": 2, "low side": "23 psi", "high side": "12,4 bar"}


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


def answer(dialog: HandDialog, point: int, name: str) -> str:
    return dialog.points.columns[point - 1].results[name].text()
