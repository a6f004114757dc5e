"""The card of saturation: temperature at a pressure, pressure at a temperature, slope of the curve."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox

from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.form import form
from knowngood_calculator.core.answers import Answer, saturation_pressure, saturation_temperature, slope
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units
    from knowngood_refdata.refrigerants import SaturationCurve

GAUGE, ABSOLUTE = "gauge", "absolute"


class SaturationCard(Card):
    """Answers as one types, for the curve and the air pressure given last to `refresh`."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("Saturation", "where liquid and vapour are at rest together", parent)
        self._units = units
        self._curve: SaturationCurve | None = None
        self._barometer_pa = STANDARD_ATMOSPHERE_PA
        self.pressure = QuantityEdit(Kind.PRESSURE, units)
        self.reference = QComboBox()
        self.reference.addItems([GAUGE, ABSOLUTE])
        self.reference.setAccessibleName("Pressure without a word behind it is")
        self.temperature = QuantityEdit(Kind.TEMPERATURE, units)
        self.found_temperature = AnswerLine("Saturation temperature", units)
        self.found_slope = AnswerLine("Slope of the curve", units)
        self.found_pressure = AnswerLine("Saturation pressure", units)
        self._lay_out()
        self.pressure.changed.connect(self._from_pressure)
        self.temperature.changed.connect(self._from_temperature)
        self.reference.currentTextChanged.connect(self._refer)

    @property
    def lines(self) -> tuple[AnswerLine, ...]:
        """The answers, from top to bottom."""
        return self.found_temperature, self.found_slope, self.found_pressure

    def refresh(self, curve: SaturationCurve, barometer_pa: float) -> None:
        """Answer anew for a curve and a local air pressure [Pa]."""
        self._curve = curve
        # To set it reads the text anew, and a text written by the program is a rounded one.
        if barometer_pa != self._barometer_pa:
            self._barometer_pa = barometer_pa
            self.pressure.set_barometer(barometer_pa)
        self._from_pressure()
        self._from_temperature()

    def _refer(self, reference: str) -> None:
        self.pressure.set_absolute(reference == ABSOLUTE)

    def _from_pressure(self) -> None:
        pressure = self.pressure.si()
        self.found_slope.clear()
        if self._curve is None or pressure is None:
            self.found_temperature.clear(self.pressure.problem)
            return
        answer = saturation_temperature(self._curve, pressure)
        self.found_temperature.show_answer(answer, self._units.text(answer.value, Kind.TEMPERATURE))
        steepness = slope(self._curve, pressure)
        if steepness.value is not None:
            self.found_slope.show_answer(steepness, self._slope_text(steepness.value))

    def _from_temperature(self) -> None:
        temperature = self.temperature.si()
        if self._curve is None or temperature is None:
            self.found_pressure.clear(self.temperature.problem)
            return
        answer = saturation_pressure(self._curve, temperature)
        self.found_pressure.show_answer(answer, *self._pressure_texts(answer))

    def _pressure_texts(self, answer: Answer) -> tuple[str, str]:
        gauge = self._units.text(answer.value, Kind.PRESSURE, barometer_pa=self._barometer_pa, decimals=2)
        absolute = self._units.text(answer.value, Kind.PRESSURE, absolute=True, decimals=2)
        return gauge, f"that is {absolute}"

    def _slope_text(self, slope_k_per_pa: float) -> str:
        units = self._units
        one_unit_pa = 1.0 / units.value(1.0, Kind.PRESSURE, difference=True)
        rise = units.text(slope_k_per_pa * one_unit_pa, Kind.TEMPERATURE_DIFFERENCE, decimals=2)
        return f"{rise} per {units.label(Kind.PRESSURE, difference=True)}"

    def _lay_out(self) -> None:
        row = form(((("&Pressure", self.pressure),),))
        row.addWidget(self.reference, 0, row.columnCount())
        self.body.addLayout(row)
        self.body.addWidget(self.found_temperature)
        self.body.addWidget(self.found_slope)
        self.body.addLayout(form(((("&Temperature", self.temperature),),)))
        self.body.addWidget(self.found_pressure)
        self.body.addStretch(1)
