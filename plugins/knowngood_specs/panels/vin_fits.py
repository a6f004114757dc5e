"""The vehicles that fit a VIN, the best first, and every reason for the one chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtWidgets import QListView, QVBoxLayout, QWidget

from knowngood_specs.core.vin_search import fit_line
from knowngood_specs.list_words import DOT, short_name, variant
from knowngood_specs.panels.labels import plain
from knowngood_specs.panels.tips import tip
from knowngood_specs.panels.vehicle_list import SECOND_LINE, TwoLines

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from knowngood_refdata.queries.vin_candidates import Candidate
    from knowngood_refdata.records import Unit
    from knowngood_refdata.vin_fitting import Fit


class FitModel(QAbstractListModel):
    """Fits in two lines each: the vehicle, and how well it fits."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._fits: tuple[Fit[Candidate], ...] = ()
        self._cars: Mapping[int, Unit] = {}

    def set_fits(self, fits: Sequence[Fit[Candidate]], cars: Mapping[int, Unit]) -> None:
        """Show other fits; ``cars`` are cars on record with this VIN, by the id of their vehicle."""
        self.beginResetModel()
        self._fits, self._cars = tuple(fits), cars
        self.endResetModel()

    def fit(self, row: int) -> Fit[Candidate] | None:
        """The fit of a row, None when there is no such row."""
        return self._fits[row] if 0 <= row < len(self._fits) else None

    def car(self, vehicle_id: int) -> str:
        """That the car is on record with a vehicle, in words; empty when it is not."""
        car = self._cars.get(vehicle_id)
        if car is None:
            return ""
        return "this car is on record" + (f" as {car.fleet_number}" if car.fleet_number else "")

    def rowCount(self, parent: QModelIndex | QPersistentModelIndex | None = None) -> int:  # noqa: N802 - Qt's name
        """How many vehicles fit."""
        return 0 if parent is not None and parent.isValid() else len(self._fits)

    def data(
        self, index: QModelIndex | QPersistentModelIndex, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """The vehicle, how well it fits, or both for a screen reader and a tool tip."""
        fit = self.fit(index.row())
        if fit is None:
            return None
        told = (short_name(fit.vehicle), variant(fit.vehicle))
        name = ", ".join(part for part in told if part)
        second = DOT.join(part for part in (self.car(fit.vehicle.id), fit_line(fit)) if part)
        if role == Qt.ItemDataRole.DisplayRole:
            return name
        if role == SECOND_LINE:
            return second
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{name}\n{second}"
        if role == Qt.ItemDataRole.ToolTipRole:
            return tip(f"{name}\n{second}")
        return None


class FitList(QWidget):
    """One vehicle can be chosen; Enter or a double click takes it.

    Attributes
    ----------
    chosen, taken
        Signals without arguments: ask `chosen_id`.
    """

    chosen = Signal()
    taken = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.found, self.view, self._why = FitModel(self), QListView(), plain()
        self.view.setModel(self.found)
        self.view.setItemDelegate(TwoLines(self.view))
        self.view.setUniformItemSizes(True)
        self.view.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.view.setAccessibleName("vehicles that fit")
        self.view.setMinimumHeight(110)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.view, stretch=1)
        layout.addWidget(self._why)
        self.view.selectionModel().currentChanged.connect(self._tell)
        self.view.activated.connect(lambda _index: self.taken.emit())

    @property
    def chosen_id(self) -> int | None:
        """The id of the vehicle chosen, None without one."""
        fit = self.found.fit(self.view.currentIndex().row())
        return None if fit is None else fit.vehicle.id

    def show_fits(self, fits: Sequence[Fit[Candidate]], cars: Sequence[Unit]) -> None:
        """Show other fits; one is chosen at once when the car is on record or it is the only one."""
        by_vehicle = {car.vehicle_id: car for car in cars}
        ordered = sorted(fits, key=lambda fit: fit.vehicle.id not in by_vehicle)
        self.found.set_fits(ordered, by_vehicle)
        self.setVisible(bool(ordered))
        if ordered and (by_vehicle or len(ordered) == 1):
            self.view.setCurrentIndex(self.found.index(0))
        self._tell()

    def _tell(self) -> None:
        fit = self.found.fit(self.view.currentIndex().row())
        reasons = () if fit is None else fit.reasons
        self._why.setText("\n".join(f"\N{BULLET} {one}" for one in reasons))
        self._why.setVisible(bool(reasons))
        self.chosen.emit()
