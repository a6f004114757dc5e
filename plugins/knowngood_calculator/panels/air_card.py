"""The card of the local air pressure, by altitude or barometer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal

from knowngood.widgets import Card, QuantityEdit
from knowngood_calculator.core.air import LocalAir, local_air
from knowngood_calculator.panels.answer_line import sentence
from knowngood_calculator.panels.form import form, words
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units


class AirCard(Card):
    """Says what pressure gauges count from; a barometer counts before an altitude.

    Attributes
    ----------
    changed
        Signal without arguments: the local air pressure is another one.
    """

    changed = Signal()

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("Local air pressure", "what a gauge counts from", parent)
        self._units = units
        self.altitude = QuantityEdit(Kind.LENGTH, units)
        self.barometer = QuantityEdit(Role.BAROMETER, units)
        self.used, self.problem = words("quiet"), words("problem")
        row = (("&Altitude", self.altitude), ("or &barometer", self.barometer))
        self.body.addLayout(form((row,), name_width=0))
        self.body.addWidget(self.used)
        self.body.addWidget(self.problem)
        for edit in (self.altitude, self.barometer):
            edit.changed.connect(self._read)
        units.changed.connect(self._tell)
        self._air = local_air(None, None)
        self._tell()

    @property
    def air(self) -> LocalAir:
        """The local air pressure and where it comes from."""
        return self._air

    def _read(self) -> None:
        before = self._air
        self._air = local_air(self.barometer.si(), self.altitude.si())
        self._tell()
        if self._air.pressure_pa != before.pressure_pa:
            self.changed.emit()

    def _tell(self) -> None:
        used = self._units.text(self._air.pressure_pa, Role.BAROMETER)
        self.used.setText(f"Gauges count from {used}: {self._air.origin}.")
        problem = self.barometer.problem or self.altitude.problem or self._air.problem
        self.problem.setText(sentence(problem))
        self.problem.setVisible(bool(problem))
