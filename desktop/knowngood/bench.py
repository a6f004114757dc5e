"""What is in hand: the vehicle, the one car of it, and the recorded session."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.records import SessionInfo, Unit, Vehicle


class Bench(QObject):
    """The vehicle, unit and session in hand, the same for every page.

    A session never stands beside another car's vehicle: taking a session takes its vehicle along, and
    taking another vehicle puts the session and the unit down.

    Parameters
    ----------
    find_vehicle
        Finds the vehicle of a session by its id; without it such a vehicle is put down instead.

    Attributes
    ----------
    vehicle_changed, unit_changed, session_changed
        Signals without arguments: ask the properties.
    findings_changed
        Signal with the id of a session whose steady windows, events and responses were stored anew.
    """

    vehicle_changed = Signal()
    unit_changed = Signal()
    session_changed = Signal()
    findings_changed = Signal(int)

    def __init__(
        self,
        find_vehicle: Callable[[int], Vehicle] | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._find_vehicle = find_vehicle
        self._vehicle: Vehicle | None = None
        self._unit: Unit | None = None
        self._session: SessionInfo | None = None

    @property
    def vehicle(self) -> Vehicle | None:
        """The vehicle configuration in hand."""
        return self._vehicle

    @property
    def unit(self) -> Unit | None:
        """The one real car in hand."""
        return self._unit

    @property
    def session(self) -> SessionInfo | None:
        """The recorded session in hand."""
        return self._session

    def take_vehicle(self, vehicle: Vehicle | None) -> None:
        """Take a vehicle in hand; what belongs to another one is put down."""
        session = self._session
        if session is not None and (vehicle is None or session.vehicle_id != vehicle.id):
            session = None
        self._hold(vehicle, _unit_of(vehicle, self._unit), session)

    def take_unit(self, unit: Unit | None) -> None:
        """Take one real car in hand, together with its vehicle."""
        vehicle = self._vehicle if unit is None else self._vehicle_with(unit.vehicle_id)
        session = self._session
        if session is not None and unit is not None and session.vehicle_id != unit.vehicle_id:
            session = None
        self._hold(vehicle, unit, session)

    def take_session(self, session: SessionInfo | None) -> None:
        """Take a session in hand, together with its vehicle."""
        if session is None:
            self._hold(self._vehicle, self._unit, None)
            return
        vehicle = None if session.vehicle_id is None else self._vehicle_with(session.vehicle_id)
        unit = _unit_of(vehicle, self._unit)
        if unit is not None and session.unit_id not in (None, unit.id):
            unit = None
        self._hold(vehicle, unit, session)

    def _vehicle_with(self, vehicle_id: int) -> Vehicle | None:
        if self._vehicle is not None and self._vehicle.id == vehicle_id:
            return self._vehicle
        return None if self._find_vehicle is None else self._find_vehicle(vehicle_id)

    def _hold(self, vehicle: Vehicle | None, unit: Unit | None, session: SessionInfo | None) -> None:
        # Everything is in place before the first signal, so that no listener sees half a change.
        before = self._vehicle, self._unit, self._session
        self._vehicle, self._unit, self._session = vehicle, unit, session
        if vehicle != before[0]:
            self.vehicle_changed.emit()
        if unit != before[1]:
            self.unit_changed.emit()
        if session != before[2]:
            self.session_changed.emit()


def _unit_of(vehicle: Vehicle | None, unit: Unit | None) -> Unit | None:
    if vehicle is None or unit is None or unit.vehicle_id != vehicle.id:
        return None
    return unit
