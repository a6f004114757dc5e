"""The page of the spec library: search and list at the left, the record at the right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QWidget

from knowngood.widgets import EmptyState
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import vehicles
from knowngood_specs.gather import filter_choices
from knowngood_specs.panels.empty_library import EmptyLibrary
from knowngood_specs.panels.library_menu import LibraryMenu
from knowngood_specs.panels.record import RecordView
from knowngood_specs.panels.search_side import SearchSide
from knowngood_specs.panels.unsaved import Unsaved
from knowngood_specs.panels.vehicle_forms import VehicleForms

if TYPE_CHECKING:
    from PySide6.QtGui import QResizeEvent, QShowEvent

    from knowngood.api import Host
    from knowngood_refdata.records import Vehicle

RECORD_AFTER_MS = 120
SIDE_SHARE, NARROWEST_SIDE, WIDEST_SIDE = 0.31, 300, 420
ADD = "&Add vehicle..."
GO_ON = "Go on &adding..."


class SpecsPage(QStackedWidget):
    """Follows the library, the vehicle in hand and the unit system.

    While words are typed the list follows every letter; the record follows once the typing pauses.
    """

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self._host = host
        self._vehicle: Vehicle | None = None
        self._held = 0
        self._shown_before = False
        self.unsaved = Unsaved(host)
        self._empty, self._no_hit = EmptyLibrary(), EmptyState("")
        self.side, self.record = SearchSide(), RecordView(host, self.unsaved)
        self.search, self.list = self.side.search, self.side.list
        self.forms = VehicleForms(host, self.unsaved, self)
        self.menu = LibraryMenu(host, self, self.side.sought)
        self.add_button = self.side.add_button
        self.side.more_button.setMenu(self.menu)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(RECORD_AFTER_MS)
        self._lay_out()
        self._connect()
        self.setFocusProxy(self.search)
        self.refresh()

    @property
    def vehicle(self) -> Vehicle | None:
        """The vehicle whose record is shown."""
        return self._vehicle

    def refresh(self) -> None:
        """Find anew, keeping the chosen vehicle where it is still found."""
        self._pause.stop()
        try:
            self._held = vehicles.count(self._host.store)
            self._find()
        except StoreError as error:
            self._host.say(str(error))
            return
        self._show_chosen()
        self._say_unsaved()

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Look for what other pages added since the page was last seen."""
        super().showEvent(event)
        if self._shown_before:
            self.refresh()
        self._shown_before = True
        self._offer_filters()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Give the list its share of the window."""
        super().resizeEvent(event)
        share = round(SIDE_SHARE * self.width())
        self.side.setFixedWidth(min(max(share, NARROWEST_SIDE), WIDEST_SIDE))

    def take_in_hand(self) -> None:
        """Take the vehicle shown in hand."""
        if self._vehicle is not None:
            self._host.bench.take_vehicle(self._vehicle)
            self._host.say(f"In hand: {self._vehicle.name}.")

    def add_vehicle(self) -> None:
        """Ask for a new vehicle, and show it once it is saved."""
        self.forms.add()

    def add_value(self) -> None:
        """Ask for a further value of the vehicle shown."""
        self.record.add_value()

    def look_for_duplicates(self) -> None:
        """Show which vehicles are likely the same as the one shown."""
        if self._vehicle is not None:
            self.menu.duplicates(self._vehicle)

    def delete(self) -> None:
        """Delete the vehicle shown, with a reason; it can be brought back."""
        if self._vehicle is not None:
            self.forms.delete(self._vehicle)

    def _lay_out(self) -> None:
        self._right = QStackedWidget()
        self._right.setObjectName("page")
        self._right.addWidget(self._no_hit)
        self._right.addWidget(self.record)
        full = QWidget()
        full.setObjectName("page")
        layout = QHBoxLayout(full)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.setSpacing(18)
        layout.addWidget(self.side)
        layout.addWidget(self._right, stretch=1)
        self.addWidget(self._empty)
        self.addWidget(full)

    def _connect(self) -> None:
        self._empty.add.connect(self.add_vehicle)
        self._empty.bring_in.connect(self.menu.bring_in)
        self._no_hit.clicked.connect(self._show_all)
        self.add_button.clicked.connect(self.add_vehicle)
        self.side.vin_button.clicked.connect(self.forms.from_vin)
        self.side.edited.connect(self._follow_typing)
        self.side.at_rest.connect(self._mark_differing)
        self.search.onward.connect(self._go_to_list)
        self._pause.timeout.connect(self._show_chosen)
        self.list.chosen.connect(self._chosen)
        self.list.taken.connect(self._take)
        self.forms.opened.connect(self._open)
        self.forms.deleted.connect(self._let_go)
        self.forms.closed.connect(self._say_unsaved)
        self.menu.changed.connect(self._reload)
        self.record.changed.connect(self._reload)
        self.record.take.connect(self.take_in_hand)
        self.record.find_duplicates.connect(self.look_for_duplicates)
        self.record.delete.connect(self.delete)
        bench = self._host.bench
        bench.vehicle_changed.connect(self._follow_bench)
        bench.session_changed.connect(self._show_again)
        bench.findings_changed.connect(self._show_again)
        self._host.units.changed.connect(self._show_again)

    def _find(self) -> None:
        """Fill the list and choose a line; no record is loaded yet."""
        self.side.fill(self._host.store, self._held)
        wanted = self._vehicle or self._host.bench.vehicle
        row = self.list.found.row_of(wanted.id) if wanted is not None else None
        self._mark_in_hand()
        self.list.blockSignals(True)
        self.list.choose(row or 0)
        self.list.blockSignals(False)

    def _follow_typing(self) -> None:
        try:
            self._find()
        except StoreError as error:
            self._host.say(str(error))
            return
        self._pause.start()

    def _mark_differing(self) -> None:
        try:
            self.side.mark(self._host.store)
        except StoreError as error:
            self._host.say(str(error))

    def _show_chosen(self) -> None:
        """Show the record of the line chosen, or that there is nothing to show."""
        self._pause.stop()
        self.setCurrentIndex(1 if self._held else 0)
        chosen = self.list.current
        self._right.setCurrentIndex(0 if chosen is None else 1)
        if chosen is None:
            self._vehicle = None
            self._say_no_hit()
        else:
            self._load(chosen)

    def _chosen(self, vehicle_id: int) -> None:
        self._pause.stop()
        self._load(vehicle_id)

    def _load(self, vehicle_id: int) -> None:
        try:
            vehicle = vehicles.vehicle(self._host.store, vehicle_id)
            self._vehicle = vehicle
            self.record.show_vehicle(vehicle)
        except StoreError as error:
            self._host.say(str(error))

    def _show_again(self) -> None:
        if self._vehicle is not None:
            self.record.show_vehicle(self._vehicle)

    def _take(self, vehicle_id: int) -> None:
        if self._vehicle is None or self._vehicle.id != vehicle_id:
            self._chosen(vehicle_id)
        self.take_in_hand()

    def _say_no_hit(self) -> None:
        words = self.search.text().strip()
        if words:
            text = f"No vehicle holds every word of '{words}'"
            text += " within these filters." if self.side.filters.set else "."
        else:
            text = "No vehicle is within these filters."
        self._no_hit.set_text(f"{text}\nTry fewer words, or a year and the model alone.", "Show all vehicles")

    def _show_all(self) -> None:
        self.side.clear()
        self.refresh()
        self.search.setFocus()

    def _go_to_list(self) -> None:
        self.side.stop_waiting()
        self._follow_typing()
        self._show_chosen()
        self.list.setFocus()

    def _follow_bench(self) -> None:
        vehicle = self._host.bench.vehicle
        self._mark_in_hand()
        if vehicle is None or (self._vehicle is not None and vehicle.id == self._vehicle.id):
            self._show_again()
        else:
            self._show_anew(vehicle)

    def _show_anew(self, vehicle: Vehicle) -> None:
        """Show a vehicle that may not be among those found: find again, without words if need be."""
        self._vehicle = vehicle
        self.refresh()
        if self.list.found.row_of(vehicle.id) is None:
            self.side.clear()
            self._vehicle = vehicle
            self.refresh()

    def _open(self, vehicle_id: int) -> None:
        try:
            self._show_anew(vehicles.vehicle(self._host.store, vehicle_id))
        except StoreError as error:
            self._host.say(str(error))

    def _let_go(self, vehicle: Vehicle) -> None:
        """Show and hold a deleted vehicle no longer."""
        self._vehicle = None
        in_hand = self._host.bench.vehicle
        if in_hand is not None and in_hand.id == vehicle.id:
            self._host.bench.take_vehicle(None)
        self.refresh()

    def _reload(self, vehicle_id: int) -> None:
        """Show what was stored, here and wherever the vehicle is in hand; 0 means many vehicles."""
        self._offer_filters()
        if not vehicle_id:
            self.refresh()
            return
        in_hand = self._host.bench.vehicle
        self._open(vehicle_id)
        if in_hand is not None and in_hand.id == vehicle_id and self._vehicle is not None:
            self._host.bench.take_vehicle(self._vehicle)

    def _mark_in_hand(self) -> None:
        in_hand = self._host.bench.vehicle
        self.list.found.set_in_hand(None if in_hand is None else in_hand.id)

    def _offer_filters(self) -> None:
        # In a large library the distinct values take longer than a frame.
        self._host.tasks.run(
            "Filters",
            lambda _progress: filter_choices(self._host.store),
            done=self.side.filters.offer,
            failed=lambda error: self._host.say(str(error)),
            quiet=True,
        )

    def _say_unsaved(self) -> None:
        self.add_button.setText(GO_ON if self.forms.waits else ADD)
        self._empty.say_unsaved(unsaved=self.forms.waits)
