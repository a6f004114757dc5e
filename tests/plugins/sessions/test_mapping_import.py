"""The import of logs around its dialog: several in a row, refused, cancelled, kept and brought back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from knowngood.api import LogReader
from knowngood_refdata.errors import LibraryLocked
from knowngood_refdata.logs import Column, LogTable, SeveralLogs
from knowngood_refdata.queries import sessions

from .asked import next_dialog, opened, told

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood_refdata.records import SessionInfo
    from knowngood_sessions.panels.importer import LogImport

    from .conftest import QuietHost

# A second file raises the open dialog, which the platform of the tests does not do.
pytestmark = pytest.mark.qt_log_ignore("This plugin does not support")


def test_several_files_are_asked_about_one_after_the_other(
    importer: LogImport, quiet: QuietHost, two_plateau_log: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    paths = []
    for number in range(3):
        path = tmp_path / f"log {number}.csv"
        path.write_bytes(two_plateau_log.read_bytes()[: -30 * (number + 1)])
        paths.append(path)
    done: list[SessionInfo] = []
    importer.imported.connect(lambda info, _: done.append(info))
    importer.start_all(paths)
    for number in range(3):
        dialog = next_dialog(importer, qtbot)
        assert dialog.windowTitle() == f"Import log {number}.csv"
        assert ("2 more files wait" in told(dialog)) is (number == 0)
        dialog.accept()
    qtbot.waitUntil(lambda: len(done) == 3, timeout=20_000)
    assert {one.source_name for one in sessions.list_sessions(quiet.store)} == {one.name for one in paths}


def test_a_broken_file_among_several_does_not_keep_the_next_from_its_turn(
    importer: LogImport, two_plateau_log: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    broken = tmp_path / "broken.csv"
    broken.write_bytes(b"\x00\x01\x02" * 400)
    refused: list[str] = []
    importer.refused.connect(refused.append)
    importer.start_all([broken, two_plateau_log])
    qtbot.waitUntil(lambda: importer.dialog is not None, timeout=10_000)
    assert "Nothing was imported" in refused[0]
    assert importer.dialog is not None
    importer.dialog.reject()


def test_files_that_wait_are_kept_with_what_was_entered(
    importer: LogImport, two_plateau_log: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    other = tmp_path / "other.csv"
    other.write_bytes(two_plateau_log.read_bytes()[:-30])
    dialog = opened(importer, two_plateau_log, qtbot)
    importer.start(other)
    kept = importer.snapshot()
    assert kept is not None
    assert kept["waiting"] == [{"path": str(other), "part": ""}]
    dialog.reject()
    qtbot.waitUntil(lambda: importer.dialog is not None, timeout=10_000)
    assert importer.dialog is not None
    importer.dialog.reject()
    importer.start(two_plateau_log, kept)
    qtbot.waitUntil(lambda: importer.dialog is not None, timeout=10_000)
    assert "One more file waits" in told(importer.dialog)
    importer.dialog.reject()
    qtbot.waitUntil(lambda: importer.dialog is not None, timeout=10_000)
    importer.dialog.reject()


def test_a_file_opened_again_after_escape_finds_what_was_entered(
    importer: LogImport, two_plateau_log: Path, qtbot: QtBot
) -> None:
    dialog = opened(importer, two_plateau_log, qtbot)
    dialog.conditions_form._edits["ambient_k"].setText("88 F")
    dialog.reject()
    dialog = opened(importer, two_plateau_log, qtbot)
    assert dialog.conditions_form._edits["ambient_k"].text() == "88 F"
    dialog.reject()


def test_what_was_entered_is_handed_back_when_it_could_not_be_stored(
    importer: LogImport,
    quiet: QuietHost,
    two_plateau_log: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def locked(*_: object) -> int:
        raise LibraryLocked("Another program holds the library. Nothing was stored. Try again.")

    monkeypatch.setattr(sessions, "save", locked)
    dialog = opened(importer, two_plateau_log, qtbot)
    dialog.conditions_form._edits["ambient_k"].setText("88 F")
    refused: list[str] = []
    importer.refused.connect(refused.append)
    with qtbot.waitSignal(importer.not_saved, timeout=10_000) as kept:
        dialog.accept()
    assert kept.args is not None
    assert kept.args[0]["form"]["ambient_k"] == "88 F"
    qtbot.waitUntil(lambda: bool(refused))
    assert "Another program holds the library" in refused[0]
    assert importer.snapshot() is None


def test_an_import_cancelled_while_it_is_stored_leaves_the_library_whole(
    importer: LogImport, quiet: QuietHost, two_plateau_log: Path, qtbot: QtBot
) -> None:
    dialog = opened(importer, two_plateau_log, qtbot)
    dialog.accept()
    (task,) = quiet.tasks.running
    task.cancel()
    qtbot.waitUntil(lambda: not quiet.tasks.running, timeout=10_000)
    assert len(sessions.list_sessions(quiet.store)) in (0, 1)
    for one in sessions.list_sessions(quiet.store):
        assert sessions.recording(quiet.store, one.id).channels
        assert sessions.source(quiet.store, one.id) == two_plateau_log.read_bytes()


def sheets(data: bytes, name: str, proceed: Callable[[float], None], part: str = "") -> LogTable:
    """A file of two logs; each holds a minute of one value."""
    if not part:
        raise SeveralLogs(("idle", "fast"), f"{name} holds two logs")
    time = [float(one) for one in range(120)]
    low = [30.0 if part == "idle" else 22.0] * 120
    columns = (Column.of("Time", "s", time), Column.of("Low side", "psig", low))
    return LogTable.of(name, columns, time="Time")


def test_of_a_file_with_several_logs_those_that_are_ticked_become_sessions(
    importer: LogImport, quiet: QuietHost, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    reader = LogReader("Two logs", (".two",), lambda _, name: name.endswith(".two"), sheets, sheets)
    monkeypatch.setattr(quiet, "log_readers", lambda: (reader,))
    path = tmp_path / "both.two"
    path.write_bytes(b"two")
    importer.start(path)
    qtbot.waitUntil(lambda: importer.parts_dialog is not None, timeout=10_000)
    choice = importer.parts_dialog
    assert choice is not None
    first: tuple[str, ...] = choice.chosen
    assert first == ("idle",)
    QTest.keyClick(choice.list, Qt.Key.Key_Down)
    QTest.keyClick(choice.list, Qt.Key.Key_Space)
    ticked: tuple[str, ...] = choice.chosen
    assert ticked == ("idle", "fast")
    done: list[SessionInfo] = []
    importer.imported.connect(lambda info, _: done.append(info))
    choice.accept()
    for _ in range(2):
        with qtbot.waitSignal(importer.imported, timeout=10_000):
            next_dialog(importer, qtbot).accept()
    lows = {float(sessions.recording(quiet.store, one.id).channels[0].values[0]) for one in done}
    assert lows == {30.0, 22.0}


def test_a_choice_of_logs_that_is_cancelled_leaves_no_trace_and_the_next_file_gets_its_turn(
    importer: LogImport,
    quiet: QuietHost,
    two_plateau_log: Path,
    tmp_path: Path,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    from knowngood_sessions.plugin import log_readers

    reader = LogReader("Two logs", (".two",), lambda _, name: name.endswith(".two"), sheets, sheets)
    monkeypatch.setattr(quiet, "log_readers", lambda: (reader, *log_readers()))
    path = tmp_path / "both.two"
    path.write_bytes(b"two")
    importer.start_all([path, two_plateau_log])
    qtbot.waitUntil(lambda: importer.parts_dialog is not None, timeout=10_000)
    assert importer.parts_dialog is not None
    importer.parts_dialog.reject()
    dialog = next_dialog(importer, qtbot)
    assert dialog.windowTitle() == "Import skerry idle 2500 idle.csv"
    dialog.reject()
    assert sessions.list_sessions(quiet.store) == ()
