"""The published tables of a vehicle and of its family, and what they say today."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import tables
from knowngood_specs.panels.labels import clear, column, link
from knowngood_specs.panels.tables_card import TableCard
from knowngood_specs.panels.tables_forms import TableForms
from knowngood_specs.panels.tables_today import TodayCard
from knowngood_specs.panels.vehicle_tab import VehicleTab
from knowngood_specs.table_words import head_line

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.api import Host
    from knowngood_refdata.queries.tables import StoredTable
    from knowngood_refdata.records import Vehicle

WHAT_FOR = (
    "What the maker or another publication prints for a performance test. Kept in its own shape and never "
    "mixed with this shop's readings; it answers only inside its rows and under its own set-up."
)
NONE_YET = (
    "No published table of this configuration or of its system family is on record: nothing is known from "
    "publications yet. Enter one from the workshop manual or a bulletin, as it is printed."
)
ADD, GO_ON = "Enter a published table...", "Go on entering the table..."


class TablesTab(VehicleTab):
    """A card a table, each answering for the conditions in the card above them."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._held: tuple[tuple[StoredTable, ...], tuple[StoredTable, ...]] | None = None
        self.forms = TableForms(host, self)
        self.today = TodayCard(host)
        self.cards: list[TableCard] = []
        self._head, self._none = Card("Published tables", WHAT_FOR), words("", NONE_YET)
        self.add_button = QPushButton(ADD)
        self._retired = Card("Published tables out of use", "kept with their history, and used nowhere")
        self._lay_out()
        self._connect()

    def show_vehicle(self, vehicle: Vehicle) -> None:
        """Show the tables of a vehicle, and what they say today."""
        store = self._host.store
        try:
            held = tables.tables(store, vehicle.id), tables.tables(store, vehicle.id, retired=True)
        except StoreError as error:
            self._host.say(str(error))
            return
        self._vehicle = vehicle
        if held != self._held:
            self._held = held
            self._show_held(vehicle, *held)
        self.today.show_vehicle(vehicle)
        self._say_unsaved()

    def add(self) -> None:
        """Ask for a new table of the vehicle shown."""
        if self._vehicle is not None:
            self.forms.add(self._vehicle)

    def bring_back(self, stored: StoredTable) -> None:
        """Bring a table back into use."""
        self._carry_out(
            lambda: tables.restore(self._host.store, stored.id, stored.version),
            f"'{stored.title}' is in use again.",
        )

    def _carry_out(self, act: Callable[[], None], done: str) -> None:
        try:
            act()
        except StoreError as error:
            self._host.say(str(error))
            self._reload()
        else:
            self._tell_stored(done)

    def _tell_stored(self, done: str) -> None:
        self._host.say(done)
        self._reload()
        if self._vehicle is not None:
            self.changed.emit(self._vehicle.id)

    def _reload(self) -> None:
        if self._vehicle is not None:
            self.show_vehicle(self._vehicle)

    def _show_held(
        self, vehicle: Vehicle, stored: tuple[StoredTable, ...], retired: tuple[StoredTable, ...]
    ) -> None:
        clear(self._place)
        self.cards = [TableCard(one, vehicle.family) for one in stored]
        for card, one in zip(self.cards, stored, strict=True):
            card.edit.connect(lambda one=one: self.forms.edit(one))
            card.retire.connect(lambda one=one: self.forms.retire(one))
            self._place.addWidget(card)
        self._none.setVisible(not stored)
        self.today.setVisible(bool(stored))
        clear(self._retired.body)
        for one in retired:
            self._retired.body.addLayout(self._retired_row(one, vehicle.family))
        self._retired.setVisible(bool(retired))

    def _retired_row(self, stored: StoredTable, family: str) -> QHBoxLayout:
        row = QHBoxLayout()
        row.addWidget(words("quiet", f"{stored.title}: {head_line(stored, family)}"), stretch=1)
        spoken = f"Bring {stored.title} back into use"
        row.addWidget(link("Bring back", lambda: self.bring_back(stored), spoken))
        return row

    def _answer(self) -> None:
        today, window, barometer_pa = self.today.today, self.today.steady_window, self.today.barometer_pa
        for card in self.cards:
            card.show_answer(today, window, self._host.units, barometer_pa)

    def _say_unsaved(self) -> None:
        if self._vehicle is not None:
            self.add_button.setText(GO_ON if self.forms.begun(self._vehicle) else ADD)
        for card in self.cards:
            card.say_unsaved(unsaved=self.forms.corrected(card.stored))

    def _connect(self) -> None:
        self.add_button.clicked.connect(self.add)
        self.forms.stored.connect(self._tell_stored)
        self.forms.closed.connect(self._say_unsaved)
        self.today.changed.connect(self._answer)
        self._host.units.changed.connect(self._answer)

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.addWidget(self.add_button)
        row.addStretch(1)
        self._head.body.addWidget(self._none)
        self._head.body.addLayout(row)
        self._place = QVBoxLayout()
        self._place.setSpacing(14)
        layout = column(self)
        layout.addWidget(self._head)
        layout.addWidget(self.today)
        layout.addLayout(self._place)
        layout.addWidget(self._retired)
        layout.addStretch(1)
