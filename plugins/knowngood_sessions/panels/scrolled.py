"""A part of a card that scrolls, on the card's own white."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QWidget

from knowngood.widgets import theme

_WHITE = f"QScrollArea, QWidget#scrolled {{ background: {theme.CARD}; }}"


def scrolled(widget: QWidget, *, sideways: bool = True) -> QScrollArea:
    """The widget in a scroll area; without ``sideways`` it must fit the width."""
    widget.setObjectName("scrolled")
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setWidget(widget)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setStyleSheet(_WHITE)
    if not sideways:
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    return area
