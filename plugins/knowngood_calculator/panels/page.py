"""The refrigerant calculator: everything answers as one types."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QGridLayout, QHBoxLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from knowngood.widgets import Card, QuantityEdit
from knowngood_calculator.core import (
    GAUGES,
    PROBES,
    Answer,
    dominating,
    saturation_pressure,
    saturation_temperature,
    sides_in_order,
    subcooling,
    superheat,
)
from knowngood_calculator.panels.answer_line import AnswerLine
from knowngood_calculator.panels.inputs import Surroundings
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Instruments

if TYPE_CHECKING:
    from knowngood.api import Host

CAUTION = (
    "Charge by weight from the under-hood label; a pressure does not tell the charge. "
    "The vehicle maker's procedure, the refrigerant data sheet and local codes prevail."
)
SOURCE = (
    "Saturation after Tillner-Roth and Baehr 1994 (R-134a) and Lemmon and Akasaka 2022 (R-1234yf). "
    "A pressure without a word behind it is a gauge's; write 'bar abs' or 'psia' for an absolute one."
)


class CalculatorPage(QScrollArea):
    """Follows refrigerant of the vehicle in hand and unit system; holds nothing that could be lost."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._host = host
        self.setWidgetResizable(True)
        self.surroundings = Surroundings(host)
        self.pressure = QuantityEdit(Kind.PRESSURE, host.units)
        self.temperature = QuantityEdit(Kind.TEMPERATURE, host.units)
        self.low = QuantityEdit(Kind.PRESSURE, host.units)
        self.high = QuantityEdit(Kind.PRESSURE, host.units)
        self.suction = QuantityEdit(Kind.TEMPERATURE, host.units)
        self.liquid = QuantityEdit(Kind.TEMPERATURE, host.units)
        self.gauges, self.probe = QComboBox(), QComboBox()
        self.gauges.addItems(list(GAUGES))
        self.probe.addItems(list(PROBES))
        self.answers = {
            name: AnswerLine(name)
            for name in (
                "Saturation temperature",
                "Slope there",
                "Saturation pressure",
                "Evaporating",
                "Superheat",
                "Condensing",
                "Subcooling",
            )
        }
        self.sides = QLabel()
        self.sides.setObjectName("problem")
        self._lay_out()
        for edit in self._edits():
            edit.changed.connect(self.refresh)
        for choice in (self.gauges, self.probe):
            choice.currentIndexChanged.connect(self.refresh)
        self.surroundings.changed.connect(self._new_surroundings)
        host.units.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Answer everything anew."""
        self._saturation()
        self._both_sides()

    def _edits(self) -> tuple[QuantityEdit, ...]:
        return self.pressure, self.temperature, self.low, self.high, self.suction, self.liquid

    def _new_surroundings(self) -> None:
        for edit in (self.pressure, self.low, self.high):
            edit.set_barometer(self.surroundings.barometer_pa)
        self.refresh()

    def _lay_out(self) -> None:
        sheet = QWidget()
        sheet.setObjectName("page")
        layout = QVBoxLayout(sheet)
        layout.setContentsMargins(20, 18, 20, 18)
        layout.setSpacing(14)
        top = Card("Refrigerant calculator")
        top.body.addWidget(self.surroundings)
        columns = QHBoxLayout()
        columns.setSpacing(16)
        columns.addWidget(self._saturation_card(), stretch=1)
        columns.addWidget(self._sides_card(), stretch=1)
        for text in (CAUTION, SOURCE):
            line = QLabel(text)
            line.setObjectName("quiet")
            line.setWordWrap(True)
            top.body.addWidget(line)
        layout.addWidget(top)
        layout.addLayout(columns)
        layout.addStretch(1)
        self.setWidget(sheet)

    def _saturation_card(self) -> Card:
        card = Card("Saturation", "where liquid and vapour are at rest together")
        card.body.addLayout(_form((("Pressure", self.pressure),)))
        card.body.addWidget(self.answers["Saturation temperature"])
        card.body.addWidget(self.answers["Slope there"])
        card.body.addLayout(_form((("Temperature", self.temperature),)))
        card.body.addWidget(self.answers["Saturation pressure"])
        card.body.addStretch(1)
        return card

    def _sides_card(self) -> Card:
        card = Card("Superheat and subcooling", "with the 95 % uncertainty of the instruments")
        card.body.addLayout(
            _form(
                (
                    ("Low side", self.low),
                    ("Suction line", self.suction),
                    ("High side", self.high),
                    ("Liquid line", self.liquid),
                    ("Gauges", self.gauges),
                    ("Clamp probe", self.probe),
                )
            )
        )
        card.body.addWidget(self.sides)
        for name in ("Evaporating", "Superheat", "Condensing", "Subcooling"):
            card.body.addWidget(self.answers[name])
        note = QLabel(
            "A clamp without insulation reads too warm in a warm bay: superheat then looks too high and "
            "subcooling too low, which both mimic undercharge."
        )
        note.setObjectName("quiet")
        note.setWordWrap(True)
        card.body.addWidget(note)
        card.body.addStretch(1)
        return card

    def _saturation(self) -> None:
        curve, units = self.surroundings.curve, self._host.units
        line, slope = self.answers["Saturation temperature"], self.answers["Slope there"]
        pressure = self._value(self.pressure, line)
        slope.show_words("")
        if pressure is not None:
            answer = saturation_temperature(curve, pressure)
            line.show_answer(answer, units.text(answer.value, Kind.TEMPERATURE))
            if answer.value is not None and pressure < curve.critical_pa:
                slope.show_answer(answer, self._slope_text(curve.slope_k_per_pa(pressure)))
        line = self.answers["Saturation pressure"]
        temperature = self._value(self.temperature, line)
        if temperature is not None:
            answer = saturation_pressure(curve, temperature)
            barometer = self.surroundings.barometer_pa
            gauge = units.text(answer.value, Kind.PRESSURE, barometer_pa=barometer)
            absolute = units.text(answer.value, Kind.PRESSURE, absolute=True)
            line.show_answer(answer, gauge, f"{absolute}")

    def _slope_text(self, slope_k_per_pa: float) -> str:
        units = self._host.units
        per_unit = slope_k_per_pa / units.value(1.0, Kind.PRESSURE, difference=True)
        number = units.value(per_unit, Kind.TEMPERATURE_DIFFERENCE)
        kelvin = units.label(Kind.TEMPERATURE_DIFFERENCE)
        return f"{number:.2f} {kelvin} per {units.label(Kind.PRESSURE, difference=True)}"

    def _both_sides(self) -> None:
        low_gauge, high_gauge = GAUGES[self.gauges.currentText()]
        probe = PROBES[self.probe.currentText()]
        instruments = Instruments(low=low_gauge, high=high_gauge, line=probe)
        curve = self.surroundings.curve
        low = self._value(self.low, self.answers["Evaporating"])
        high = self._value(self.high, self.answers["Condensing"])
        suction = self._value(self.suction, self.answers["Superheat"])
        liquid = self._value(self.liquid, self.answers["Subcooling"])
        self.sides.setText(sides_in_order(low, high).capitalize())
        for name, pressure in (("Evaporating", low), ("Condensing", high)):
            if pressure is not None:
                answer = saturation_temperature(curve, pressure)
                self.answers[name].show_answer(answer, self._host.units.text(answer.value, Kind.TEMPERATURE))
        if low is not None and suction is not None:
            answer = superheat(curve, low, suction, instruments)
            self._difference("Superheat", answer, dominating(curve, low, low_gauge, probe))
        if high is not None and liquid is not None:
            answer = subcooling(curve, high, liquid, instruments)
            self._difference("Subcooling", answer, dominating(curve, high, high_gauge, probe))

    def _difference(self, name: str, answer: Answer, origin: str) -> None:
        uncertainty = None if answer.standard_uncertainty is None else 1.96 * answer.standard_uncertainty
        text = self._host.units.text(answer.value, Kind.TEMPERATURE_DIFFERENCE, uncertainty_si=uncertainty)
        self.answers[name].show_answer(answer, text, f"uncertainty {origin}" if origin else "")

    def _value(self, edit: QuantityEdit, line: AnswerLine) -> float | None:
        line.show_words(edit.problem)
        return edit.si()


def _form(rows: tuple[tuple[str, QWidget], ...]) -> QGridLayout:
    form = QGridLayout()
    form.setColumnMinimumWidth(0, 150)
    form.setColumnStretch(1, 1)
    for row, (text, field) in enumerate(rows):
        label = QLabel(text)
        label.setBuddy(field)
        field.setAccessibleName(text)
        form.addWidget(label, row, 0)
        form.addWidget(field, row, 1)
    return form
