"""Vehicles added, by hand or from a VIN, and deleted; what was typed and not saved is kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from knowngood_refdata.queries import vehicle_edits
from knowngood_specs.gather import add_new_vehicle
from knowngood_specs.panels.reason_dialog import ReasonDialog
from knowngood_specs.panels.unsaved import NEW_VEHICLE
from knowngood_specs.panels.vehicle_dialog import VehicleDialog

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.drafts import VehicleDraft
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.panels.form_dialog import FormDialog
    from knowngood_specs.panels.unsaved import Unsaved

BY_VIN = "vin"
WHAT_DELETING_DOES = (
    "The vehicle leaves the list and the search. Its values, cars, sessions, readings and history stay, and "
    "More, Deleted... brings it back."
)


class VehicleForms(QObject):
    """Opens the dialogs.

    Attributes
    ----------
    opened
        Signal with the id of a vehicle that was added or chosen.
    deleted
        Signal with the `Vehicle` that was deleted.
    closed
        Signal without arguments whenever a form was left, saved or not.
    """

    opened = Signal(int)
    deleted = Signal(object)
    closed = Signal()

    def __init__(self, host: Host, unsaved: Unsaved, window: QWidget) -> None:
        super().__init__(window)
        self._host, self._unsaved, self._window = host, unsaved, window

    @property
    def waits(self) -> bool:
        """Whether a new vehicle was typed and not saved."""
        return self._unsaved.get(NEW_VEHICLE) is not None

    def add(self, known: Mapping[str, str] | None = None) -> Vehicle | None:
        """Ask for a new vehicle; ``known`` fills the entries that hold nothing yet."""
        added: list[Vehicle] = []

        def save(draft: VehicleDraft) -> None:
            added.append(add_new_vehicle(self._host.store, draft))

        kept = self._unsaved.get(NEW_VEHICLE) or {}
        filled = {**kept, **{name: text for name, text in (known or {}).items() if not kept.get(name)}}
        dialog = VehicleDialog(
            save, lambda entries: self._unsaved.put(NEW_VEHICLE, entries), filled, self._window
        )
        self._run(dialog, NEW_VEHICLE, lambda: bool(added))
        if not added:
            return None
        self.opened.emit(added[0].id)
        self._host.say(f"{added[0].name} was added to the library.")
        return added[0]

    def from_vin(self) -> None:
        """Find a vehicle by a VIN, or add the one that is missing."""
        from knowngood_specs.panels.vin_dialog import VinDialog

        dialog = VinDialog(
            self._host,
            lambda typed: self._unsaved.put(BY_VIN, typed),
            self._unsaved.get(BY_VIN),
            self._window,
        )
        # A VIN that led to nothing is there again the next time.
        if dialog.exec() or not self._unsaved.get(BY_VIN):
            self._unsaved.drop(BY_VIN)
        if dialog.taken is not None:
            self.opened.emit(dialog.taken)
        elif dialog.to_add is not None and (added := self.add(dialog.to_add)) is not None:
            dialog.keep_car(added.id)
        dialog.deleteLater()

    def delete(self, vehicle: Vehicle) -> None:
        """Delete a vehicle for a reason."""
        gone: list[int] = []

        def save(why: str) -> None:
            vehicle_edits.delete_vehicle(self._host.store, vehicle.id, vehicle.version, why)
            gone.append(vehicle.id)

        name = f"delete {vehicle.id}"
        dialog = ReasonDialog(
            "Delete a vehicle",
            f"{vehicle.name}\n\n{WHAT_DELETING_DOES}",
            "Delete",
            save,
            lambda entries: self._unsaved.put(name, entries),
            self._unsaved.get(name),
            self._window,
        )
        self._run(dialog, name, lambda: bool(gone))
        if gone:
            self.deleted.emit(vehicle)
            self._host.say(f"{vehicle.name} was deleted. More, Deleted... brings it back.")

    def _run(self, dialog: FormDialog, name: str, saved: Callable[[], bool]) -> None:
        dialog.exec()
        if saved() or dialog.discarded:
            self._unsaved.drop(name)
        dialog.deleteLater()
        self.closed.emit()
