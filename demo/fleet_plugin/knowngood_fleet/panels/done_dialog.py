"""Enter that a check was done."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QLineEdit

from knowngood_fleet import library
from knowngood_fleet.core.due import CHECKS
from knowngood_fleet.core.fleet import Done
from knowngood_fleet.panels.entry_dialog import EntryDialog, date_field, day

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_fleet.core.fleet import FleetUnit


class DoneDialog(EntryDialog):
    """Which check was done on which day; the counters are those last read."""

    def __init__(
        self, host: Host, unit: FleetUnit, check: str, parent: QWidget, stored: Callable[[], None]
    ) -> None:
        super().__init__(host, f"Check done on {unit.name}", f"fleet check {unit.unit_id}", parent, stored)
        self._unit = unit
        self.check, self.at, self.note = QComboBox(), date_field(), QLineEdit()
        self.check.addItems([one.name for one in CHECKS])
        if check:
            self.check.setCurrentText(check)
        hint = "The hours and the odometer last read before that day are taken with it."
        self.lay_out([("&Check", self.check), ("&Date", self.at), ("&Note", self.note)], hint)

    def store(self) -> None:
        """Store the check with the counters last read up to its day."""
        at = day(self.at)
        read = [one for one in self._unit.counters if one.at <= at]
        hours = next((one.hours for one in reversed(read) if one.hours is not None), None)
        km = next((one.odometer_km for one in reversed(read) if one.odometer_km is not None), None)
        done = Done(self.check.currentText(), at, hours, km, self.note.text().strip())
        library.add_done(self.host.store, self._unit.unit_id, done)
