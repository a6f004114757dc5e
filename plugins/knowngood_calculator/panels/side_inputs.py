"""What one side was measured with and where: gauge, probe, seat of the clamp, places of clamp and port."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QComboBox

from knowngood.widgets import QuantityEdit
from knowngood_calculator.core.clamps import Seat
from knowngood_calculator.core.instruments import EN_837_CLASSES, dial_gauge, digital_gauge
from knowngood_calculator.core.probes import PROBE_CLASSES, own_probe
from knowngood_calculator.core.readings import Drop, LineTaken, Port, PressureTaken
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood.units import Units
    from knowngood_refdata.local_air import LocalAir
    from knowngood_refdata.records import PressureInstrument, Thermometer

DIGITAL_PERCENT = (0.1, 0.25, 0.5, 1.0)
"""Accuracies in percent of full scale that digital sets are sold with (common practice, no source)."""

OTHER_PROBE = "another limit of error"
NOT_SAID = "not said"


class GaugeFields(QObject):
    """The class of a gauge and its full scale.

    Attributes
    ----------
    changed
        Signal without arguments.
    """

    changed = Signal()

    def __init__(self, units: Units, full_scale_pa: float, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.kind = _box(
            (
                *(f"dial gauge, class {one:g}" for one in EN_837_CLASSES),
                *(f"digital, {one:g} % of full scale" for one in DIGITAL_PERCENT),
            )
        )
        self.kind.setCurrentIndex(EN_837_CLASSES.index(1.6))
        self.full_scale = QuantityEdit(Kind.PRESSURE, units, difference=True)
        self.full_scale.set_si(full_scale_pa)
        self.kind.currentIndexChanged.connect(self.changed)
        self.full_scale.changed.connect(self.changed)

    @property
    def gauge(self) -> PressureInstrument:
        """The gauge.

        Raises
        ------
        ValueError
            When no gauge has such a full scale; the message is meant for the reader.
        """
        full_scale = self.full_scale.si()
        if full_scale is None:
            raise ValueError(self.full_scale.problem or "the full scale of the gauge is not given")
        place = self.kind.currentIndex()
        if place < len(EN_837_CLASSES):
            return dial_gauge(EN_837_CLASSES[place], full_scale)
        return digital_gauge(DIGITAL_PERCENT[place - len(EN_837_CLASSES)], full_scale)


class ProbeFields(QObject):
    """The class of a probe, or a limit of its own.

    Attributes
    ----------
    changed
        Signal without arguments.
    """

    changed = Signal()

    def __init__(self, units: Units, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.kind = _box((*(one.name for one in PROBE_CLASSES), OTHER_PROBE))
        self.limit = QuantityEdit(Kind.TEMPERATURE_DIFFERENCE, units)
        self.limit.setEnabled(False)
        self.kind.currentIndexChanged.connect(self._turn)
        self.limit.changed.connect(self.changed)

    def at(self, temperature_k: float) -> Thermometer:
        """The probe as it is at a temperature [K].

        Raises
        ------
        ValueError
            When its class ends before, or no limit is given; the message is meant for the reader.
        """
        place = self.kind.currentIndex()
        if place < len(PROBE_CLASSES):
            return PROBE_CLASSES[place].at(temperature_k)
        limit = self.limit.si()
        if limit is None:
            raise ValueError(self.limit.problem or "the limit of error of the probe is not given")
        return own_probe(limit)

    def _turn(self) -> None:
        self.limit.setEnabled(self.kind.currentText() == OTHER_PROBE)
        self.changed.emit()


class PlaceFields(QObject):
    """How the clamp sits, the air around it, and where the pressure is taken.

    Attributes
    ----------
    changed
        Signal without arguments.
    """

    changed = Signal()

    def __init__(self, units: Units, places: Iterable[str], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.place = _box((NOT_SAID, *places))
        self.seat = _box((NOT_SAID, *(one.label for one in Seat)))
        self.air = QuantityEdit(Kind.TEMPERATURE, units)
        self.port = _box(tuple(Port))
        self.drop = QuantityEdit(Kind.PRESSURE, units, difference=True)
        for box in (self.place, self.seat, self.port):
            box.currentIndexChanged.connect(self.changed)
        for edit in (self.air, self.drop):
            edit.changed.connect(self.changed)

    def line(self, line_k: float, probe: Thermometer) -> LineTaken:
        """A line temperature with how its clamp sits."""
        chosen = self.seat.currentIndex() - 1
        return LineTaken(line_k, probe, list(Seat)[chosen] if chosen >= 0 else None, self.air.si())

    def pressure(self, edit: QuantityEdit, gauge: PressureInstrument, air: LocalAir) -> PressureTaken:
        """A pressure with what it rests on.

        Raises
        ------
        ValueError
            When the drop is no drop; the message is meant for the reader.
        """
        pressure_pa = edit.si()
        assert pressure_pa is not None
        drop_pa = self.drop.si() or 0.0
        return PressureTaken(
            pressure_pa,
            gauge,
            air.barometer if edit.counts_from_air else None,
            list(Port)[self.port.currentIndex()],
            Drop(drop_pa, drop_pa),
        )


def _box(names: Iterable[str]) -> QComboBox:
    """A choice that does not widen the page for its longest entry."""
    box = QComboBox()
    box.currentTextChanged.connect(box.setToolTip)
    box.addItems(list(names))
    box.setMinimumContentsLength(6)
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    return box
