"""Mending the columns of a stored session: asked, explained, stored with its reason, and never lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QWidget

from knowngood.api import LogReader
from knowngood_refdata.logs import Column, LogTable, SeveralLogs
from knowngood_refdata.queries import session_cuts, sessions
from knowngood_refdata.queries.session_cuts import CutDraft
from knowngood_refdata.queries.session_history import session_history
from knowngood_refdata.records import Conditions, Findings, Instruments, Quantity, Role
from knowngood_sessions.core.mapping.assignment import Assignment
from knowngood_sessions.library import Facts, prepare_for, save_log
from knowngood_sessions.panels.remap_session import Remapping

from .asked import told
from .by_keys import front, press

if TYPE_CHECKING:
    from collections.abc import Callable

    from pytestqt.qtbot import QtBot

    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.panels.remap_dialog import RemapDialog

    from .conftest import QuietHost

# Opening a list grabs the keyboard, which the platform of the tests does not do.
pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")


@pytest.fixture
def remapping(quiet: QuietHost, window: QWidget) -> Remapping:
    host: Host = quiet
    return Remapping(host, window)


@pytest.fixture
def info(quiet: QuietHost, two_plateau_csv: bytes) -> SessionInfo:
    """A session in which the suction line was taken for the vent."""
    prepared = prepare_for(quiet.store, two_plateau_csv, "run 14.csv")
    mapping = {**prepared.mapping, "T_suction": Assignment(Role.VENT, "°F")}
    facts = Facts(quiet.vehicle.id, "R-134a")
    return sessions.info(
        quiet.store, save_log(quiet.store, prepared, mapping, facts, two_plateau_csv).session_id
    )


def opened(remapping: Remapping, info: SessionInfo, qtbot: QtBot) -> RemapDialog:
    remapping.start(info)
    qtbot.waitUntil(lambda: remapping.dialog is not None, timeout=10_000)
    assert remapping.dialog is not None
    return remapping.dialog


def take(dialog: RemapDialog, name: str, text: str) -> None:
    box = next(one for one in dialog.findChildren(QComboBox) if one.accessibleName() == name)
    box.setCurrentIndex(box.findText(text))
    box.activated.emit(box.currentIndex())


def test_the_columns_stand_as_they_were_stored_and_nothing_can_be_mended_yet(
    remapping: Remapping, info: SessionInfo, qtbot: QtBot
) -> None:
    dialog = opened(remapping, info, qtbot)
    assert dialog.mapping["T_suction"].words == "vent, °F"
    assert not dialog.mend_button.isEnabled()
    assert "Nothing is changed yet" in dialog.what_is_missing()
    dialog.reject()


def test_what_changes_is_told_and_a_reason_is_asked_for(
    remapping: Remapping, info: SessionInfo, qtbot: QtBot
) -> None:
    dialog = opened(remapping, info, qtbot)
    front(dialog, qtbot)
    take(dialog, "T_suction, used as", "suction line")
    assert "T_suction: vent, °F becomes suction line, °F" in told(dialog)
    assert "Say why" in dialog.what_is_missing()
    dialog.sheet.form.entries[0].setFocus()
    press(Qt.Key.Key_Return)
    assert QApplication.focusWidget() is dialog._reason
    dialog.reject()


def test_mended_from_the_stored_file_with_the_reason_in_the_trail(
    remapping: Remapping, quiet: QuietHost, info: SessionInfo, qtbot: QtBot, two_plateau_csv: bytes
) -> None:
    dialog = opened(remapping, info, qtbot)
    take(dialog, "T_suction, used as", "suction line")
    dialog._reason.setText("the clamp sat on the suction line")
    heard: list[int] = []
    quiet.bench.findings_changed.connect(heard.append)
    with qtbot.waitSignal(remapping.mended, timeout=10_000):
        dialog.accept()
    assert quiet.bench.session == sessions.info(quiet.store, info.id)
    assert heard == [info.id]
    values = sessions.findings(quiet.store, info.id).windows[0].values
    assert values[Quantity.SUPERHEAT].value == pytest.approx(6.0 / 1.8, abs=0.5)
    assert sessions.source(quiet.store, info.id) == two_plateau_csv
    change = next(one for one in session_history(quiet.store, info.id) if one.action == "replaced")
    assert (change.who, change.why) == ("R. Moss", "the clamp sat on the suction line")
    assert remapping.snapshot() is None


def test_a_part_asked_about_is_mended_with_its_whole_and_stays_in_hand(
    remapping: Remapping, quiet: QuietHost, info: SessionInfo, qtbot: QtBot
) -> None:
    draft = CutDraft(0.0, 230.0, "at idle", Conditions(), Findings())
    (number,) = session_cuts.cut(quiet.store, info.id, [draft])
    cut = sessions.info(quiet.store, number)
    dialog = opened(remapping, cut, qtbot)
    assert "'at idle' was cut out of 'run 14'" in told(dialog)
    take(dialog, "T_suction, used as", "suction line")
    dialog._reason.setText("clamp")
    with qtbot.waitSignal(remapping.mended, timeout=10_000):
        dialog.accept()
    assert quiet.bench.session is not None
    assert quiet.bench.session.id == number
    for one in (info.id, number):
        assert Quantity.SUPERHEAT in sessions.findings(quiet.store, one).windows[0].values


def test_escape_changes_nothing_and_what_was_chosen_is_there_when_it_is_opened_again(
    remapping: Remapping, quiet: QuietHost, info: SessionInfo, qtbot: QtBot
) -> None:
    dialog = opened(remapping, info, qtbot)
    take(dialog, "T_suction, used as", "suction line")
    QTest.keyClick(dialog, Qt.Key.Key_Escape)
    assert remapping.dialog is None
    assert sessions.info(quiet.store, info.id) == info
    again = opened(remapping, info, qtbot)
    assert again.mapping["T_suction"].use is Role.SUCTION_LINE
    again.reject()


def test_a_draft_opens_the_dialog_as_it_was(
    remapping: Remapping, quiet: QuietHost, info: SessionInfo, window: QWidget, qtbot: QtBot
) -> None:
    dialog = opened(remapping, info, qtbot)
    take(dialog, "T_suction, used as", "suction line")
    dialog._reason.setText("clamp")
    kept = remapping.snapshot()
    assert kept is not None
    dialog.reject()
    later = Remapping(quiet, window)
    later.resume(kept)
    qtbot.waitUntil(lambda: later.dialog is not None, timeout=10_000)
    assert later.dialog is not None
    assert later.dialog.reason == "clamp"
    assert later.dialog.mend_button.isEnabled()
    later.dialog.reject()


def test_a_session_that_someone_else_changed_is_left_alone_and_the_entries_are_kept(
    remapping: Remapping, quiet: QuietHost, info: SessionInfo, qtbot: QtBot
) -> None:
    dialog = opened(remapping, info, qtbot)
    take(dialog, "T_suction, used as", "suction line")
    dialog._reason.setText("clamp")
    sessions.update_conditions(quiet.store, info.id, info.version, Conditions(fan_stage=1), Instruments())
    refused: list[str] = []
    remapping.refused.connect(refused.append)
    with qtbot.waitSignal(remapping.not_saved, timeout=10_000) as entered:
        dialog.accept()
    assert entered.args is not None
    assert entered.args[0]["reason"] == "clamp"
    assert "Theirs was kept" in refused[0]


def test_an_ambient_that_was_recorded_in_another_unit_follows_into_the_conditions(
    remapping: Remapping, quiet: QuietHost, two_plateau_csv: bytes, qtbot: QtBot
) -> None:
    head, *rows = two_plateau_csv.decode().splitlines()
    data = "\n".join([f"{head},Ambient (°C)", *(f"{one},40" for one in rows), ""]).encode()
    prepared = prepare_for(quiet.store, data, "run.csv")
    saved = save_log(quiet.store, prepared, prepared.mapping, Facts(quiet.vehicle.id, "R-134a"), data)
    info = sessions.info(quiet.store, saved.session_id)
    assert info.conditions.ambient_k == pytest.approx(313.15)
    dialog = opened(remapping, info, qtbot)
    take(dialog, "Ambient, unit", "°F")
    dialog._reason.setText("the logger writes °F")
    with qtbot.waitSignal(remapping.mended, timeout=10_000):
        dialog.accept()
    assert sessions.info(quiet.store, info.id).conditions.ambient_k == pytest.approx(277.594, abs=0.001)


def sheets(data: bytes, name: str, proceed: Callable[[float], None], part: str = "") -> LogTable:
    """A file of two logs; each holds two minutes of one value."""
    if not part:
        raise SeveralLogs(("idle", "fast"), f"{name} holds two logs")
    time = [float(one) for one in range(120)]
    low = [30.0 if part == "idle" else 22.0] * 120
    columns = (Column.of("Time", "s", time), Column.of("Low side", "psig", low))
    return LogTable.of(name, columns, time="Time")


def test_of_a_file_with_several_logs_that_a_plugin_reads_the_right_one_is_mended(
    remapping: Remapping, quiet: QuietHost, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    reader = LogReader("Two logs", (".two",), lambda _, name: name.endswith(".two"), sheets, sheets)
    monkeypatch.setattr(quiet, "log_readers", lambda: (reader,))
    prepared = prepare_for(quiet.store, b"two", "both.two", readers=(reader,), part="fast")
    saved = save_log(quiet.store, prepared, prepared.mapping, Facts(quiet.vehicle.id, "R-134a"), b"two")
    info = sessions.info(quiet.store, saved.session_id)
    dialog = opened(remapping, info, qtbot)
    take(dialog, "Low side, counts as", "absolute")
    dialog._reason.setText("it counts from vacuum")
    with qtbot.waitSignal(remapping.mended, timeout=10_000):
        dialog.accept()
    (low,) = sessions.recording(quiet.store, info.id).channels
    assert (low.gauge, float(low.values[0])) == (False, 22.0)


def test_readings_typed_by_hand_have_no_columns_and_go_to_their_sheet(
    remapping: Remapping, quiet: QuietHost, qtbot: QtBot
) -> None:
    from datetime import UTC, datetime

    from knowngood_sessions.core.finding.by_hand import HandColumn, HandPoint, HandSheet
    from knowngood_sessions.hand_library import save_by_hand

    point = HandPoint({Role.LOW_SIDE: 308_168.0})
    sheet = HandSheet(
        (point,),
        (HandColumn(Role.LOW_SIDE, "psi", gauge=True),),
        datetime(2026, 3, 4, 9, 30, tzinfo=UTC),
        "R-134a",
    )
    stored = save_by_hand(quiet.store, sheet, quiet.vehicle.id)
    with qtbot.waitSignal(remapping.typed, timeout=10_000) as asked:
        remapping.start(stored.info)
    assert asked.args == [stored.info]
    assert remapping.dialog is None
