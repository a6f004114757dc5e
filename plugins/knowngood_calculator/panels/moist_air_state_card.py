"""The card of one state of air: dry bulb and one measure of humidity in, everything else out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal

from knowngood.units import System
from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import AnswerLine, sentence
from knowngood.widgets.form import words
from knowngood_calculator.core.air_measures import Measure, enthalpy_from_zero_fahrenheit_j_kg
from knowngood_calculator.panels.moist_air_humidity import HumidityForm
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind
from knowngood_refdata.records import Role

if TYPE_CHECKING:
    from PySide6.QtCore import Qt
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units
    from knowngood_refdata.moist_air import MoistAir

NAMES_WIDTH = 118
DRY_BULB, HUMIDITY = "Enter the dry bulb and one measure of humidity.", "Enter one measure of humidity."
BASIS = {
    System.US: "For 1 lb of dry air with its water; enthalpy is zero for dry air at 0\N{NO-BREAK SPACE}°F.",
    System.SI: "For 1 kg of dry air with its water; enthalpy is zero for dry air at 0\N{NO-BREAK SPACE}°C.",
}
"""What ratio, enthalpy and volume count for, and from: tables in US units have a zero of their own."""


class StateCard(Card):
    """Answers as one types, for the air pressure given last to `refresh`.

    ``letters`` lead, with Alt, to its fields: see `HumidityForm`.

    Attributes
    ----------
    changed
        Signal without arguments: `air` is another one.
    """

    changed = Signal()

    def __init__(
        self,
        title: str,
        subtitle: str,
        units: Units,
        letters: tuple[str, str, str],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(title, subtitle, parent)
        self._units = units
        self._pressure_pa = STANDARD_ATMOSPHERE_PA
        self._air: MoistAir | None = None
        self.humidity = HumidityForm(units, letters, NAMES_WIDTH)
        self.told, self.invitation, self.basis = words("problem"), words("quiet"), words("quiet")
        self.measures = {
            measure: AnswerLine(sentence(measure), units, NAMES_WIDTH, compact=True) for measure in Measure
        }
        self.enthalpy, self.volume, self.vapour = (
            AnswerLine(name, units, NAMES_WIDTH, compact=True)
            for name in ("Enthalpy", "Specific volume", "Vapour pressure")
        )
        self._lay_out()
        self.humidity.changed.connect(self._answer)
        self.humidity.switched.connect(self._carry_over)

    @property
    def air(self) -> MoistAir | None:
        """The state, None while too little or something impossible is entered."""
        return self._air

    @property
    def dry_bulb(self) -> QuantityEdit:
        """The field of the dry bulb."""
        return self.humidity.dry_bulb

    def refresh(self, pressure_pa: float) -> None:
        """Answer anew for a local air pressure [Pa]."""
        self._pressure_pa = pressure_pa
        self.basis.setText(BASIS[self._units.system])
        self._answer()

    def take(self, dry_bulb_k: float, relative_humidity: float) -> None:
        """Fill the fields with a dry bulb [K] and a relative humidity, 0 to 1."""
        self.humidity.choose(Measure.RELATIVE_HUMIDITY)
        self.dry_bulb.set_si(dry_bulb_k)
        self.humidity.edit.set_si(relative_humidity)

    def offer(self, widget: QWidget, alignment: Qt.AlignmentFlag) -> None:
        """Place above the fields what fills them."""
        self.body.insertWidget(0, widget, 0, alignment)

    def _answer(self) -> None:
        self._air, problem = self._found()
        self.told.setText(sentence(problem))
        self.told.setVisible(bool(problem))
        missing = "" if problem or self._air is not None else self._missing
        self.invitation.setText(missing)
        self.invitation.setVisible(bool(missing))
        if self._air is None:
            for line in (*self.measures.values(), self.enthalpy, self.volume, self.vapour):
                line.clear()
        else:
            self._show(self._air)
        self.changed.emit()

    def _found(self) -> tuple[MoistAir | None, str]:
        """The state, or what is wrong with what was entered; neither while something is missing."""
        dry_bulb, humidity = self.dry_bulb, self.humidity.edit
        for edit in (dry_bulb, humidity):
            if edit.problem:
                return None, f"{edit.accessibleName()}: {edit.problem}"
        dry_bulb_k, value = dry_bulb.si(), humidity.si()
        if dry_bulb_k is None or value is None:
            return None, ""
        try:
            return self.humidity.measure.air(dry_bulb_k, value, self._pressure_pa), ""
        except ValueError as error:
            return None, str(error)

    @property
    def _missing(self) -> str:
        return HUMIDITY if self.dry_bulb.text() else DRY_BULB

    def _carry_over(self) -> None:
        """Write the state into the field of another measure."""
        if self._air is not None:
            self.humidity.edit.set_si(self.humidity.measure.of(self._air))
        else:
            self._answer()

    def _show(self, air: MoistAir) -> None:
        units = self._units
        for measure, line in self.measures.items():
            decimals = 1 if measure.kind is Kind.FRACTION else None
            line.say(_text(units, measure.of(air), measure.kind, decimals))
        from_fahrenheit = units.system is System.US
        enthalpy = enthalpy_from_zero_fahrenheit_j_kg(air) if from_fahrenheit else air.enthalpy_j_kg
        self.enthalpy.say(units.text(enthalpy, Kind.SPECIFIC_ENERGY))
        self.volume.say(units.text(air.specific_volume_m3_kg, Kind.SPECIFIC_VOLUME))
        self.vapour.say(units.text(air.vapour_pressure_pa, Role.BAROMETER, decimals=3))

    def _lay_out(self) -> None:
        self.body.addLayout(self.humidity.layout)
        self.body.addWidget(self.told)
        self.body.addWidget(self.invitation)
        for line in (*self.measures.values(), self.enthalpy, self.volume, self.vapour):
            self.body.addWidget(line)
        self.body.addWidget(self.basis)
        self.body.addStretch(1)
        self.body.setSpacing(4)


def _text(units: Units, value: float, kind: Kind, decimals: int | None) -> str:
    # Perfectly dry air has no dew point.
    return units.text(value, kind, decimals=decimals) if not math.isnan(value) else ""
