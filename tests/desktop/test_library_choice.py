"""A library that cannot be opened: what the user is asked, and what is left untouched."""

from __future__ import annotations

import sqlite3
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication, QMessageBox, QPushButton

from knowngood import app, paths
from knowngood.settings import SettingsFile
from knowngood.start import LIBRARY_TROUBLE
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from pytestqt.qtbot import QtBot


class Answers:
    """Answers the message boxes that come up, one text after the other, and keeps what they said."""

    def __init__(self, *presses: str, between: Callable[[], None] | None = None) -> None:
        self.said: list[str] = []
        self.offered: list[set[str]] = []
        self._presses = list(presses)
        self._between = between
        QTimer.singleShot(0, self._look)

    def _look(self) -> None:
        box = QApplication.activeModalWidget()
        if isinstance(box, QMessageBox):
            buttons = {one.text(): one for one in box.findChildren(QPushButton)}
            self.said.append(box.informativeText())
            self.offered.append(set(buttons))
            if self._between is not None:
                self._between()
            buttons[self._presses.pop(0)].click()
        if self._presses:
            QTimer.singleShot(20, self._look)


@pytest.fixture
def remembered(tmp_path: Path) -> Path:
    """A library that the settings name and that is not there."""
    path = tmp_path / "drive" / "library.sqlite"
    SettingsFile(paths.settings_file()).change(library=str(path))
    return path


def test_a_remembered_library_that_is_gone_is_not_silently_made_anew(remembered: Path, qtbot: QtBot) -> None:
    answers = Answers("Quit")
    assert app.run(quit_after_start=True) == LIBRARY_TROUBLE
    assert "There is no library at" in answers.said[0]
    assert not remembered.exists()
    assert not remembered.parent.exists()


def test_a_library_that_is_gone_can_be_made_anew_when_that_is_wanted(remembered: Path, qtbot: QtBot) -> None:
    Answers("Make a new one there")
    assert app.run(quit_after_start=True) == 0
    assert remembered.exists()


def test_a_drive_that_comes_back_is_found_by_trying_again(
    remembered: Path, library_file: Path, qtbot: QtBot
) -> None:
    def plug_in() -> None:
        remembered.parent.mkdir()
        library_file.rename(remembered)

    answers = Answers("Try again", between=plug_in)
    assert app.run(quit_after_start=True) == 0
    assert len(answers.said) == 1


def test_a_library_of_a_newer_program_is_named_as_such_and_kept(library_file: Path, qtbot: QtBot) -> None:
    connection = sqlite3.connect(library_file)
    connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.commit()
    connection.close()
    before = library_file.read_bytes()
    answers = Answers("Quit")
    assert app.run(library=str(library_file), quit_after_start=True) == LIBRARY_TROUBLE
    assert "newer" in answers.said[0]
    assert "Make a new one there" not in answers.offered[0]
    assert library_file.read_bytes() == before


def test_a_library_that_is_fine_opens_without_a_question(library_file: Path, qtbot: QtBot) -> None:
    assert app.run(library=str(library_file), quit_after_start=True) == 0
    Store.open(library_file, create=False).close()
