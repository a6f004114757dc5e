"""A white card on the paper: the frame of everything a page shows."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout, QWidget


class Card(QFrame):
    """A frame with a title, a quiet second line, and a ``body`` layout for what it holds."""

    def __init__(self, title: str = "", subtitle: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self._title, self._subtitle = QLabel(), QLabel()
        self._title.setObjectName("cardTitle")
        self._subtitle.setObjectName("cardSubtitle")
        for label in (self._title, self._subtitle):
            label.setWordWrap(True)
            label.setTextFormat(label.textFormat().PlainText)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 12, 18, 14)
        layout.setSpacing(6)
        layout.addWidget(self._title)
        layout.addWidget(self._subtitle)
        self.body = QVBoxLayout()
        self.body.setSpacing(8)
        layout.addLayout(self.body, stretch=1)
        self.set_title(title, subtitle)

    def set_title(self, title: str, subtitle: str = "") -> None:
        """Write title and second line; an empty one takes no room."""
        self._title.setText(title)
        self._title.setVisible(bool(title))
        self._subtitle.setText(subtitle)
        self._subtitle.setVisible(bool(subtitle))
        self.setAccessibleName(title)
