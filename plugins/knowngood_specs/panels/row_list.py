"""A list of things in two lines each, one of which can be chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtWidgets import QListView, QWidget

from knowngood_specs.panels.tips import tip
from knowngood_specs.panels.vehicle_list import SECOND_LINE, TwoLines

if TYPE_CHECKING:
    from collections.abc import Sequence

    Row = tuple[str, str]


class RowModel(QAbstractListModel):
    """Rows of a first and a quiet second line."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[Row, ...] = ()

    def set_rows(self, rows: Sequence[Row]) -> None:
        """Show other rows."""
        self.beginResetModel()
        self._rows = tuple(rows)
        self.endResetModel()

    def rowCount(self, parent: QModelIndex | QPersistentModelIndex | None = None) -> int:  # noqa: N802 - Qt's name
        """How many rows there are."""
        return 0 if parent is not None and parent.isValid() else len(self._rows)

    def data(
        self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Either line, or both for a screen reader and a tool tip."""
        if not 0 <= index.row() < len(self._rows):
            return None
        first, second = self._rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return first
        if role == SECOND_LINE:
            return second
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{first}\n{second}"
        if role == Qt.ItemDataRole.ToolTipRole:
            return tip(f"{first}\n{second}")
        return None


class RowList(QListView):
    """Shows rows.

    Attributes
    ----------
    chosen
        Signal with the number of the row that became the current one, -1 for none.
    """

    chosen = Signal(int)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows = RowModel(self)
        self.setModel(self.rows)
        self.setItemDelegate(TwoLines(self))
        self.setUniformItemSizes(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(name)
        self.selectionModel().currentChanged.connect(lambda index: self.chosen.emit(index.row()))

    @property
    def current(self) -> int:
        """The number of the row chosen, -1 for none."""
        return self.currentIndex().row()

    def show_rows(self, rows: Sequence[Row], choose: int = 0) -> None:
        """Show other rows and choose one of them; it is told even when it has the number of the last one."""
        self.blockSignals(True)
        self.rows.set_rows(rows)
        if rows:
            self.setCurrentIndex(self.rows.index(min(max(choose, 0), len(rows) - 1)))
        self.blockSignals(False)
        self.chosen.emit(self.current)
