"""Which channel stands on which plot: a row a channel, a column a plot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QColor
from PySide6.QtWidgets import (
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from knowngood_sessions.channel_layout import MOST_PLOTS, USUAL, toggled

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_sessions.channel_layout import Layout
    from knowngood_sessions.traces import Trace

_ROW_PX, _COLUMN_PX = 22, 30
_HINT = "Tick the plots, counted from the top, that a channel is drawn on. A tick under + makes a new plot."


class ChannelChooser(QWidget):
    """A table of ticks; the space key ticks, arrows move.

    Attributes
    ----------
    changed
        Signal with the new layout.
    """

    changed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._offered: tuple[Trace, ...] = ()
        self._layout: Layout = USUAL
        hint = QLabel(_HINT)
        hint.setObjectName("quiet")
        hint.setWordWrap(True)
        self.table = QTableWidget()
        self.table.setStyleSheet("QTableView { font-size: 9pt; border: none; }")
        self.table.setAccessibleName("Channels and the plots they are drawn on")
        self.table.setShowGrid(False)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setDefaultSectionSize(_ROW_PX)
        self.table.itemChanged.connect(self._tick)
        self.usual = QPushButton("Usual plots")
        self.usual.setObjectName("link")
        self.usual.clicked.connect(lambda: self.changed.emit(USUAL))
        row = QHBoxLayout()
        row.addWidget(self.usual)
        row.addStretch()
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(hint)
        layout.addWidget(self.table, stretch=1)
        layout.addLayout(row)

    def show_channels(self, offered: Sequence[Trace], layout: Layout) -> None:
        """Show what a session offers, and where it stands."""
        self._offered, self._layout = tuple(offered), layout
        held = {one.key for one in offered}
        # A plot of the layout for which this session has no channel is not drawn, and has no column.
        self._drawn = [place for place, keys in enumerate(layout) if held & set(keys)]
        columns = len(self._drawn) + (len(layout) < MOST_PLOTS)
        blocked = QSignalBlocker(self.table)
        self.table.setRowCount(len(offered))
        self.table.setColumnCount(1 + columns)
        names = [str(number) for number in range(1, len(self._drawn) + 1)]
        self.table.setHorizontalHeaderLabels(["Channel", *names, "+"][: 1 + columns])
        header = self.table.horizontalHeader()
        header.setMinimumSectionSize(_COLUMN_PX)
        header.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        header.setDefaultSectionSize(_COLUMN_PX)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        for row, trace in enumerate(self._offered):
            self._write(row, trace, columns)
        blocked.unblock()

    def _write(self, row: int, trace: Trace, columns: int) -> None:
        name = QTableWidgetItem(trace.title)
        name.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
        name.setData(Qt.ItemDataRole.DecorationRole, QColor(trace.colour))
        name.setToolTip("worked out" if trace.worked_out else "recorded")
        self.table.setItem(row, 0, name)
        for column in range(columns):
            on = column < len(self._drawn) and trace.key in self._layout[self._drawn[column]]
            cell = QTableWidgetItem()
            cell.setFlags(
                Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsUserCheckable | Qt.ItemFlag.ItemIsSelectable
            )
            cell.setCheckState(Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)
            where = f"plot {column + 1}" if column < len(self._drawn) else "a new plot"
            cell.setData(Qt.ItemDataRole.AccessibleTextRole, f"{trace.title} on {where}")
            self.table.setItem(row, 1 + column, cell)

    def _tick(self, item: QTableWidgetItem) -> None:
        column = item.column() - 1
        if column < 0:
            return
        plot = self._drawn[column] if column < len(self._drawn) else len(self._layout)
        self.changed.emit(toggled(self._layout, plot, self._offered[item.row()].key))
