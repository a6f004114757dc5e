"""A line of text that gives way: what does not fit ends in an ellipsis and stands in the tooltip."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget

if TYPE_CHECKING:
    from PySide6.QtGui import QResizeEvent


class ElidedLabel(QLabel):
    """A label of one line that never asks for more room than ``least`` pixels."""

    def __init__(self, least: int = 60, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._full = ""
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setMinimumWidth(least)

    @property
    def full_text(self) -> str:
        """The text before it was shortened."""
        return self._full

    def set_full_text(self, text: str) -> None:
        """Show a text as far as there is room."""
        self._full = text
        self.setAccessibleName(text)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Shorten anew for the new width."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        shown = self.fontMetrics().elidedText(self._full, Qt.TextElideMode.ElideRight, self.width())
        self.setText(shown)
        self.setToolTip(self._full if shown != self._full else "")
