"""Readings by hand as the user goes through them: typed, stored, and never lost on the way."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal

from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import sessions, vehicles
from knowngood_refdata.refrigerants import UnknownRefrigerant
from knowngood_sessions.hand_library import HandStored, save_by_hand
from knowngood_sessions.panels.asker import Asker
from knowngood_sessions.panels.hand_correction import typed_again
from knowngood_sessions.panels.hand_dialog import HandDialog
from knowngood_sessions.panels.in_hand import unit_id_of

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.records import SessionInfo, Vehicle

_EXPECTED = (StoreError, UnknownRefrigerant)


class HandReadings(Asker):
    """Asks for readings typed by hand, one sheet a vehicle at a time, and stores them as a session.

    A sheet that is closed is kept as it is until it is stored or discarded.

    Attributes
    ----------
    not_saved
        Signal with what was entered, as `snapshot` gives it, when saving failed.
    imported
        Signal with the new `SessionInfo` and an empty tuple of notices.
    known
        Signal with the `SessionInfo` of a session that was made from the very same sheet.
    """

    not_saved = Signal(object)
    imported = Signal(object, object)
    known = Signal(object)
    dialog: HandDialog | None

    def __init__(self, host: Host, window: QWidget) -> None:
        super().__init__(host, window)
        self._kept: dict[str, dict[str, Any]] = {}
        self._vehicle: Vehicle | None = None

    def start(self) -> None:
        """Open the sheet for the vehicle in hand, with what was typed on it and not stored."""
        vehicle = self._host.bench.vehicle
        if vehicle is None:
            self.refused.emit("Take the vehicle in hand first; readings belong to one. Nothing was stored.")
            return
        self._open(vehicle, self._kept.get(str(vehicle.id)))

    def correct(self, info: SessionInfo) -> None:
        """Open the sheet with the readings of a stored session; stored again they make another session."""
        try:
            recording = sessions.recording(self._host.store, info.id)
            if info.vehicle_id is None:
                self.start()
                return
            vehicle = vehicles.vehicle(self._host.store, info.vehicle_id)
        except StoreError as error:
            self.refused.emit(str(error))
            return
        self._open(vehicle, self._kept.get(str(vehicle.id)))
        if self.dialog is not None and not self.dialog.touched:
            typed_again(self.dialog, info, recording)

    def resume(self, kept: dict[str, Any]) -> None:
        """Open the sheet again with what `snapshot` gave; its vehicle is taken in hand."""
        self._kept |= {str(number): dict(sheet) for number, sheet in kept.items()}
        number = next(reversed(self._kept), None)
        if number is None:
            return
        try:
            vehicle = vehicles.vehicle(self._host.store, int(number))
        except StoreError as error:
            self.refused.emit(f"{error} The readings that were typed for it are kept.")
            return
        self._host.bench.take_vehicle(vehicle)
        self._open(vehicle, self._kept[number])

    def snapshot(self) -> dict[str, Any] | None:
        """All sheets that hold something and are not stored, by their vehicle, for the drafts."""
        self._keep()
        return dict(self._kept) or None

    def _open(self, vehicle: Vehicle, kept: dict[str, Any] | None) -> None:
        if self.dialog is not None:
            self.dialog.raise_()
            return
        dialog = HandDialog(
            self._host.units, vehicle.refrigerant, vehicle.name, self._host.user(), self._window.window()
        )
        if kept is not None:
            dialog.restore(kept)
        self._vehicle = vehicle
        dialog.accepted.connect(lambda: self._save(vehicle, dialog))
        dialog.discarded.connect(lambda: self._forget(vehicle))
        self._show(dialog)

    def _keep(self) -> None:
        """Keep what the open sheet holds."""
        if self.dialog is None or self._vehicle is None:
            return
        if self.dialog.touched:
            self._kept[str(self._vehicle.id)] = self.dialog.snapshot()
        else:
            self._kept.pop(str(self._vehicle.id), None)

    def _forget(self, vehicle: Vehicle) -> None:
        self._kept.pop(str(vehicle.id), None)
        super()._put_away()

    def _put_away(self) -> None:
        self._keep()
        super()._put_away()

    def _save(self, vehicle: Vehicle, dialog: HandDialog) -> None:
        self._keep()
        sheet, store, unit_id = dialog.sheet(), self._host.store, unit_id_of(self._host, vehicle)

        def done(stored: HandStored) -> None:
            self._kept.pop(str(vehicle.id), None)
            if not stored.new:
                self.known.emit(stored.info)
                return
            self._host.bench.take_session(stored.info)
            self._host.bench.findings_changed.emit(stored.info.id)
            self.imported.emit(stored.info, ())

        self._host.tasks.run(
            "Storing the readings",
            lambda _: save_by_hand(store, sheet, vehicle.id, unit_id),
            done=done,
            failed=self._fail,
        )

    def _fail(self, error: BaseException) -> None:
        self.not_saved.emit(self.snapshot())
        if not isinstance(error, _EXPECTED):
            self.refused.emit("A fault of the program: the readings were not stored; what was typed is kept.")
            raise error
        self.refused.emit(f"{error} What was typed is kept.")
