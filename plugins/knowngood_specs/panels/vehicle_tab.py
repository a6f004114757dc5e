"""What every tab of a record is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_refdata.records import Vehicle


class VehicleTab(QWidget):
    """A part of the record of the vehicle shown; a subclass shows it.

    Attributes
    ----------
    changed
        Signal with the vehicle's number after the tab stored something of it. What is stored through the
        forms of the record these tell themselves.
    """

    changed = Signal(int)

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self._vehicle: Vehicle | None = None

    def show_vehicle(self, vehicle: Vehicle) -> None:
        """Show this vehicle, or show it anew."""
        raise NotImplementedError
