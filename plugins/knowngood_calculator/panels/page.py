"""The page of the refrigerant calculator: everything answers as one types."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood_calculator.panels.air_card import AirCard
from knowngood_calculator.panels.form import named, words
from knowngood_calculator.panels.saturation_card import SaturationCard
from knowngood_calculator.panels.sides_card import SidesCard
from knowngood_refdata.refrigerants import REFRIGERANTS, SaturationCurve, saturation

if TYPE_CHECKING:
    from knowngood.api import Host

CAUTION = (
    "Charge by weight from the under-hood label; a pressure does not tell the charge. "
    "Local codes and the maker's procedure prevail."
)
HINT = (
    "Any unit can be typed behind a value: 30 psi, 2,1 bar, 75F; for an absolute pressure psia or bar abs. "
    "Saturation after Tillner-Roth and Baehr 1994 (R-134a), Lemmon and Akasaka 2022 (R-1234yf)."
)


class CalculatorPage(QScrollArea):
    """Follows the vehicle in hand and the unit system; holds nothing that could be lost."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self.setWidgetResizable(True)
        self.refrigerant = QComboBox()
        self.refrigerant.addItems(list(REFRIGERANTS))
        self.following = words("quiet")
        self.air = AirCard(host.units)
        self.saturation = SaturationCard(host.units)
        self.sides = SidesCard(host.units)
        self._lay_out()
        self.refrigerant.currentIndexChanged.connect(self.refresh)
        self.air.changed.connect(self.refresh)
        host.units.changed.connect(self.refresh)
        host.bench.vehicle_changed.connect(self._follow)
        for line in (*self.saturation.lines, *self.sides.lines):
            line.copied.connect(self._say_copied)
        self._follow()
        self.refresh()

    @property
    def curve(self) -> SaturationCurve:
        """The saturation curve of the chosen refrigerant."""
        return saturation(self.refrigerant.currentText())

    def refresh(self) -> None:
        """Answer everything anew."""
        barometer_pa = self.air.air.pressure_pa
        for card in (self.saturation, self.sides):
            card.refresh(self.curve, barometer_pa)
        self._tell()

    def _follow(self) -> None:
        vehicle = self._host.bench.vehicle
        if vehicle is not None and vehicle.refrigerant in REFRIGERANTS:
            self.refrigerant.setCurrentText(vehicle.refrigerant)
        self._tell()

    def _tell(self) -> None:
        """Say whose refrigerant is chosen, and when it is not the one of the vehicle in hand."""
        vehicle = self._host.bench.vehicle
        chosen = self.refrigerant.currentText()
        if vehicle is None:
            self.following.setText("No vehicle in hand.")
        elif vehicle.refrigerant is None:
            self.following.setText("The refrigerant of the vehicle in hand is not on record.")
        elif vehicle.refrigerant == chosen:
            self.following.setText("As of the vehicle in hand.")
        else:
            self.following.setText(f"The vehicle in hand holds {vehicle.refrigerant}.")

    def _say_copied(self, text: str) -> None:
        self._host.say(f"Copied {text}.")

    def _lay_out(self) -> None:
        sheet = QWidget()
        sheet.setObjectName("page")
        layout = QVBoxLayout(sheet)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.setSpacing(14)
        layout.addWidget(self._head())
        left = QVBoxLayout()
        left.setSpacing(14)
        left.addWidget(self.air)
        left.addWidget(self.saturation, stretch=1)
        columns = QHBoxLayout()
        columns.setSpacing(16)
        columns.addLayout(left, stretch=1)
        columns.addWidget(self.sides, stretch=1)
        layout.addLayout(columns)
        layout.addStretch(1)
        self.setWidget(sheet)

    def _head(self) -> Card:
        head = Card()
        row = QHBoxLayout()
        row.addWidget(named("&Refrigerant", self.refrigerant))
        row.addWidget(self.refrigerant)
        row.addWidget(self.following, stretch=1)
        head.body.addLayout(row)
        head.body.addWidget(words("notice", CAUTION))
        head.body.addWidget(words("quiet", HINT))
        return head
