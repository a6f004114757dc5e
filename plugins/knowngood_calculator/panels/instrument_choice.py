"""Choices of gauges and probes, named in the units shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox

from knowngood_calculator.core.instruments import GAUGES, PROBES, GaugeSet
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Instruments

if TYPE_CHECKING:
    from knowngood.units import Units
    from knowngood_refdata.records import PressureInstrument, Thermometer


class InstrumentChoice:
    """A choice of gauges and one of probes, and what they come to together."""

    def __init__(self, units: Units) -> None:
        self._units = units
        self.gauges, self.probe = QComboBox(), QComboBox()
        self.name()
        units.changed.connect(self.name)

    @property
    def instruments(self) -> Instruments:
        """What is measured with."""
        gauges, probe = GAUGES[self.gauges.currentIndex()], PROBES[self.probe.currentIndex()]
        return Instruments(low=gauges.low, high=gauges.high, line=probe)

    def name(self) -> None:
        """Write the names in the units shown."""
        for choice, names in (
            (self.gauges, [self._gauges_text(one) for one in GAUGES]),
            (self.probe, [self._probe_text(one) for one in PROBES]),
        ):
            if choice.count() == 0:
                choice.addItems(names)
            for place, text in enumerate(names):
                choice.setItemText(place, text)

    def _gauges_text(self, gauges: GaugeSet) -> str:
        low, high = (self._span(one) for one in (gauges.low, gauges.high))
        unit = self._units.label(Kind.PRESSURE, difference=True)
        return f"{gauges.name}, to {low:.0f} and {high:.0f} {unit}"

    def _span(self, gauge: PressureInstrument) -> float:
        return self._units.value(gauge.full_scale_pa, Kind.PRESSURE, difference=True)

    def _probe_text(self, probe: Thermometer) -> str:
        return f"{probe.name}, ± {self._units.text(probe.limit_k, Kind.TEMPERATURE_DIFFERENCE)}"
