"""What a page shows while it has nothing to show: what to do first."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget


class EmptyState(QWidget):
    """A sentence and, where one action leads on, a button.

    Attributes
    ----------
    clicked
        Signal of the button.
    """

    clicked = Signal()

    def __init__(self, text: str, button_text: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._text = QLabel()
        self._text.setObjectName("emptyText")
        self._text.setWordWrap(True)
        self._text.setTextFormat(Qt.TextFormat.PlainText)
        self._text.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._text.setMinimumWidth(360)
        self._button = QPushButton()
        self._button.setObjectName("main")
        self._button.clicked.connect(self.clicked)
        layout = QVBoxLayout(self)
        layout.addStretch(2)
        layout.addWidget(self._text)
        layout.addSpacing(8)
        layout.addWidget(self._button, alignment=Qt.AlignmentFlag.AlignHCenter)
        layout.addStretch(3)
        self.set_text(text, button_text)

    def set_text(self, text: str, button_text: str = "") -> None:
        """Write the sentence and the button; an empty button text hides it."""
        self._text.setText(text)
        self._button.setText(button_text)
        self._button.setVisible(bool(button_text))
