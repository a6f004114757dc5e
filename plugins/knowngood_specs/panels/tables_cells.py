"""Cells to type a printed block into, headings in the first line; a spreadsheet's cells can be pasted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QTableWidget, QTableWidgetItem, QWidget

from knowngood_specs.core.tables.blocks import cells_of, text_of

if TYPE_CHECKING:
    from collections.abc import Sequence

LEAST_ROWS, LEAST_COLUMNS = 6, 3
MOST_PASTED = 200
"""No printed table has so many rows or columns: more is a slip of the clipboard."""
TOO_LARGE = "What lies on the clipboard is too large for a printed table; nothing was pasted."


class CellsEdit(QTableWidget):
    """Typed cells as one text, parted by tabs; there is always one empty line and column more.

    Attributes
    ----------
    edited
        Signal without arguments: ask `text`.
    refused
        Signal with a sentence: something was not pasted.
    """

    edited = Signal()
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName("Cells of the table, headings in the first line")
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.SelectedClicked
        )
        self.horizontalHeader().hide()
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(26)
        self.horizontalHeader().setDefaultSectionSize(118)
        self.setMinimumHeight(190)
        # Tab leads on to the next field; the arrow keys move among the cells.
        self.setTabKeyNavigation(False)
        self._filling = False
        self.itemChanged.connect(self._changed)
        self.set_text("")

    def text(self) -> str:
        """The cells as text."""
        return text_of(
            [
                [self._cell(row, column) for column in range(self.columnCount())]
                for row in range(self.rowCount())
            ]
        )

    def set_text(self, text: str) -> None:
        """Show the cells of a text."""
        self._filling = True
        self.clear()
        cells = cells_of(text)
        self.setRowCount(max(LEAST_ROWS, len(cells) + 1))
        self.setColumnCount(max(LEAST_COLUMNS, max(map(len, cells), default=0) + 1))
        self._write(0, 0, cells)
        self._filling = False

    def paste(self, text: str) -> None:
        """Write the cells of a text from the current cell on."""
        cells = cells_of(text)
        if len(cells) > MOST_PASTED or max(map(len, cells), default=0) > MOST_PASTED:
            self.refused.emit(TOO_LARGE)
            return
        row, column = max(self.currentRow(), 0), max(self.currentColumn(), 0)
        self._filling = True
        self._write(row, column, cells)
        self._filling = False
        self._changed()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Paste with Ctrl+V, empty the chosen cells with Delete, go down with Return; the rest is Qt's."""
        if event.matches(QKeySequence.StandardKey.Paste):
            self.paste(QGuiApplication.clipboard().text())
        elif event.matches(QKeySequence.StandardKey.Delete):
            self._empty_chosen()
        elif event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            # Left to Qt it would press the dialog's Save button.
            self.setCurrentCell(self.currentRow() + 1, max(self.currentColumn(), 0))
        else:
            super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Keep Ctrl+V from being taken by anybody else while the cells have the focus."""
        wanted = event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent)
        if wanted and isinstance(event, QKeyEvent) and event.matches(QKeySequence.StandardKey.Paste):
            event.accept()
            return True
        return super().event(event)

    def _empty_chosen(self) -> None:
        self._filling = True
        for item in self.selectedItems():
            item.setText("")
        self._filling = False
        self._changed()

    def _cell(self, row: int, column: int) -> str:
        item = self.item(row, column)
        return "" if item is None else item.text()

    def _write(self, row: int, column: int, cells: Sequence[Sequence[str]]) -> None:
        self._make_room(row + len(cells), column + max(map(len, cells), default=0))
        for down, line in enumerate(cells):
            for across, text in enumerate(line):
                self.setItem(row + down, column + across, QTableWidgetItem(text))
        self._embolden()

    def _changed(self) -> None:
        if self._filling:
            return
        self._filling = True
        filled = [
            (row, column)
            for row in range(self.rowCount())
            for column in range(self.columnCount())
            if self._cell(row, column)
        ]
        rows, columns = (max((one[place] for one in filled), default=0) + 1 for place in (0, 1))
        self._make_room(rows, columns)
        self._embolden()
        self._filling = False
        self.edited.emit()

    def _make_room(self, rows: int, columns: int) -> None:
        self.setRowCount(max(self.rowCount(), rows + 1))
        self.setColumnCount(max(self.columnCount(), columns + 1))

    def _embolden(self) -> None:
        for column in range(self.columnCount()):
            item = self.item(0, column)
            if item is not None:
                font = item.font()
                font.setBold(True)
                item.setFont(font)
