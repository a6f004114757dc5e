"""A dialog that is closed by its main button alone, and leads the keyboard there field by field."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog

if TYPE_CHECKING:
    from PySide6.QtGui import QKeyEvent

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
"""The keys that say go on."""


class LeadingDialog(QDialog):
    """Enter leads to what is missing, and accepts once nothing is; a subclass says what that is."""

    def what_is_missing(self) -> str:
        """Why it cannot be accepted yet, in words; empty when it can."""
        raise NotImplementedError

    def lead_on(self) -> None:
        """Lead the keyboard to what is to be done next."""
        raise NotImplementedError

    def accept(self) -> None:
        """Close when nothing is missing."""
        if not self.what_is_missing():
            super().accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Let Enter lead to what is missing while there is something."""
        if event.key() not in ENTER:
            super().keyPressEvent(event)
        elif self.what_is_missing():
            self.lead_on()
        else:
            # Answers that were buttons took the place of the default button with them.
            self.accept()
