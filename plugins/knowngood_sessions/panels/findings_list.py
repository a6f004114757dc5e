"""The findings of a session as a list; choosing one tells more and shows its stretch of time in the plot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QFont
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from knowngood_sessions.panels.leading_dialog import ENTER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtCore import QModelIndex, QPersistentModelIndex
    from PySide6.QtGui import QKeyEvent, QResizeEvent

    from knowngood_sessions.findings_words import Line

_SPACE_PX = 3
_ANY_PX = 100


class FindingsList(QListWidget):
    """Lines of findings under headings; the chosen one shows its details.

    Attributes
    ----------
    chosen
        Signal with the `Line` that was chosen, None when none is any more.
    remove_wanted, change_wanted
        Signals with the `Line` on which Delete, or Enter, was pressed.
    """

    chosen = Signal(object)
    remove_wanted = Signal(object)
    change_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines: tuple[Line, ...] = ()
        self.setWordWrap(True)
        # An item's height is reckoned without the theme's padding: a wrapped line would be cut off.
        self.setStyleSheet(
            "QListWidget { font-size: 9pt; border: none; } QListWidget::item { padding: 0; margin: 0; }"
        )
        self.setSpacing(_SPACE_PX)
        self.setItemDelegate(_Wrapped(self))
        self.setAccessibleName("Findings of the session")
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.currentRowChanged.connect(self._choose)
        self.itemClicked.connect(lambda _: self._tell())

    @property
    def line(self) -> Line | None:
        """The line that is chosen."""
        row = self.currentRow()
        return self._lines[row] if 0 <= row < len(self._lines) else None

    def show_lines(self, lines: Sequence[Line]) -> None:
        """Show these lines in place of the former ones; what was chosen stays so where it still stands."""
        before, scrolled = self.line, self.verticalScrollBar().value()
        self.blockSignals(True)
        self.clear()
        self._lines = tuple(lines)
        for line in lines:
            self.addItem(self._item(line))
        again = [row for row, line in enumerate(lines) if before is not None and _same(line, before)]
        if again:
            self.setCurrentRow(again[0])
            self._write(again[0], opened=True)
        self.blockSignals(False)
        # The list of a log that is followed changes while someone reads it.
        self.doItemsLayout()
        self.verticalScrollBar().setValue(scrolled)

    def choose_window(self, window: int) -> None:
        """Choose the line of a window by its place among the findings."""
        self._choose_where([line.window == window for line in self._lines])

    def choose_event(self, event: int) -> None:
        """Choose the line of an event or note by its place among the findings."""
        self._choose_where([line.event == event for line in self._lines])

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Wrap the lines anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Delete removes, Enter changes what a person set; everything else moves through the list."""
        line = self.line
        if line is not None and event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.remove_wanted.emit(line)
        elif line is not None and event.key() in ENTER:
            self.change_wanted.emit(line)
        else:
            super().keyPressEvent(event)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """Narrow beside the plot."""
        return QSize(300, 240)

    def _item(self, line: Line) -> QListWidgetItem:
        item = QListWidgetItem(line.text)
        if line.heading:
            bold = QFont(self.font())
            bold.setBold(True)
            item.setFont(bold)
        if line.span_s is None:
            item.setFlags(Qt.ItemFlag.ItemIsEnabled)
        return item

    def _choose_where(self, wanted: Sequence[bool]) -> None:
        if True in wanted:
            self.setCurrentRow(list(wanted).index(True))
            self.scrollToItem(self.currentItem())

    def _choose(self, row: int) -> None:
        for other in range(len(self._lines)):
            self._write(other, opened=other == row)
        self._tell()

    def _write(self, row: int, *, opened: bool) -> None:
        line = self._lines[row]
        item = self.item(row)
        details = "".join(f"\n   {one}" for one in line.details) if opened else ""
        if item.text() != line.text + details:
            item.setText(line.text + details)

    def _tell(self) -> None:
        line = self.line
        self.chosen.emit(line if line is not None and line.span_s is not None else None)


class _Wrapped(QStyledItemDelegate):
    """Reckons the height of a line for the width that it is drawn in: the spacing is not part of it."""

    def sizeHint(  # noqa: N802 - Qt's name
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """The size of a line wrapped where it will be."""
        listed = self.parent()
        assert isinstance(listed, QListWidget)
        narrower = QStyleOptionViewItem(option)
        # The option gives out a copy of its rectangle.
        drawn = QRect(0, 0, listed.viewport().width() - 2 * _SPACE_PX, _ANY_PX)
        narrower.rect = drawn
        return super().sizeHint(narrower, index)


def _same(line: Line, other: Line) -> bool:
    """Whether two lines are about the same finding, whatever it says now and in which units."""
    where = (line.span_s, line.window is None, line.event is None, line.heading)
    return line.span_s is not None and where == (
        other.span_s,
        other.window is None,
        other.event is None,
        other.heading,
    )
