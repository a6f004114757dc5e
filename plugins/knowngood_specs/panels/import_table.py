"""Tables of many rows for the import: the cells are made when they come into view."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtGui import QGuiApplication, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QKeyEvent, QResizeEvent

_Index = QModelIndex | QPersistentModelIndex
_ROW_PX = 26
_LAST_PX, _LEAST_PX = 190, 64
_MOST_COPIED = 10_000


class TextTable(QAbstractTableModel):
    """A table of texts under headings; a subclass says how many rows there are and what they say."""

    headings: tuple[str, ...] = ()

    def count(self) -> int:
        """How many rows there are."""
        raise NotImplementedError

    def cell(self, row: int, column: int) -> str:
        """What a cell says."""
        raise NotImplementedError

    def rowCount(self, parent: _Index | None = None) -> int:  # noqa: N802 - Qt's name
        """How many rows there are."""
        return 0 if parent is not None and parent.isValid() else self.count()

    def columnCount(self, parent: _Index | None = None) -> int:  # noqa: N802 - Qt's name
        """How many columns there are."""
        return 0 if parent is not None and parent.isValid() else len(self.headings)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """A cell's text, in full as a tool tip as well."""
        wanted = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole)
        if not index.isValid() or role not in wanted:
            return None
        text = self.cell(index.row(), index.column())
        if role == Qt.ItemDataRole.ToolTipRole:
            # A tool tip takes text for markup where it looks like it.
            return text.replace("&", "&amp;").replace("<", "&lt;") if text else None
        return text.replace("\n", " ")

    def headerData(  # noqa: N802 - Qt's name
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """The headings."""
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole:
            return self.headings[section]
        if orientation is Qt.Orientation.Horizontal and role == Qt.ItemDataRole.TextAlignmentRole:
            return int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        return None

    def renew(self) -> None:
        """Show everything anew; the rows are the same."""
        if self.count():
            last = self.index(self.count() - 1, len(self.headings) - 1)
            self.dataChanged.emit(self.index(0, 0), last)


class RowsView(QTableView):
    """Shows a `TextTable`: whole rows are chosen, Tab goes on to the next widget, Ctrl+C copies."""

    def __init__(self, name: str, widths: Sequence[int], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._widths = tuple(widths)
        self.setAccessibleName(name)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.setWordWrap(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        rows = self.verticalHeader()
        rows.hide()
        # Rows of one fixed height are never measured, however many there are.
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.setDefaultSectionSize(_ROW_PX)
        self.horizontalHeader().setHighlightSections(False)
        self.horizontalHeader().setStretchLastSection(True)

    def show_table(self, table: TextTable) -> None:
        """Show a table, its columns as wide as was asked for where there is room."""
        self.setModel(table)
        self._fit()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Share the new width out."""
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self._fit()

    def _fit(self) -> None:
        part = min(1.0, (self.viewport().width() - _LAST_PX) / sum(self._widths))
        for column, width in enumerate(self._widths):
            self.setColumnWidth(column, max(min(width, _LEAST_PX), round(part * width)))

    def chosen(self) -> list[int]:
        """The rows chosen, in order."""
        chosen = self.selectionModel().selection()
        ranges = [(one.top(), one.bottom()) for one in map(chosen.at, range(chosen.count()))]
        return sorted({row for top, bottom in ranges for row in range(top, bottom + 1)})

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Copy with Ctrl+C what a spreadsheet can take; the rest is Qt's."""
        table = self.model()
        if event.matches(QKeySequence.StandardKey.Copy) and isinstance(table, TextTable):
            columns = range(len(table.headings))
            lines = [[table.cell(row, one) for one in columns] for row in self.chosen()[:_MOST_COPIED]]
            QGuiApplication.clipboard().setText("\n".join("\t".join(one) for one in lines))
            return
        super().keyPressEvent(event)
