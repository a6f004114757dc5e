"""The head of the calculator: the refrigerant, and the air pressure that gauges count from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout

from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import sentence
from knowngood.widgets.form import named, words
from knowngood_calculator.panels.section import Given
from knowngood_refdata.local_air import LocalAir, local_air
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role
from knowngood_refdata.refrigerants import REFRIGERANTS

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host

CAUTION = (
    "Charge by weight from the under-hood label; a pressure does not tell the charge. "
    "Local codes and the maker's procedure prevail."
)


class Head(Card):
    """Follows the vehicle and the session in hand; what is typed here goes before what they say.

    Attributes
    ----------
    changed
        Signal without arguments: another refrigerant, or another air pressure.
    """

    changed = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._host = host
        self.refrigerant = QComboBox()
        self.refrigerant.addItems(list(REFRIGERANTS))
        self.altitude = QuantityEdit(Kind.LENGTH, host.units)
        self.barometer = QuantityEdit(Role.BAROMETER, host.units)
        self.following, self.used, self.problem = words("quiet"), words("quiet"), words("problem")
        self._air = local_air(None, None)
        self._lay_out()
        self.refrigerant.currentIndexChanged.connect(self._choose)
        for edit in (self.altitude, self.barometer):
            edit.changed.connect(self._read)
        host.units.changed.connect(self._tell)
        host.bench.vehicle_changed.connect(self._follow)
        host.bench.session_changed.connect(self._read)
        self._follow()
        self._read()

    @property
    def given(self) -> Given:
        """What every section starts from."""
        return Given(self.refrigerant.currentText(), self._air)

    @property
    def air(self) -> LocalAir:
        """The local air pressure and where it comes from."""
        return self._air

    def _choose(self) -> None:
        self._tell()
        self.changed.emit()

    def _follow(self) -> None:
        vehicle = self._host.bench.vehicle
        if vehicle is not None and vehicle.refrigerant in REFRIGERANTS:
            self.refrigerant.setCurrentText(vehicle.refrigerant)
        self._tell()

    def _read(self) -> None:
        before = self._air
        session = self._host.bench.session
        self._air = local_air(
            self.barometer.si(), self.altitude.si(), None if session is None else session.conditions
        )
        self._tell()
        if self._air != before:
            self.changed.emit()

    def _tell(self) -> None:
        self.following.setText(self._whose())
        used = self._host.units.text(self._air.pressure_pa, Role.BAROMETER)
        self.used.setText(f"Gauges count from {used}: {self._air.origin}.")
        problem = self.barometer.problem or self.altitude.problem or self._air.problem
        self.problem.setText(sentence(problem))
        self.problem.setVisible(bool(problem))

    def _whose(self) -> str:
        vehicle = self._host.bench.vehicle
        if vehicle is None:
            return "No vehicle in hand."
        if vehicle.refrigerant is None:
            return "The refrigerant of the vehicle in hand is not on record."
        if vehicle.refrigerant == self.refrigerant.currentText():
            return "As of the vehicle in hand."
        return f"The vehicle in hand holds {vehicle.refrigerant}."

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setSpacing(8)
        for name, field, width in (
            ("&Refrigerant", self.refrigerant, 110),
            ("&Altitude", self.altitude, 96),
            ("or &barometer", self.barometer, 96),
        ):
            field.setFixedWidth(width)
            row.addWidget(named(name, field))
            row.addWidget(field)
            row.addSpacing(6)
        row.addWidget(self.used, stretch=1)
        self.body.addLayout(row)
        second = QHBoxLayout()
        second.setSpacing(12)
        # A label that may break its words asks for less than its one line.
        self.following.setWordWrap(False)
        second.addWidget(self.following)
        second.addWidget(words("quiet", CAUTION), stretch=1)
        self.body.addLayout(second)
        self.body.addWidget(self.problem)
        self.body.setSpacing(4)
        frame = self.layout()
        assert frame is not None
        frame.setContentsMargins(18, 8, 18, 8)
