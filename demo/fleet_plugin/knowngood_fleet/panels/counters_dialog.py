"""Enter what the counters of a unit show, and at which depot it stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLineEdit

from knowngood.formatting import System
from knowngood_fleet import library
from knowngood_fleet.core.fleet import KM_A_MILE, Counters
from knowngood_fleet.panels.entry_dialog import EntryDialog, date_field, day, number

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_fleet.core.fleet import FleetUnit


class CountersDialog(EntryDialog):
    """Engine hours, odometer and depot of one unit."""

    def __init__(self, host: Host, unit: FleetUnit, parent: QWidget, stored: Callable[[], None]) -> None:
        super().__init__(host, f"Counters of {unit.name}", f"fleet counters {unit.unit_id}", parent, stored)
        self._unit = unit
        self._miles = host.units.system is System.US
        self.at, self.hours, self.odometer, self.depot = date_field(), QLineEdit(), QLineEdit(), QLineEdit()
        self.depot.setText(unit.depot)
        self.lay_out(
            [
                ("&Date", self.at),
                ("Engine &hours", self.hours),
                ("&Odometer, " + ("mi" if self._miles else "km"), self.odometer),
                ("De&pot", self.depot),
            ]
        )

    def store(self) -> None:
        """Store the counters, and the depot where it is another one."""
        hours = number(self.hours, "Engine hours")
        odometer = number(self.odometer, "Odometer")
        moved = self.depot.text().strip() != self._unit.depot
        km = None if odometer is None else odometer * (KM_A_MILE if self._miles else 1.0)
        if not moved or hours is not None or km is not None:
            library.add_counters(self.host.store, self._unit.unit_id, Counters(day(self.at), hours, km))
        if moved:
            library.move(self.host.store, self._unit.unit_id, self.depot.text())
