"""Vehicles that may have been entered twice, side by side field by field, and how to merge two."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import (
    QButtonGroup,
    QDialog,
    QGridLayout,
    QHBoxLayout,
    QRadioButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from knowngood.widgets import Card
from knowngood.widgets.room import open_at
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import duplicates, vehicles
from knowngood_specs.core.side_by_side import side_by_side
from knowngood_specs.list_words import short_name, variant
from knowngood_specs.panels.labels import clear, close_button, plain
from knowngood_specs.panels.reason_bar import ReasonBar
from knowngood_specs.panels.row_list import RowList

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_refdata.queries.duplicates import Likeness
    from knowngood_refdata.records import Vehicle

NONE_ALIKE = "No other vehicle of the library is likely to be this one."
WHAT_HAPPENS = (
    "Everything of the one is moved to the other: values side by side, cars, sessions, readings, pictures, "
    "tables and notes. Nothing is lost, and More, Deleted... takes the merge back."
)
DIFFERS = "\N{NOT EQUAL TO}"


class DuplicatesDialog(QDialog):
    """Compares a vehicle with those that are likely the same, and merges two of them.

    Attributes
    ----------
    kept
        The id of the vehicle that was kept, None when nothing was merged.
    """

    def __init__(self, host: Host, vehicle: Vehicle, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(f"Likely duplicates of {vehicle.name}")
        self.kept: int | None = None
        self._host, self._vehicle = host, vehicle
        self._alike: tuple[Likeness, ...] = ()
        self._other: Vehicle | None = None
        self.list = RowList("likely duplicates")
        self.keep_this, self.keep_other = QRadioButton("Keep &this"), QRadioButton("Keep the &other")
        self.reason = ReasonBar("&Merge", "entered twice")
        self._words, self._trouble = plain(), plain(name="problem")
        self._grid = QGridLayout()
        self._lay_out()
        self.list.chosen.connect(self._compare)
        self.reason.decided.connect(self._merge)
        self._load()
        open_at(self, 980, 620)

    def _lay_out(self) -> None:
        group = QButtonGroup(self)
        for button in (self.keep_this, self.keep_other):
            group.addButton(button)
        self.keep_this.setChecked(True)
        below = QHBoxLayout()
        below.setSpacing(12)
        for widget in (self.keep_this, self.keep_other):
            below.addWidget(widget)
        below.addWidget(self.reason, stretch=1)
        below.addWidget(close_button(self))
        self.list.setFixedWidth(280)
        beside = QHBoxLayout()
        beside.setSpacing(16)
        beside.addWidget(self.list)
        beside.addWidget(self._table(), stretch=1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 16, 18, 16)
        layout.setSpacing(12)
        layout.addWidget(self._words)
        layout.addLayout(beside, stretch=1)
        layout.addWidget(self._trouble)
        layout.addLayout(below)

    def _table(self) -> QWidget:
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(7)
        self._grid.setColumnStretch(2, 1)
        self._grid.setColumnStretch(3, 1)
        card = Card("Side by side", f"{DIFFERS} marks what both say and say differently")
        card.body.addLayout(self._grid)
        card.body.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setWidget(card)
        return scroll

    def _load(self) -> None:
        trouble = ""
        try:
            self._alike = duplicates.likely_duplicates(self._host.store, self._vehicle.id)
        except StoreError as error:
            self._alike, trouble = (), str(error)
        self._words.setText(WHAT_HAPPENS if self._alike else NONE_ALIKE)
        self.list.show_rows([_row(one) for one in self._alike])
        self._say(trouble)

    def _compare(self, row: int) -> None:
        clear(self._grid)
        self._other = None
        if row >= 0:
            try:
                self._other = vehicles.vehicle(self._host.store, self._alike[row].line.id)
            except StoreError as error:
                self._say(str(error))
        self.reason.set_able(able=self._other is not None)
        if self._other is not None:
            self._fill(self._other)

    def _fill(self, other: Vehicle) -> None:
        self._grid.addWidget(plain("this", "quiet"), 0, 2)
        self._grid.addWidget(plain("the other", "quiet"), 0, 3)
        for number, pair in enumerate(side_by_side(self._vehicle, other), 1):
            self._grid.addWidget(plain(pair.title, "quiet", top=True), number, 0)
            self._grid.addWidget(plain(DIFFERS if pair.differs else "", "problem", top=True), number, 1)
            for column, text in ((2, pair.one), (3, pair.other)):
                self._grid.addWidget(
                    plain(text or "\N{EN DASH}", top=True, bold=pair.differs), number, column
                )

    def _merge(self, why: str) -> None:
        if self._other is None:
            return
        keep, other = self._vehicle, self._other
        if self.keep_other.isChecked():
            keep, other = other, keep
        try:
            duplicates.merge_vehicles(self._host.store, keep.id, other.id, why)
            self._vehicle = vehicles.vehicle(self._host.store, keep.id)
        except (StoreError, ValueError) as error:
            self._say(str(error))
            return
        self.kept = keep.id
        self._host.say(f"Merged into {keep.name}.")
        self.keep_this.setChecked(True)
        self.setWindowTitle(f"Likely duplicates of {self._vehicle.name}")
        self._load()

    def _say(self, trouble: str) -> None:
        self._trouble.setText(trouble)
        self._trouble.setVisible(bool(trouble))


def _row(one: Likeness) -> tuple[str, str]:
    told = (short_name(one.line), variant(one.line))
    return ", ".join(part for part in told if part), ", ".join(one.reasons)
