"""The list of findings with what can be done to the ones that a person set or noted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal, SignalInstance
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood_refdata.records import Findings
from knowngood_sessions.panels.findings_list import FindingsList

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Event, SteadyWindow
    from knowngood_sessions.findings_words import Line


class SessionFindings(QWidget):
    """Findings, and actions on the one that is chosen.

    Attributes
    ----------
    chosen
        Signal with the `Line` to be shown, or None.
    change_wanted, remove_wanted
        Signals with the window or the event that the chosen line is about.
    undo_wanted
        Signal of the button.
    """

    chosen = Signal(object)
    change_wanted = Signal(object)
    remove_wanted = Signal(object)
    undo_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._found = Findings()
        self.list = FindingsList()
        self.change, self.remove, self.undo = (QPushButton() for _ in range(3))
        row = QHBoxLayout()
        row.setSpacing(2)
        for button in (self.change, self.remove, self.undo):
            button.setObjectName("link")
            row.addWidget(button)
        row.addStretch()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self.list, stretch=1)
        layout.addLayout(row)
        self.remove.setText("Remove")
        self.undo.setText("Undo last")
        self.set_undo("")
        self._offer(None)
        self.list.chosen.connect(self._choose)
        self.list.change_wanted.connect(lambda _: self._ask(self.change, self.change_wanted))
        self.list.remove_wanted.connect(lambda _: self._ask(self.remove, self.remove_wanted))
        self.change.clicked.connect(lambda: self._ask(self.change, self.change_wanted))
        self.remove.clicked.connect(lambda: self._ask(self.remove, self.remove_wanted))
        self.undo.clicked.connect(self.undo_wanted)

    def show_lines(self, lines: Sequence[Line], found: Findings) -> None:
        """Show other findings."""
        self._found = found
        self.list.show_lines(lines)
        self._offer(self.list.line)

    def set_undo(self, what: str) -> None:
        """Name what the button would take back; an empty text hides it."""
        self.undo.setToolTip(what)
        self.undo.setAccessibleName(f"Undo: {what}")
        self.undo.setVisible(bool(what))

    def subject(self) -> SteadyWindow | Event | None:
        """The window or event that the chosen line is about."""
        line = self.list.line
        if line is None:
            return None
        if line.window is not None:
            return self._found.windows[line.window]
        return None if line.event is None else self._found.events[line.event]

    def _choose(self, line: Line | None) -> None:
        self._offer(line)
        self.chosen.emit(line)

    def _offer(self, line: Line | None) -> None:
        subject = self.subject()
        window = line is not None and line.window is not None
        by_hand = subject is not None and subject.by_hand
        self.change.setText("Change..." if by_hand else "Other ends by hand...")
        self.change.setVisible(window or by_hand)
        self.remove.setVisible(by_hand)

    def _ask(self, button: QPushButton, signal: SignalInstance) -> None:
        if not button.isHidden():
            signal.emit(self.subject())
