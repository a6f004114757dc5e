"""The card that says where a pressure at rest could tell two refrigerants apart, and where never."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox

from knowngood.widgets import Card
from knowngood.widgets.answer_line import AnswerLine, sentence
from knowngood.widgets.form import form, words
from knowngood_calculator.core.alike import Apart, crossings, tell_apart
from knowngood_calculator.panels.verdict_line import VerdictLine
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind
from knowngood_refdata.refrigerants import REFRIGERANTS, saturation

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units
    from knowngood_calculator.core.rest import AtRest
    from knowngood_refdata.refrigerants import SaturationCurve

NAMES_WIDTH = 118
PURE = "With these instruments, and only when both are pure."
ANY_K = 298.15
"""A temperature to ask at when only the ranges are wanted, which do not depend on it."""


class AlikeCard(Card):
    """Compares saturation of the refrigerant on the head of the page with that of another one."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("Told from another refrigerant?", parent=parent)
        self._units = units
        self._curve: SaturationCurve | None = None
        self._barometer_pa = STANDARD_ATMOSPHERE_PA
        self._at_rest: AtRest | None = None
        self.other = QComboBox()
        self.same, self.apart = (
            AnswerLine(name, units, NAMES_WIDTH, compact=True) for name in ("Same pressure at", "Differ by")
        )
        self.ranges = VerdictLine("Told apart at", units, NAMES_WIDTH)
        self.told = words("quiet")
        self._lay_out()
        self.other.currentIndexChanged.connect(self._answer)

    def refresh(self, curve: SaturationCurve, barometer_pa: float) -> None:
        """Take another curve or a local air pressure [Pa]; `show_at` answers."""
        self._barometer_pa = barometer_pa
        if self._curve is not None and curve.name == self._curve.name:
            return
        before = self.other.currentText()
        self._curve = curve
        self.other.blockSignals(True)
        self.other.clear()
        self.other.addItems([name for name in REFRIGERANTS if name != curve.name])
        self.other.setCurrentIndex(max(self.other.findText(before), 0))
        self.other.blockSignals(False)

    def show_at(self, at_rest: AtRest) -> None:
        """Answer for what was read."""
        self._at_rest = at_rest
        self._answer()

    def _answer(self) -> None:
        if self._curve is None or self._at_rest is None:
            return
        other = saturation(self.other.currentText())
        gauges, ambient_k = self._at_rest.instruments, self._at_rest.ambient_k
        # One gauge reads a circuit at rest; the low side's is the finer one of a common set.
        gauge = gauges.high if self._at_rest.low_pa is None and self._at_rest.high_pa else gauges.low
        known = math.isfinite(ambient_k)
        found = tell_apart(self._curve, other, ambient_k if known else ANY_K, gauge, gauges.air)
        self._show_same(self._curve, other)
        self._show_apart(found, known=known)
        self._show_ranges(found)

    def _show_same(self, curve: SaturationCurve, other: SaturationCurve) -> None:
        met = crossings(curve, other)
        if not met:
            self.same.say("no temperature")
            return
        temperatures = [self._units.text(one.temperature_k, Kind.TEMPERATURE) for one in met]
        pressures = [
            self._units.text(one.pressure_pa, Kind.PRESSURE, barometer_pa=self._barometer_pa) for one in met
        ]
        met_at = [f"{one}, {other}" for one, other in zip(temperatures, pressures, strict=True)]
        self.same.say(" and ".join(met_at))

    def _show_apart(self, found: Apart, *, known: bool) -> None:
        if not known:
            self.apart.clear()
        elif math.isnan(found.difference_pa):
            self.apart.clear(found.words)
        else:
            needed, differ = (
                self._units.text(one, Kind.PRESSURE, difference=True, decimals=2)
                for one in (found.needed_pa, found.difference_pa)
            )
            self.apart.say(differ, f"counts from {needed} on")
        told = known and not math.isnan(found.difference_pa)
        self.told.setText(f"{sentence(found.words)}." if told else PURE)

    def _show_ranges(self, found: Apart) -> None:
        ends = [[self._units.value(end, Kind.TEMPERATURE) for end in one] for one in found.ranges_k]
        unit = self._units.label(Kind.TEMPERATURE)
        texts = [f"{low:.0f} to {high:.0f} {unit}".replace("-", "\N{MINUS SIGN}") for low, high in ends]
        self.ranges.say(", ".join(texts) or "no usual temperature")

    def _lay_out(self) -> None:
        self.body.addLayout(form(((("O&ther one", self.other),),), NAMES_WIDTH))
        for line in (self.same, self.apart, self.ranges):
            self.body.addWidget(line)
        self.body.addWidget(self.told)
