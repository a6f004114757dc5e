"""Ranked explanations as rows with a bar and a word; the one in front shows its evidence."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import theme
from knowngood.widgets.form import words
from knowngood_checkup.core.explained import Standing
from knowngood_checkup.explain_words import argument_words, percent, size_words, strength

if TYPE_CHECKING:
    from PySide6.QtGui import QPaintEvent

    from knowngood.api import Host
    from knowngood_checkup.core.explain.arguments import Argument
    from knowngood_checkup.core.explain.inference import Weighed
    from knowngood_checkup.core.explained import Explained

HEADS = ("Explanation", "Size", "Probability", "")
MOST_ROWS, MOST_ARGUMENTS = 7, 4
ROW_HEIGHT = 26


class ExplanationList(QWidget):
    """Rows by probability; arrow keys move, and the evidence below follows."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self._explained: Explained | None = None
        self._rows: tuple[Weighed, ...] = ()
        self.table = QTableWidget(0, len(HEADS))
        self.table.setAccessibleName("Explanations by probability")
        self.table.setHorizontalHeaderLabels(list(HEADS))
        self.table.verticalHeader().hide()
        self.table.setShowGrid(False)
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().setDefaultSectionSize(ROW_HEIGHT)
        self.table.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        head = self.table.horizontalHeader()
        head.setHighlightSections(False)
        head.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        for column in range(3):
            head.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
        head.setSectionResizeMode(3, QHeaderView.ResizeMode.Stretch)
        self.table.currentCellChanged.connect(lambda *_: self._show_evidence())
        self.evidence = words("body")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.table)
        layout.addWidget(self.evidence)

    def show_explained(self, explained: Explained | None) -> None:
        """Show other explanations; the row in front stays in front while it is listed."""
        before = self._chosen()
        self._explained = explained
        self._rows = () if explained is None else _listed(explained)
        self.table.setRowCount(len(self._rows))
        for number, one in enumerate(self._rows):
            for column, text in enumerate((str(one.fault), size_words(one), percent(one.probability))):
                item = QTableWidgetItem(text)
                if column == 2:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(number, column, item)
            self.table.setCellWidget(number, 3, _Bar(one.probability))
        self.table.setVisible(bool(self._rows))
        height = self.table.horizontalHeader().sizeHint().height() + ROW_HEIGHT * len(self._rows) + 4
        self.table.setFixedHeight(height)
        kept = next(
            (place for place, one in enumerate(self._rows) if before and one.fault is before.fault), 0
        )
        self.table.setCurrentCell(kept if self._rows else -1, 0)
        self._show_evidence()

    def _chosen(self) -> Weighed | None:
        row = self.table.currentRow()
        return self._rows[row] if 0 <= row < len(self._rows) else None

    def _show_evidence(self) -> None:
        chosen = self._chosen()
        if chosen is None or self._explained is None:
            self.evidence.setText("")
            self.evidence.hide()
            return
        self.evidence.show()
        told = self._explained.arguments.get(chosen.fault, ())
        parts = [self._told(f"For {chosen.fault}", [one for one in told if one.odds > 0.0])]
        parts.append(self._told(f"Against {chosen.fault}", [one for one in told if one.odds < 0.0]))
        self.evidence.setText(
            "\n".join(part for part in parts if part) or "No single value tells for or against it."
        )

    def _told(self, head: str, found: list[Argument]) -> str:
        if not found:
            return ""
        system = self._host.units.system
        lines = [f"   {argument_words(one, system)} ({strength(one)})" for one in found[:MOST_ARGUMENTS]]
        return "\n".join([f"{head}:", *lines])


def _listed(explained: Explained) -> tuple[Weighed, ...]:
    if explained.standing is Standing.NOTHING:
        return ()
    return tuple(one for one in explained.weighed if one.fault in explained.arguments)[:MOST_ROWS]


class _Bar(QWidget):
    """A bar as long as a probability."""

    def __init__(self, share: float) -> None:
        super().__init__()
        self._share = share

    def paintEvent(self, _event: QPaintEvent) -> None:  # noqa: N802 - Qt's name
        """Draw the bar on its track."""
        painter = QPainter(self)
        room = QRectF(self.rect()).adjusted(6, 8, -6, -8)
        painter.fillRect(room, QColor(theme.TRACK))
        painter.fillRect(
            QRectF(
                room.topLeft(),
                room.size().scaled(
                    room.width() * self._share, room.height(), Qt.AspectRatioMode.IgnoreAspectRatio
                ),
            ),
            QColor(theme.ACCENT),
        )
