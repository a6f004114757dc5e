"""The frame around a page: it shrinks the page as far as the page can, and scrolls only beyond that."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QSize
from PySide6.QtWidgets import QScrollArea, QWidget

if TYPE_CHECKING:
    from PySide6.QtGui import QResizeEvent


class PageFrame(QScrollArea):
    """Holds one page, so that a small screen or a large font cuts nothing off.

    Qt's own resizing frame scrolls as soon as a page with wrapped text is lower than it would like to be;
    this one gives such a page its least height first.
    """

    def __init__(self, page: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._page = page
        self.setWidget(page)
        page.installEventFilter(self)
        self.setFocusProxy(page)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give the page the new room."""
        super().resizeEvent(event)
        self._fit()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 - Qt's name
        """Fit the page anew when what it holds has changed."""
        if watched is self._page and event.type() == QEvent.Type.LayoutRequest:
            self._fit()
        return super().eventFilter(watched, event)

    def _fit(self) -> None:
        room = self.maximumViewportSize()
        least = _least(self._page, room)
        if least.height() > room.height():
            room.setWidth(room.width() - self.verticalScrollBar().sizeHint().width())
            least = _least(self._page, room)
        self._page.resize(room.expandedTo(least))


def _least(page: QWidget, room: QSize) -> QSize:
    """The least size at which a page shows everything in a room of this width."""
    least = page.minimumSizeHint().expandedTo(page.minimumSize())
    layout = page.layout()
    if layout is not None and layout.hasHeightForWidth():
        width = max(room.width(), least.width())
        least.setHeight(max(page.minimumHeight(), layout.totalMinimumHeightForWidth(width)))
    return least
