"""The page of the spec library: search and list at the left, the record at the right."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from knowngood.widgets import EmptyState
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import vehicles
from knowngood_specs.gather import add_new_vehicle, evidence
from knowngood_specs.panels.record import RecordView
from knowngood_specs.panels.unsaved import NEW_VEHICLE, Unsaved, value_of
from knowngood_specs.panels.value_dialog import ValueDialog
from knowngood_specs.panels.vehicle_dialog import VehicleDialog
from knowngood_specs.panels.vehicle_list import SearchField, VehicleList

if TYPE_CHECKING:
    from PySide6.QtGui import QShowEvent

    from knowngood.api import Host
    from knowngood_refdata.drafts import SpecDraft, VehicleDraft
    from knowngood_refdata.records import Vehicle

MOST_SHOWN = 250
SEARCH_AFTER_MS = 120
EMPTY_LIBRARY = (
    "The library holds no vehicle yet.\nOpen the hood of a car, read the under-hood label, and enter what it "
    "says:\nrefrigerant and charge weight, with the label as the source."
)
ADD_FIRST = "Add the first vehicle"
ADD = "Add vehicle..."
GO_ON = "Go on adding the vehicle..."


class SpecsPage(QStackedWidget):
    """Follows the library, the vehicle in hand and the unit system."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self._host = host
        self._vehicle: Vehicle | None = None
        self._shown_before = False
        self.unsaved = Unsaved(host)
        self._empty = EmptyState(EMPTY_LIBRARY, ADD_FIRST)
        self._no_hit = EmptyState("")
        self.search, self.list, self.record = SearchField(), VehicleList(), RecordView()
        self._count = QLabel()
        self._count.setObjectName("quiet")
        self._count.setWordWrap(True)
        self.add_button = QPushButton(ADD)
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(SEARCH_AFTER_MS)
        self._lay_out()
        self._connect()
        self.setFocusProxy(self.search)
        self.refresh()

    @property
    def vehicle(self) -> Vehicle | None:
        """The vehicle whose record is shown."""
        return self._vehicle

    def refresh(self) -> None:
        """Search anew, keeping the chosen vehicle where it is still found."""
        self._wait.stop()
        try:
            found = vehicles.search(self._host.store, self.search.text(), limit=MOST_SHOWN)
            held = vehicles.count(self._host.store)
        except StoreError as error:
            self._host.say(str(error))
            return
        self.setCurrentIndex(1 if held else 0)
        self._say_unsaved()
        wanted = self._vehicle or self._host.bench.vehicle
        self.list.found.set_vehicles(found)
        self._count.setText(_count_text(len(found), held, searching=bool(self.search.text().strip())))
        self._right.setCurrentIndex(1 if found else 0)
        if not found:
            self._vehicle = None
            self._no_hit.set_text(
                f"No vehicle holds every word of '{self.search.text().strip()}'.\n"
                "Try fewer words, or a year and the model alone.",
                "Show all vehicles",
            )
            return
        row = self.list.found.row_of(wanted.id) if wanted is not None else None
        self.list.choose(row or 0)

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Look for what other pages added since the page was last seen."""
        super().showEvent(event)
        if self._shown_before:
            self.refresh()
        self._shown_before = True

    def take_in_hand(self) -> None:
        """Take the vehicle shown in hand."""
        if self._vehicle is not None:
            self._host.bench.take_vehicle(self._vehicle)
            self._host.say(f"In hand: {self._vehicle.name}.")

    def add_vehicle(self) -> None:
        """Ask for a new vehicle, and show it once it is saved."""
        added: list[Vehicle] = []

        def save(draft: VehicleDraft) -> None:
            added.append(add_new_vehicle(self._host.store, draft))

        dialog = VehicleDialog(
            save,
            lambda entries: self.unsaved.put(NEW_VEHICLE, entries),
            self.unsaved.get(NEW_VEHICLE),
            self,
        )
        dialog.exec()
        self._end(dialog, NEW_VEHICLE, saved=bool(added))
        if added:
            self._show_anew(added[0])
            self._host.say(f"{added[0].name} was added to the library.")

    def add_value(self) -> None:
        """Ask for a further value of the vehicle shown."""
        vehicle = self._vehicle
        if vehicle is None:
            return
        name, saved = value_of(vehicle.id), []

        def save(draft: SpecDraft) -> None:
            saved.append(vehicles.add_spec(self._host.store, vehicle.id, draft))

        dialog = ValueDialog(
            vehicle, save, lambda entries: self.unsaved.put(name, entries), self.unsaved.get(name), self
        )
        dialog.exec()
        self._end(dialog, name, saved=bool(saved))
        if saved:
            self._reload(vehicle.id)
            self._host.say("The value was added beside those on record.")

    def _lay_out(self) -> None:
        left = QVBoxLayout()
        left.setSpacing(8)
        for part in (self.search, self.list, self._count, self.add_button):
            left.addWidget(part)
        side = QWidget()
        side.setLayout(left)
        left.setContentsMargins(0, 0, 0, 0)
        self._right = QStackedWidget()
        self._right.setObjectName("page")
        self._right.addWidget(self._no_hit)
        self._right.addWidget(self.record)
        full = QWidget()
        full.setObjectName("page")
        layout = QHBoxLayout(full)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.setSpacing(18)
        layout.addWidget(side, stretch=2)
        layout.addWidget(self._right, stretch=4)
        self.addWidget(self._empty)
        self.addWidget(full)

    def _connect(self) -> None:
        self._empty.clicked.connect(self.add_vehicle)
        self._no_hit.clicked.connect(self._show_all)
        self.add_button.clicked.connect(self.add_vehicle)
        self.search.textChanged.connect(lambda: self._wait.start())
        self.search.onward.connect(self._go_to_list)
        self._wait.timeout.connect(self.refresh)
        self.list.chosen.connect(self._show)
        self.list.taken.connect(lambda _vehicle: self.take_in_hand())
        self.record.take.connect(self.take_in_hand)
        self.record.add_value.connect(self.add_value)
        bench = self._host.bench
        bench.vehicle_changed.connect(self._follow_bench)
        bench.session_changed.connect(self._show_again)
        bench.findings_changed.connect(self._show_again)
        self._host.units.changed.connect(self._show_again)

    def _show_all(self) -> None:
        self.search.clear()
        self.refresh()
        self.search.setFocus()

    def _go_to_list(self) -> None:
        if self._wait.isActive():
            self.refresh()
        self.list.setFocus()

    def _follow_bench(self) -> None:
        vehicle = self._host.bench.vehicle
        self._mark_in_hand()
        if vehicle is None or (self._vehicle is not None and vehicle.id == self._vehicle.id):
            self._show_again()
        else:
            self._show_anew(vehicle)

    def _show_anew(self, vehicle: Vehicle) -> None:
        """Show a vehicle that may not be among those found: search again, without words if need be."""
        self._vehicle = vehicle
        self.refresh()
        if self.list.found.row_of(vehicle.id) is None:
            self.search.clear()
            self._vehicle = vehicle
            self.refresh()

    def _reload(self, vehicle_id: int) -> None:
        vehicle = vehicles.vehicle(self._host.store, vehicle_id)
        in_hand = self._host.bench.vehicle
        self._show_anew(vehicle)
        if in_hand is not None and in_hand.id == vehicle_id:
            self._host.bench.take_vehicle(vehicle)

    def _show_again(self) -> None:
        if self._vehicle is not None:
            self._show(self._vehicle)

    def _show(self, vehicle: Vehicle) -> None:
        self._vehicle = vehicle
        self._mark_in_hand()
        in_hand = self._host.bench.vehicle
        try:
            known = evidence(self._host.store, vehicle.id)
        except StoreError as error:
            self._host.say(str(error))
            return
        self.record.show_record(
            vehicle,
            known,
            self._host.units.system,
            in_hand=in_hand is not None and in_hand.id == vehicle.id,
        )
        self._say_unsaved()

    def _mark_in_hand(self) -> None:
        in_hand = self._host.bench.vehicle
        self.list.found.set_in_hand(None if in_hand is None else in_hand.id)

    def _end(self, dialog: VehicleDialog | ValueDialog, name: str, *, saved: bool) -> None:
        if saved or dialog.discarded:
            self.unsaved.drop(name)
        dialog.deleteLater()
        self._say_unsaved()

    def _say_unsaved(self) -> None:
        waiting = self.unsaved.get(NEW_VEHICLE) is not None
        self.add_button.setText(GO_ON if waiting else ADD)
        self._empty.set_text(EMPTY_LIBRARY, GO_ON if waiting else ADD_FIRST)
        if self._vehicle is not None:
            self.record.say_unsaved(unsaved=self.unsaved.get(value_of(self._vehicle.id)) is not None)


def _count_text(found: int, held: int, *, searching: bool) -> str:
    if found >= MOST_SHOWN and held > MOST_SHOWN:
        return f"The first {found} of {held} vehicles: type more words to find the others."
    if searching:
        return f"{found} of {held} vehicles"
    return f"{held} vehicle{'' if held == 1 else 's'}"
