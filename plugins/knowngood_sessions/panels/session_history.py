"""What people did to the session shown: who, when, what, and how to take it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid
from knowngood_refdata.queries.session_history import session_history
from knowngood_sessions.opening import change_words, undoable
from knowngood_sessions.panels.asker import Asker

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import Host
    from knowngood_refdata.queries.history import Change
    from knowngood_sessions.gather import Session
    from knowngood_sessions.panels.marks_editor import MarksEditor

_HEADS = ("When", "Who", "What", "From what to what", "Why")
_WIDTHS_PX = (130, 100, 220, 230)
_SIZE_PX = (860, 420)
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_HINT = "The program's own findings are worked out anew at any time and stand in no history."


class HistoryDialog(QDialog):
    """The changes of a session, the latest first.

    Attributes
    ----------
    take_back_wanted
        Signal with the `Change` that is to be taken back.
    """

    take_back_wanted = Signal(object)

    def __init__(self, title: str, changes: Sequence[Change], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"History of {title}")
        self.changes = tuple(changes)
        self.table = Grid("Changes of the session", words_first=True)
        self.table.write(_HEADS, [_row(one) for one in changes])
        self.table.setWordWrap(True)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(header.ResizeMode.Interactive)
        header.setStretchLastSection(True)
        header.setDefaultAlignment(_LEFT)
        for column, width in enumerate(_WIDTHS_PX):
            self.table.setColumnWidth(column, width)
        for row in range(self.table.rowCount()):
            for column in range(len(_HEADS)):
                self._to_the_left(row, column)
        self.table.resizeRowsToContents()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        self.take_back = QPushButton("Take this change back")
        buttons.addButton(self.take_back, QDialogButtonBox.ButtonRole.ActionRole)
        layout = QVBoxLayout(self)
        layout.addWidget(words("quiet", _HINT if changes else f"Nothing was noted or set by hand. {_HINT}"))
        layout.addWidget(self.table, stretch=1)
        layout.addWidget(buttons)
        self.resize(*_SIZE_PX)
        buttons.rejected.connect(self.reject)
        self.take_back.clicked.connect(self._ask)
        self.table.currentCellChanged.connect(lambda *_: self._offer())
        if changes:
            self.table.setCurrentCell(0, 0)
        self._offer()

    @property
    def chosen(self) -> Change | None:
        """The change in the chosen row."""
        row = self.table.currentRow()
        return self.changes[row] if 0 <= row < len(self.changes) else None

    def _to_the_left(self, row: int, column: int) -> None:
        for item in (self.table.item(row, column), self.table.horizontalHeaderItem(column)):
            if item is not None:
                item.setTextAlignment(_LEFT)

    def _offer(self) -> None:
        self.take_back.setEnabled(self.chosen is not None and undoable(self.chosen))

    def _ask(self) -> None:
        if self.chosen is not None:
            self.take_back_wanted.emit(self.chosen)
            self.accept()


class SessionHistory(Asker):
    """Reads the history off the GUI thread and shows it."""

    dialog: HistoryDialog | None

    def __init__(self, host: Host, window: QWidget, marks: MarksEditor) -> None:
        super().__init__(host, window)
        self._marks = marks

    def show(self, session: Session) -> None:
        """Show what was done to a session."""
        store = self._host.store
        self._host.tasks.run(
            f"History of {session.info.title}",
            lambda _: session_history(store, session.info.id),
            done=lambda changes: self._open(session, changes),
            failed=self._fail,
            quiet=True,
        )

    def _open(self, session: Session, changes: Sequence[Change]) -> None:
        if self.dialog is not None:
            self.dialog.raise_()
            return
        dialog = HistoryDialog(session.info.title, changes, self._window.window())
        dialog.take_back_wanted.connect(lambda change: self._marks.take_back(session, change))
        self._show(dialog)


def _row(change: Change) -> tuple[str, ...]:
    # What a session was when it came in is its record, and not a change.
    told = () if (change.kind, change.action) == ("session", "added") else change.fields
    fields = "\n".join(f"{one.title}: {_moved(one.before, one.after)}" for one in told)
    return f"{change.at.astimezone():%Y-%m-%d %H:%M}", change.who, change_words(change), fields, change.why


def _moved(before: str, after: str) -> str:
    return f"{before} \N{RIGHTWARDS ARROW} {after}" if before and after else after or f"{before} removed"
