"""Small parts that the steps of an import share."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

_WIDTH = 330


def scrolled(widget: QWidget, width: int = _WIDTH) -> QScrollArea:
    """A column of cards that scrolls where there is little height."""
    widget.setObjectName("page")
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setWidget(widget)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFixedWidth(width)
    return area


def fit_to_window(dialog: QWidget, width: int = 1140, height: int = 700) -> None:
    """Be as large as is useful, and no larger than the window or the screen."""
    parent = dialog.parentWidget()
    room = parent.window().size() if parent is not None else dialog.screen().availableSize()
    dialog.resize(min(width, max(640, room.width() - 30)), min(height, max(420, room.height() - 30)))
