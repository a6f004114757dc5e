"""The instruments that can be named for a session, common ones first."""

from __future__ import annotations

from typing import TYPE_CHECKING, Generic, TypeVar

from knowngood_refdata.records import PressureInstrument, Thermometer
from knowngood_sessions.panels.mapping_choice import DeliberateChoice

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

# Classes of dial gauges are those of EN 837-1; limits of type K those of IEC 60584-1, near room temperature.
LOW_GAUGES = (
    PressureInstrument(1.6, 10e5, "dial gauge class 1.6, 10 bar"),
    PressureInstrument(1.0, 10e5, "dial gauge class 1.0, 10 bar"),
    PressureInstrument(0.5, 20e5, "digital manifold 0.5 %, 20 bar"),
    PressureInstrument(1.0, 20e5, "transducer 1 %, 20 bar"),
)
HIGH_GAUGES = (
    PressureInstrument(1.6, 35e5, "dial gauge class 1.6, 35 bar"),
    PressureInstrument(1.0, 40e5, "dial gauge class 1.0, 40 bar"),
    PressureInstrument(0.5, 50e5, "digital manifold 0.5 %, 50 bar"),
    PressureInstrument(1.0, 50e5, "transducer 1 %, 50 bar"),
)
LINE_PROBES = (
    Thermometer(2.5, "type K class 2"),
    Thermometer(1.5, "type K class 1"),
    Thermometer(0.5, "thermistor clamp"),
)
AIR_PROBES = (
    Thermometer(1.0, "air probe"),
    Thermometer(0.5, "air probe, better"),
    Thermometer(2.5, "type K class 2"),
)

Instrument = TypeVar("Instrument", bound=PressureInstrument | Thermometer)


class InstrumentChoice(DeliberateChoice, Generic[Instrument]):
    """A choice of instruments; one that is not in the list is added when it is set."""

    def __init__(self, offered: Sequence[Instrument], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._offered = list(offered)
        self.addItems([_words(one) for one in offered])

    def instrument(self) -> Instrument:
        """The instrument chosen."""
        return self._offered[self.currentIndex()]

    def set_instrument(self, instrument: Instrument) -> None:
        """Choose an instrument."""
        if instrument not in self._offered:
            self._offered.append(instrument)
            self.addItem(_words(instrument))
        self.setCurrentIndex(self._offered.index(instrument))


def _words(instrument: PressureInstrument | Thermometer) -> str:
    if isinstance(instrument, Thermometer):
        return f"{instrument.name or 'probe'}, ± {instrument.limit_k:g} K"
    return instrument.name or f"{instrument.class_percent:g} % of {instrument.full_scale_pa / 1e5:g} bar"
