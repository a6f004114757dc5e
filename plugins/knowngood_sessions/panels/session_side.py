"""The column beside the plots: findings, channels and overlay in turn, and below them the numbers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QSplitter, QStackedWidget, QTabBar, QWidget

from knowngood.widgets import Card

if TYPE_CHECKING:
    from collections.abc import Sequence

_ABOVE, _BELOW = 330, 250


class SessionSide(QSplitter):
    """A card whose content is chosen by tabs, above a card that is always in view."""

    def __init__(
        self, parts: Sequence[tuple[str, QWidget]], below: QWidget, parent: QWidget | None = None
    ) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self.setChildrenCollapsible(False)
        self.tabs = QTabBar()
        self.tabs.setObjectName("sections")
        self.tabs.setDrawBase(False)
        self.tabs.setExpanding(False)
        self.tabs.setAccessibleName("What stands beside the plots")
        self._stack = QStackedWidget()
        for title, part in parts:
            self.tabs.addTab(title)
            self._stack.addWidget(part)
        self.tabs.currentChanged.connect(self._stack.setCurrentIndex)
        upper, lower = Card(), Card()
        for card in (upper, lower):
            card.setContentsMargins(-6, -4, -6, -4)
        upper.body.addWidget(self.tabs)
        upper.body.addWidget(self._stack, stretch=1)
        lower.body.addWidget(below)
        lower.setMinimumHeight(120)
        for card in (upper, lower):
            self.addWidget(card)
        self.setStretchFactor(0, 3)
        self.setStretchFactor(1, 2)
        self.setSizes([_ABOVE, _BELOW])
