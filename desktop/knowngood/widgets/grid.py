"""A plain table of answers that can be read, copied and printed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_ROW_PX = 24


class Grid(QTableWidget):
    """Rows of numbers under headings; Ctrl+C copies the chosen rows with their heads.

    ``words_first`` makes the first column one of words, as wide as they need; ``words_last`` the last one,
    which then takes the room that is left.
    """

    def __init__(
        self, name: str, parent: QWidget | None = None, *, words_first: bool = False, words_last: bool = False
    ) -> None:
        super().__init__(parent)
        self._words_first, self._words_last = words_first, words_last
        self._headings: tuple[str, ...] = ()
        self.setAccessibleName(name)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(_ROW_PX)
        self.horizontalHeader().setHighlightSections(False)

    def write(self, headings: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        """Show other rows; the place that is in view stays."""
        # Widths that follow the contents would be measured anew after every single cell.
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.setColumnCount(len(headings))
        self.setHorizontalHeaderLabels(list(headings))
        self.setRowCount(len(rows))
        for row, cells in enumerate(rows):
            for column, text in enumerate(cells):
                self._write_cell(row, column, text)
        self._headings = tuple(headings)
        for column in range(len(headings)):
            heading = self.horizontalHeaderItem(column)
            assert heading is not None
            heading.setTextAlignment(self._alignment(column))
        mode = QHeaderView.ResizeMode
        self.horizontalHeader().setSectionResizeMode(
            mode.ResizeToContents if self._words_first else mode.Stretch
        )
        if self._words_first and headings:
            widest = len(headings) - 1 if self._words_last else 0
            self.horizontalHeader().setSectionResizeMode(widest, mode.Stretch)

    def _alignment(self, column: int) -> Qt.AlignmentFlag:
        first = self._words_first and column == 0
        last = self._words_last and column == self.columnCount() - 1
        return _LEFT if first or last else _RIGHT

    def _write_cell(self, row: int, column: int, text: str) -> None:
        item = self.item(row, column)
        if item is None:
            item = QTableWidgetItem(text)
            item.setTextAlignment(self._alignment(column))
            self.setItem(row, column, item)
        elif item.text() != text:
            item.setText(text)

    def text(self, row: int, column: int) -> str:
        """What a cell says."""
        item = self.item(row, column)
        return "" if item is None else item.text()

    def fit_rows(self) -> None:
        """Be just as high as the rows need."""
        height = self.horizontalHeader().sizeHint().height() + self.rowCount() * _ROW_PX + 4
        self.setFixedHeight(height)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Copy with Ctrl+C what a spreadsheet can take; the rest is Qt's."""
        if event.matches(QKeySequence.StandardKey.Copy):
            QGuiApplication.clipboard().setText(self._chosen())
            return
        super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        """Keep Ctrl+C from being taken by anybody else while the table has the focus."""
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.matches(QKeySequence.StandardKey.Copy)
        ):
            event.accept()
            return True
        return super().event(event)

    def _chosen(self) -> str:
        rows = sorted({index.row() for index in self.selectedIndexes()}) or range(self.rowCount())
        columns = range(self.columnCount())
        head = "\t".join(heading.replace("\n", " ") for heading in self._headings)
        return "\n".join([head, *("\t".join(self.text(row, column) for column in columns) for row in rows)])
