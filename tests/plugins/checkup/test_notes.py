"""The notes of plugins on a session stand beside the outcome of its check-up."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel

from knowngood.api import CheckNote, NoteLevel
from knowngood_checkup.panels.notes_list import MOST, NotesList

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

HUMIDITY = CheckNote(NoteLevel.CAUTION, "Not recorded: humidity.")
USUAL = CheckNote(NoteLevel.REMARK, "Common instruments.")


def made(qtbot: QtBot, *notes: CheckNote) -> NotesList:
    shown = NotesList()
    qtbot.addWidget(shown)
    shown.show_notes(notes)
    return shown


def test_the_level_is_said_in_a_word(qtbot: QtBot) -> None:
    assert made(qtbot, HUMIDITY, USUAL).shown == [
        "Caution: Not recorded: humidity.",
        "Remark: Common instruments.",
    ]


def test_without_notes_there_is_no_empty_place(qtbot: QtBot) -> None:
    assert made(qtbot).isHidden()


def test_notes_of_another_session_take_the_place_of_the_former_ones(qtbot: QtBot) -> None:
    shown = made(qtbot, HUMIDITY, USUAL)
    shown.show_notes([USUAL])
    assert shown.shown == ["Remark: Common instruments."]


def test_many_notes_are_folded_until_the_reader_asks(qtbot: QtBot) -> None:
    shown = made(qtbot, *[CheckNote(NoteLevel.REMARK, f"Note {number}.") for number in range(MOST + 4)])
    assert len(shown.shown) == MOST
    assert shown.more.text() == "Show 4 more"
    shown.more.click()
    assert len(shown.shown) == MOST + 4
    assert shown.more.isHidden()


def test_one_note_too_many_is_shown_rather_than_folded(qtbot: QtBot) -> None:
    shown = made(qtbot, *[CheckNote(NoteLevel.REMARK, f"Note {number}.") for number in range(MOST + 1)])
    assert len(shown.shown) == MOST + 1
    assert shown.more.isHidden()


def test_a_note_is_plain_text(qtbot: QtBot) -> None:
    shown = made(qtbot, CheckNote(NoteLevel.REMARK, "<b>loud</b>"))
    (label,) = shown.findChildren(QLabel)
    assert label.textFormat() is Qt.TextFormat.PlainText
