"""The list of vehicles: a model over the lines found, two lines a vehicle."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter
from PySide6.QtWidgets import (
    QApplication,
    QLineEdit,
    QListView,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from knowngood.widgets import theme
from knowngood_specs.list_words import DOT, list_line, short_name
from knowngood_specs.panels.tips import tip

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QKeyEvent

    from knowngood_refdata.queries.finding import VehicleLine

_MARGIN, _GAP = 9, 2
SECOND_LINE = Qt.ItemDataRole.UserRole


class VehicleModel(QAbstractListModel):
    """The lines of the vehicles found, in their order; the vehicle in hand is marked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lines: tuple[VehicleLine, ...] = ()
        self._rows: dict[int, int] = {}
        self._in_hand: int | None = None
        self._in_conflict: frozenset[int] = frozenset()

    def set_lines(self, lines: Sequence[VehicleLine]) -> None:
        """Show other vehicles."""
        self.beginResetModel()
        self._lines = tuple(lines)
        self._rows = {one.id: row for row, one in enumerate(self._lines)}
        self.endResetModel()

    def set_in_hand(self, vehicle_id: int | None) -> None:
        """Mark the vehicle in hand."""
        before, self._in_hand = self._in_hand, vehicle_id
        for one in {before, vehicle_id} - {None}:
            row = self._rows.get(one)  # type: ignore[arg-type]
            if row is not None:
                self.dataChanged.emit(self.index(row), self.index(row))

    def set_in_conflict(self, vehicle_ids: frozenset[int]) -> None:
        """Mark the vehicles with values that differ."""
        if vehicle_ids != self._in_conflict:
            self._in_conflict = vehicle_ids
            self.dataChanged.emit(self.index(0), self.index(len(self._lines) - 1))

    def line(self, row: int) -> VehicleLine | None:
        """The line of a row, None when there is no such row."""
        return self._lines[row] if 0 <= row < len(self._lines) else None

    def row_of(self, vehicle_id: int) -> int | None:
        """The row of a vehicle, None when it is not among those found."""
        return self._rows.get(vehicle_id)

    def rowCount(self, parent: QModelIndex | QPersistentModelIndex | None = None) -> int:  # noqa: N802 - Qt's name
        """How many vehicles were found."""
        return 0 if parent is not None and parent.isValid() else len(self._lines)

    def data(
        self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Name, second line, or both for a screen reader and a tool tip."""
        line = self.line(index.row())
        if line is None:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return short_name(line)
        if role == SECOND_LINE:
            return self._below(line)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{line.name}\n{self._below(line)}"
        if role == Qt.ItemDataRole.ToolTipRole:
            return tip(f"{line.name}\n{self._below(line)}")
        return None

    def _below(self, line: VehicleLine) -> str:
        mark = f"in hand{DOT}" if line.id == self._in_hand else ""
        return mark + list_line(line, in_conflict=line.id in self._in_conflict)


class TwoLines(QStyledItemDelegate):
    """Paints the name above the quiet second line, both cut short when the list is narrow."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._lettering: tuple[str, _Lettering, _Lettering] | None = None

    def sizeHint(self, option: QStyleOptionViewItem, _index: QModelIndex | QPersistentModelIndex) -> QSize:  # noqa: N802 - Qt's name
        """Two lines high."""
        name, second = self._both(option.font)
        return QSize(120, name.metrics.height() + _GAP + second.metrics.height() + 2 * _MARGIN)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Draw one vehicle."""
        whole = option.rect
        painter.save()
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(whole, QColor(theme.BAND_OUTER))
            # The bar tells the chosen row by shape as well as by colour.
            painter.fillRect(whole.x(), whole.y(), 4, whole.height(), QColor(theme.ACCENT))
        box = whole.adjusted(_MARGIN + 4, _MARGIN, -_MARGIN, -_MARGIN)
        name, second = self._both(option.font)
        for text, letters, colour, where in (
            (index.data(), name, theme.INK, Qt.AlignmentFlag.AlignTop),
            (index.data(SECOND_LINE), second, theme.QUIET, Qt.AlignmentFlag.AlignBottom),
        ):
            painter.setFont(letters.font)
            painter.setPen(QColor(colour))
            short = letters.metrics.elidedText(text, Qt.TextElideMode.ElideRight, box.width())
            painter.drawText(box, int(where | Qt.AlignmentFlag.AlignLeft), short)
        painter.restore()

    def _both(self, base: QFont) -> tuple[_Lettering, _Lettering]:
        # Made once for a font: making them for every row takes longer than drawing it.
        if self._lettering is None or self._lettering[0] != base.key():
            name, second = _fonts(base)
            self._lettering = base.key(), _Lettering(name), _Lettering(second)
        return self._lettering[1:]


class _Lettering:
    """A font with its metrics."""

    def __init__(self, font: QFont) -> None:
        self.font, self.metrics = font, QFontMetrics(font)


class VehicleList(QListView):
    """One vehicle can be chosen; Enter or a double click takes it in hand.

    Attributes
    ----------
    chosen
        Signal with the id of the vehicle that became the current one.
    taken
        Signal with the id of a vehicle on Enter or a double click.
    moved
        Signal without arguments: other vehicles are in sight.
    """

    chosen = Signal(int)
    taken = Signal(int)
    moved = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.found = VehicleModel(self)
        self.setModel(self.found)
        self.setItemDelegate(TwoLines(self))
        self.setUniformItemSizes(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("vehicles found")
        self.selectionModel().currentChanged.connect(self._tell)
        self.activated.connect(self._take)
        self.verticalScrollBar().valueChanged.connect(lambda _place: self.moved.emit())

    @property
    def current(self) -> int | None:
        """The id of the vehicle chosen, None when there is none."""
        line = self.found.line(self.currentIndex().row())
        return None if line is None else line.id

    @property
    def in_sight(self) -> list[int]:
        """The ids of the vehicles that can be seen."""
        first, last = (
            self.indexAt(self.viewport().rect().topLeft()).row(),
            self.indexAt(self.viewport().rect().bottomLeft()).row(),
        )
        rows = range(max(first, 0), (last if last >= 0 else self.found.rowCount() - 1) + 1)
        return [line.id for row in rows if (line := self.found.line(row)) is not None]

    def choose(self, row: int) -> None:
        """Make a row the current one."""
        index = self.found.index(row)
        self.setCurrentIndex(index)
        self.scrollTo(index)

    def _tell(self, index: QModelIndex) -> None:
        if (line := self.found.line(index.row())) is not None:
            self.chosen.emit(line.id)

    def _take(self, index: QModelIndex) -> None:
        if (line := self.found.line(index.row())) is not None:
            self.taken.emit(line.id)


class SearchField(QLineEdit):
    """The words to search for; Enter or the down arrow goes on to the list.

    Attributes
    ----------
    onward
        Signal without arguments: the reader goes on to the list.
    """

    onward = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setPlaceholderText("Year, make, model, engine, fleet number, VIN")
        self.setAccessibleName("search for vehicles")
        self.setClearButtonEnabled(True)
        self.returnPressed.connect(self.onward)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Let the down arrow leave the field and Escape empty it."""
        if event.key() == Qt.Key.Key_Down:
            self.onward.emit()
        elif event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
        else:
            super().keyPressEvent(event)


def _fonts(base: QFont) -> tuple[QFont, QFont]:
    # The widget's own font: the style sheet's size does not reach a delegate's option on every platform.
    name, second = QFont(base), QFont(base)
    size = base.pointSizeF() if base.pointSizeF() > 0 else QApplication.font().pointSizeF()
    name.setWeight(QFont.Weight.DemiBold)
    second.setPointSizeF(0.9 * size)
    return name, second
