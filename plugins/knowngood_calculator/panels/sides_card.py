"""The card of superheat and subcooling, with the instruments that they were measured with."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QWidget

from knowngood.widgets import Card, QuantityEdit
from knowngood_calculator.core.answers import (
    Answer,
    saturation_temperature,
    sides_in_order,
    subcooling,
    superheat,
)
from knowngood_calculator.core.instruments import GAUGES, PROBES, GaugeSet, dominating
from knowngood_calculator.panels.answer_line import AnswerLine, sentence
from knowngood_calculator.panels.form import form, words
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind
from knowngood_refdata.records import Estimate, Instruments, PressureInstrument, Thermometer

if TYPE_CHECKING:
    from knowngood.units import Units
    from knowngood_refdata.refrigerants import SaturationCurve

NAMES_WIDTH = 84
"""Room for the longest name of a field, so that fields and answers stand in one column."""

CLAMP = (
    "A clamp without insulation reads too warm in a warm bay: superheat then looks too high and subcooling "
    "too low, and both mimic undercharge."
)


class SidesCard(Card):
    """Answers as one types, for the curve and the air pressure given last to `refresh`."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(
            "Superheat and subcooling", "with the 95 % uncertainty that the instruments leave", parent
        )
        self._units = units
        self._curve: SaturationCurve | None = None
        self._barometer_pa = STANDARD_ATMOSPHERE_PA
        self.low, self.high = (QuantityEdit(Kind.PRESSURE, units) for _ in range(2))
        self.suction, self.liquid = (QuantityEdit(Kind.TEMPERATURE, units) for _ in range(2))
        self.gauges, self.probe = QComboBox(), QComboBox()
        self.sides = words("problem")
        self.evaporating, self.superheat, self.condensing, self.subcooling = (
            AnswerLine(name, units, NAMES_WIDTH)
            for name in ("Evaporating", "Superheat", "Condensing", "Subcooling")
        )
        self._lay_out()
        self._name_instruments()
        for edit in (self.low, self.suction, self.high, self.liquid):
            edit.changed.connect(self._answer)
        for choice in (self.gauges, self.probe):
            choice.currentIndexChanged.connect(self._answer)
        units.changed.connect(self._name_instruments)

    @property
    def lines(self) -> tuple[AnswerLine, ...]:
        """The answers, from top to bottom."""
        return self.evaporating, self.superheat, self.condensing, self.subcooling

    def refresh(self, curve: SaturationCurve, barometer_pa: float) -> None:
        """Answer anew for a curve and a local air pressure [Pa]."""
        self._curve = curve
        # To set it reads the text anew, and a text written by the program is a rounded one.
        if barometer_pa != self._barometer_pa:
            self._barometer_pa = barometer_pa
            for edit in (self.low, self.high):
                edit.set_barometer(barometer_pa)
        self._answer()

    def _answer(self) -> None:
        order = sides_in_order(self.low.si(), self.high.si())
        self.sides.setText(sentence(order))
        self.sides.setVisible(bool(order))
        gauges, probe = GAUGES[self.gauges.currentIndex()], PROBES[self.probe.currentIndex()]
        instruments = Instruments(low=gauges.low, high=gauges.high, line=probe)
        self._saturation(self.low, self.evaporating)
        self._saturation(self.high, self.condensing)
        for line, pressure, edit, compute, gauge in (
            (self.superheat, self.low, self.suction, superheat, gauges.low),
            (self.subcooling, self.high, self.liquid, subcooling, gauges.high),
        ):
            p, t = pressure.si(), edit.si()
            if self._curve is None or p is None or t is None:
                line.clear(edit.problem)
            else:
                origin = dominating(self._curve, p, gauge, probe)
                self._difference(line, compute(self._curve, p, t, instruments), origin)

    def _saturation(self, edit: QuantityEdit, line: AnswerLine) -> None:
        pressure = edit.si()
        if self._curve is None or pressure is None:
            line.clear(edit.problem)
            return
        answer = saturation_temperature(self._curve, pressure)
        line.show_answer(answer, self._units.text(answer.value, Kind.TEMPERATURE))

    def _difference(self, line: AnswerLine, answer: Answer, origin: str) -> None:
        if answer.value is None or answer.standard_uncertainty is None:
            # The saturation temperature above already says why.
            line.clear()
            return
        estimate = Estimate(answer.value, answer.standard_uncertainty)
        text = self._units.estimate_text(estimate, Kind.TEMPERATURE_DIFFERENCE)
        line.show_answer(answer, text, "" if answer.doubtful else origin)

    def _name_instruments(self) -> None:
        for choice, names in (
            (self.gauges, [self._gauges_text(one) for one in GAUGES]),
            (self.probe, [self._probe_text(one) for one in PROBES]),
        ):
            if choice.count() == 0:
                choice.addItems(names)
            for place, name in enumerate(names):
                choice.setItemText(place, name)

    def _gauges_text(self, gauges: GaugeSet) -> str:
        low, high = (self._span(one) for one in (gauges.low, gauges.high))
        unit = self._units.label(Kind.PRESSURE, difference=True)
        return f"{gauges.name}, to {low:.0f} and {high:.0f} {unit}"

    def _span(self, gauge: PressureInstrument) -> float:
        return self._units.value(gauge.full_scale_pa, Kind.PRESSURE, difference=True)

    def _probe_text(self, probe: Thermometer) -> str:
        return f"{probe.name}, ± {self._units.text(probe.limit_k, Kind.TEMPERATURE_DIFFERENCE)}"

    def _lay_out(self) -> None:
        pairs = (
            (("&Low side", self.low), ("&Suction line", self.suction)),
            (("&High side", self.high), ("L&iquid line", self.liquid)),
            (("&Gauges", self.gauges),),
            (("&Clamp probe", self.probe),),
        )
        self.body.addLayout(form(pairs, NAMES_WIDTH))
        self.body.addWidget(self.sides)
        for line in self.lines:
            self.body.addWidget(line)
        self.body.addWidget(words("quiet", CLAMP))
        self.body.addStretch(1)
