"""The findings of a session as a list; choosing one shows its stretch of time in the plot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QResizeEvent

    from knowngood_sessions.findings_words import Line

_SPAN = Qt.ItemDataRole.UserRole


class FindingsList(QListWidget):
    """Lines of findings under headings.

    Attributes
    ----------
    chosen
        Signal with start and end in seconds.
    """

    chosen = Signal(float, float)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWordWrap(True)
        # An item's height is reckoned without the theme's padding: a wrapped line would be cut off.
        self.setStyleSheet(
            "QListWidget { font-size: 9pt; border: none; } QListWidget::item { padding: 0; margin: 0; }"
        )
        self.setSpacing(4)
        self.setAccessibleName("Findings of the session")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.itemClicked.connect(self._choose)
        self.currentItemChanged.connect(self._choose)

    def show_lines(self, lines: Sequence[Line]) -> None:
        """Show these lines in place of the former ones."""
        self.blockSignals(True)
        self.clear()
        bold = QFont(self.font())
        bold.setBold(True)
        for line in lines:
            item = QListWidgetItem(line.text)
            item.setData(_SPAN, line.span_s)
            if line.heading:
                item.setFont(bold)
            if line.span_s is None:
                item.setFlags(Qt.ItemFlag.ItemIsEnabled)
            self.addItem(item)
        self.blockSignals(False)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Wrap the lines anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Narrow beside the plot."""
        return QSize(300, 400)

    def _choose(self, item: QListWidgetItem | None) -> None:
        span = item.data(_SPAN) if item is not None else None
        if span is not None:
            self.chosen.emit(*span)
