"""The notes of the checks on a session: cautions in their own colour and in a word, then remarks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from knowngood.api import NoteLevel
from knowngood.widgets.form import words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QLabel

    from knowngood.api import CheckNote

MOST = 3
STYLES = {NoteLevel.CAUTION: "problem", NoteLevel.REMARK: "quiet"}


class NotesList(QWidget):
    """The first few notes, and a word that shows the rest."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 0, 0)
        self._layout.setSpacing(4)
        self._lines: list[QLabel] = []
        self.more = QPushButton()
        self.more.setObjectName("link")
        self.more.clicked.connect(lambda: self._unfold(MOST, unfolded=True))
        self._layout.addWidget(self.more)

    @property
    def shown(self) -> list[str]:
        """The notes in front of the reader, word for word."""
        return [line.text() for line in self._lines if not line.isHidden()]

    def show_notes(self, notes: Sequence[CheckNote]) -> None:
        """Show other notes."""
        for line in self._lines:
            line.hide()
            line.deleteLater()
        self._lines = [words(STYLES[note.level], f"{_named(note.level)}: {note.text}") for note in notes]
        for place, line in enumerate(self._lines):
            self._layout.insertWidget(place, line)
        # One more line would take no more room than the word that stands for it.
        fitting = len(notes) if len(notes) <= MOST + 1 else MOST
        self._unfold(fitting, unfolded=fitting >= len(notes))
        self.setVisible(bool(notes))

    def _unfold(self, fitting: int, *, unfolded: bool) -> None:
        for line in self._lines:
            line.show()
        for line in self._lines[fitting:]:
            line.setVisible(unfolded)
        self.more.setText(f"Show {len(self._lines) - fitting} more")
        self.more.setVisible(not unfolded)


def _named(level: NoteLevel) -> str:
    return level.value.capitalize()
