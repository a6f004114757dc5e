"""Refrigerant and local air pressure: what every card of the calculator depends on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QLabel, QWidget

from knowngood.widgets import QuantityEdit
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, standard_barometer_pa
from knowngood_refdata.records import Role
from knowngood_refdata.refrigerants import REFRIGERANTS, SaturationCurve, saturation

if TYPE_CHECKING:
    from knowngood.api import Host


class Surroundings(QWidget):
    """Choice of refrigerant; altitude, or the barometer itself, which then counts.

    Attributes
    ----------
    changed
        Signal without arguments.
    """

    changed = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self.refrigerant = QComboBox()
        self.refrigerant.addItems(list(REFRIGERANTS))
        self.refrigerant.setAccessibleName("refrigerant")
        self.altitude = QuantityEdit(Kind.LENGTH, host.units)
        self.barometer = QuantityEdit(Role.BAROMETER, host.units)
        self.words = QLabel()
        self.words.setObjectName("quiet")
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        for text, field in (
            ("Refrigerant", self.refrigerant),
            ("Altitude", self.altitude),
            ("or barometer", self.barometer),
        ):
            label = QLabel(text)
            label.setBuddy(field)
            layout.addWidget(label)
            layout.addWidget(field)
            field.setMaximumWidth(150)
        layout.addWidget(self.words, stretch=1)
        self.refrigerant.currentIndexChanged.connect(self.changed)
        for edit in (self.altitude, self.barometer):
            edit.changed.connect(self.changed)
        host.bench.vehicle_changed.connect(self._follow)
        host.units.changed.connect(self._tell)
        self.changed.connect(self._tell)
        self._follow()
        self._tell()

    @property
    def curve(self) -> SaturationCurve:
        """The saturation curve of the chosen refrigerant."""
        return saturation(self.refrigerant.currentText())

    @property
    def barometer_pa(self) -> float:
        """The local air pressure [Pa]: the barometer's, or from the altitude, or the standard one."""
        measured = self.barometer.si()
        if measured is not None and measured > 0.0:
            return measured
        altitude = self.altitude.si()
        if altitude is not None and -5_000.0 <= altitude <= 11_000.0:
            return standard_barometer_pa(altitude)
        return STANDARD_ATMOSPHERE_PA

    def _follow(self) -> None:
        vehicle = self._host.bench.vehicle
        if vehicle is not None and vehicle.refrigerant in REFRIGERANTS:
            self.refrigerant.setCurrentText(vehicle.refrigerant)

    def _tell(self) -> None:
        text = self._host.units.text(self.barometer_pa, Role.BAROMETER)
        self.words.setText(f"Gauges count from {text}.")
