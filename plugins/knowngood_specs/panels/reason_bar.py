"""The line for a reason, without which nothing is changed, and the button that needs it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QWidget

from knowngood.widgets.form import named


class ReasonBar(QWidget):
    """Asks why; the button can be pressed once there is a reason.

    Attributes
    ----------
    decided
        Signal with the reason.
    """

    decided = Signal(str)

    def __init__(self, button_text: str, hint: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.line, self.button = QLineEdit(), QPushButton(button_text)
        self.line.setPlaceholderText(hint)
        self.button.setObjectName("main")
        self.button.setAutoDefault(False)
        self._able = True
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(named("&Reason", self.line))
        row.addWidget(self.line, stretch=1)
        row.addWidget(self.button)
        self.line.textChanged.connect(self._show)
        self.line.returnPressed.connect(self._decide)
        self.button.clicked.connect(self._decide)
        self._show()

    def set_able(self, *, able: bool) -> None:
        """Say whether there is anything to decide about."""
        self._able = able
        self._show()

    def _show(self) -> None:
        self.button.setEnabled(self._able and bool(self.line.text().strip()))

    def _decide(self) -> None:
        if self.button.isEnabled():
            self.decided.emit(self.line.text().strip())
