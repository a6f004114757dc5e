"""A list of vehicles that can be marked one by one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence

_ID = Qt.ItemDataRole.UserRole


class MarkedList(QListWidget):
    """Shows names with a mark each; Space marks and unmarks.

    Attributes
    ----------
    marked
        Signal without arguments: ask `marked_ids`.
    """

    marked = Signal()

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(name)
        self.itemChanged.connect(lambda _item: self.marked.emit())

    @property
    def marked_ids(self) -> tuple[int, ...]:
        """The ids of what is marked, in the order of the list."""
        items = (self.item(row) for row in range(self.count()))
        return tuple(item.data(_ID) for item in items if item.checkState() is Qt.CheckState.Checked)

    def show_rows(self, rows: Sequence[tuple[int, str]]) -> None:
        """Show other names, none of them marked."""
        self.blockSignals(True)
        self.clear()
        for number, name in rows:
            item = QListWidgetItem(name)
            item.setData(_ID, number)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Unchecked)
            self.addItem(item)
        self.blockSignals(False)
        self.marked.emit()

    def mark(self, row: int, *, marked: bool = True) -> None:
        """Mark a row or take its mark away."""
        self.item(row).setCheckState(Qt.CheckState.Checked if marked else Qt.CheckState.Unchecked)
