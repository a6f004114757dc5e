"""The list of vehicles: a model over the records found, two lines a vehicle."""

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
from knowngood_specs.words import DOT, list_line, short_name

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtGui import QKeyEvent

    from knowngood_refdata.records import Vehicle

_MARGIN, _GAP = 9, 2
_SECOND_LINE = Qt.ItemDataRole.UserRole


class VehicleModel(QAbstractListModel):
    """The vehicles found, in their order; the vehicle in hand is marked."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._vehicles: tuple[Vehicle, ...] = ()
        self._in_hand: int | None = None

    def set_vehicles(self, vehicles: Sequence[Vehicle]) -> None:
        """Show other vehicles."""
        self.beginResetModel()
        self._vehicles = tuple(vehicles)
        self.endResetModel()

    def set_in_hand(self, vehicle_id: int | None) -> None:
        """Mark the vehicle in hand."""
        self._in_hand = vehicle_id
        if self._vehicles:
            self.dataChanged.emit(self.index(0), self.index(len(self._vehicles) - 1))

    def vehicle(self, row: int) -> Vehicle | None:
        """The vehicle of a row, None when there is no such row."""
        return self._vehicles[row] if 0 <= row < len(self._vehicles) else None

    def row_of(self, vehicle_id: int) -> int | None:
        """The row of a vehicle, None when it is not among those found."""
        rows = (row for row, one in enumerate(self._vehicles) if one.id == vehicle_id)
        return next(rows, None)

    def rowCount(self, parent: QModelIndex | QPersistentModelIndex | None = None) -> int:  # noqa: N802 - Qt's name
        """How many vehicles were found."""
        return 0 if parent is not None and parent.isValid() else len(self._vehicles)

    def data(
        self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Name, second line, or both for a screen reader and a tool tip."""
        vehicle = self.vehicle(index.row())
        if vehicle is None:
            return None
        mark = f"in hand{DOT}" if vehicle.id == self._in_hand else ""
        if role == Qt.ItemDataRole.DisplayRole:
            return short_name(vehicle)
        if role == _SECOND_LINE:
            return mark + list_line(vehicle)
        if role in (Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole):
            return f"{vehicle.name}\n{mark}{list_line(vehicle)}"
        return None


class _TwoLines(QStyledItemDelegate):
    """Paints the name above the quiet second line, both cut short when the list is narrow."""

    def sizeHint(self, option: QStyleOptionViewItem, _index: QModelIndex | QPersistentModelIndex) -> QSize:  # noqa: N802 - Qt's name
        """Two lines high."""
        name, second = _fonts(option.font)
        height = QFontMetrics(name).height() + _GAP + QFontMetrics(second).height() + 2 * _MARGIN
        return QSize(120, height)

    def paint(
        self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> None:
        """Draw one vehicle."""
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        whole = option.rect
        painter.save()
        if chosen:
            painter.fillRect(whole, QColor(theme.BAND_OUTER))
            # The bar tells the chosen row by shape as well as by colour.
            painter.fillRect(whole.x(), whole.y(), 4, whole.height(), QColor(theme.ACCENT))
        box = whole.adjusted(_MARGIN + 4, _MARGIN, -_MARGIN, -_MARGIN)
        name, second = _fonts(option.font)
        for text, font, colour, where in (
            (index.data(), name, theme.INK, Qt.AlignmentFlag.AlignTop),
            (index.data(_SECOND_LINE), second, theme.QUIET, Qt.AlignmentFlag.AlignBottom),
        ):
            painter.setFont(font)
            painter.setPen(QColor(colour))
            short = QFontMetrics(font).elidedText(text, Qt.TextElideMode.ElideRight, box.width())
            painter.drawText(box, int(where | Qt.AlignmentFlag.AlignLeft), short)
        painter.restore()


class VehicleList(QListView):
    """One vehicle can be chosen; Enter or a double click takes it in hand.

    Attributes
    ----------
    chosen
        Signal with the `Vehicle` that became the current one.
    taken
        Signal with the `Vehicle` on Enter or a double click.
    """

    chosen = Signal(object)
    taken = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.found = VehicleModel(self)
        self.setModel(self.found)
        self.setItemDelegate(_TwoLines(self))
        self.setUniformItemSizes(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("vehicles found")
        self.selectionModel().currentChanged.connect(self._tell)
        self.activated.connect(self._take)

    def choose(self, row: int) -> None:
        """Make a row the current one."""
        index = self.found.index(row)
        self.setCurrentIndex(index)
        self.scrollTo(index)

    def _tell(self, index: QModelIndex) -> None:
        if (vehicle := self.found.vehicle(index.row())) is not None:
            self.chosen.emit(vehicle)

    def _take(self, index: QModelIndex) -> None:
        if (vehicle := self.found.vehicle(index.row())) is not None:
            self.taken.emit(vehicle)


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
        self.setPlaceholderText("Year, make, model, engine, refrigerant")
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
