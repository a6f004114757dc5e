"""A choice that neither the mouse wheel nor an arrow key decides in passing."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox

if TYPE_CHECKING:
    from PySide6.QtGui import QKeyEvent, QWheelEvent

_OPENING = (Qt.Key.Key_Up, Qt.Key.Key_Down)


class DeliberateChoice(QComboBox):
    """A choice whose list opens with an arrow key; only Enter or a click in it decides.

    Scrolling past it with the wheel leaves it as it is.
    """

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Open the list with an arrow key."""
        if event.key() in _OPENING and not event.modifiers():
            self.showPopup()
        else:
            super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 - Qt's name
        """Leave the wheel to what scrolls around it."""
        event.ignore()


def unmarked(text: str) -> str:
    """A text for a button or a label with a buddy, in which ``&`` marks no letter.

    >>> unmarked("P&T")
    'P&&T'
    """
    return text.replace("&", "&&")


def tip(text: str) -> str:
    """A text as a tool tip that shows markup as it stands.

    >>> tip("<b>P1</b>")
    '<qt>&lt;b&gt;P1&lt;/b&gt;</qt>'
    """
    # Qt takes every tip with a tag in it for rich text.
    return f"<qt>{escape(text)}</qt>" if "<" in text else text
