"""What a cycle is computed from: assumed conditions or measured points, and the compressor."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QVBoxLayout, QWidget

from knowngood.formatting import Shown
from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.form import form
from knowngood_calculator.core.cycles import Assumed, Measured
from knowngood_calculator.panels.instrument_choice import InstrumentChoice
from knowngood_calculator.panels.window_choice import WindowChoice, line_temperatures_k
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood.api import Host
    from knowngood.units import Units
    from knowngood_calculator.panels.section import Given

ASSUMED, MEASURED = "assumed conditions", "measured points"
START = (5.0, 5.0, 0.7, 0.0)
"""Superheat and subcooling [K], isentropic efficiency, effectiveness of the heat exchanger to begin with."""

NAMES = 90
"""Room for the longest name of a field."""

TRANSCRITICAL_BELOW_K = 320.0
"""A refrigerant whose critical temperature lies below this often gives off its heat above it."""


class AssumedForm(QWidget):
    """Saturation temperatures and what is assumed of the parts."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.evaporating, self.condensing = (QuantityEdit(Kind.TEMPERATURE, units) for _ in range(2))
        self.superheat, self.subcooling = (QuantityEdit(Kind.TEMPERATURE_DIFFERENCE, units) for _ in range(2))
        self.efficiency, self.exchanger = (QuantityEdit(Kind.FRACTION, units) for _ in range(2))
        self.cooler = QuantityEdit(Kind.PRESSURE, units)
        self.cooler_outlet = QuantityEdit(Kind.TEMPERATURE, units)
        for edit, value in zip(
            (self.superheat, self.subcooling, self.efficiency, self.exchanger), START, strict=True
        ):
            edit.set_si(value)
        rows = (
            (("&Evaporating", self.evaporating), ("&Condensing", self.condensing)),
            (("&Superheat", self.superheat), ("S&ubcooling", self.subcooling)),
            (("E&fficiency", self.efficiency), ("E&xchanger", self.exchanger)),
        )
        self._cooler_row = QWidget()
        cooler = form(((("&Gas cooler", self.cooler), ("its outlet", self.cooler_outlet)),), NAMES)
        cooler.setContentsMargins(0, 0, 0, 0)
        self._cooler_row.setLayout(cooler)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(form(rows, NAMES))
        layout.addWidget(self._cooler_row)
        layout.addStretch(1)
        self.efficiency.setToolTip("Isentropic efficiency of the compressor")
        self.exchanger.setToolTip("Effectiveness of the internal heat exchanger; 0 % where there is none")

    @property
    def edits(self) -> Iterator[QuantityEdit]:
        """The fields, in their order."""
        yield from (self.evaporating, self.condensing, self.superheat, self.subcooling)
        yield from (self.efficiency, self.exchanger, self.cooler, self.cooler_outlet)

    def offer_cooler(self, offered: bool) -> None:
        """Show or hide the fields of a gas cooler."""
        self._cooler_row.setVisible(offered)

    def values(self) -> Assumed | None:
        """What was assumed; None while too little is filled in."""
        evaporating, condensing = self.evaporating.si(), self.condensing.si()
        with_cooler = not self._cooler_row.isHidden() and self.cooler.si() is not None
        if evaporating is None or (condensing is None and not with_cooler):
            return None
        return Assumed(
            evaporating,
            None if with_cooler else condensing,
            self.superheat.si() or 0.0,
            self.subcooling.si() or 0.0,
            1.0 if self.efficiency.si() is None else self.efficiency.si() or 0.0,
            self.exchanger.si() or 0.0,
            self.cooler.si() if with_cooler else None,
            self.cooler_outlet.si() if with_cooler else None,
        )


class MeasuredForm(QWidget):
    """Pressures and temperatures around the circuit, and what they were measured with."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        units = host.units
        self.low, self.high = (QuantityEdit(Kind.PRESSURE, units) for _ in range(2))
        self.suction, self.discharge, self.liquid, self.outlet = (
            QuantityEdit(Kind.TEMPERATURE, units) for _ in range(4)
        )
        self.choice = InstrumentChoice(units)
        self.windows = WindowChoice(host)
        for edit in (self.discharge, self.outlet):
            edit.setToolTip("May stay empty")
        for box in (self.choice.gauges, self.choice.probe):
            box.setMinimumContentsLength(2)
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        rows = (
            (("&Low side", self.low), ("&Suction line", self.suction)),
            (("&High side", self.high), ("&Discharge line", self.discharge)),
            (("Liqu&id line", self.liquid), ("&Evap. outlet", self.outlet)),
            (("&Gauges", self.choice.gauges), ("&Clamp probe", self.choice.probe)),
        )
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.windows)
        layout.addLayout(form(rows, NAMES))
        layout.addStretch(1)

    @property
    def edits(self) -> Iterator[QuantityEdit]:
        """The fields, in their order."""
        yield from (self.low, self.suction, self.high, self.discharge, self.liquid, self.outlet)

    def values(self, isentropic_efficiency: float) -> Measured | None:
        """What was measured; None while too little is filled in."""
        low, suction, high, liquid = (one.si() for one in (self.low, self.suction, self.high, self.liquid))
        if low is None or suction is None or high is None or liquid is None:
            return None
        return Measured(
            low, suction, high, liquid, self.discharge.si(), self.outlet.si(), isentropic_efficiency
        )

    def take(self, given: Given) -> None:
        """Fill the fields from the chosen steady window; what it does not hold is emptied."""
        window = self.windows.window_in_hand
        if window is None:
            return
        suction, liquid = line_temperatures_k(given.curve, window)
        self.low.set_si(window.values[Quantity.LOW_SIDE].value)
        high = window.values.get(Quantity.HIGH_SIDE)
        self.high.set_si(None if high is None else high.value)
        for edit in (self.discharge, self.outlet):
            edit.set_si(None)
        self.suction.set_si(suction)
        self.liquid.set_si(liquid)


class CompressorForm(QWidget):
    """Displacement, pulley and speed, for an estimate of what the compressor moves."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.displacement = QuantityEdit(Shown.DISPLACEMENT, units)
        self.pulley = QuantityEdit(Shown.RATIO, units)
        self.speed = QuantityEdit(Kind.ROTATION, units)
        self.volumetric = QuantityEdit(Kind.FRACTION, units)
        self.volumetric.set_si(0.7)
        self.volumetric.setToolTip("Volumetric efficiency of the compressor")
        rows = (
            (("Displace&ment", self.displacement), ("E&ngine speed", self.speed)),
            (("Pu&lley ratio", self.pulley), ("&Volumetric", self.volumetric)),
        )
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(form(rows, NAMES))

    @property
    def edits(self) -> Iterator[QuantityEdit]:
        """The fields, in their order."""
        yield from (self.displacement, self.speed, self.pulley, self.volumetric)

    def values(self) -> tuple[float, float, float, float] | None:
        """Displacement [m³], pulley ratio, engine speed [rpm], volumetric efficiency; None if not all."""
        found = tuple(edit.si() for edit in (self.displacement, self.pulley, self.speed, self.volumetric))
        if any(value is None or value <= 0.0 for value in found):
            return None
        displacement, pulley, speed, volumetric = (value or 0.0 for value in found)
        return displacement, pulley, speed, volumetric


class InputsCard(Card):
    """The choice between assumed and measured, and the fields of either.

    Attributes
    ----------
    changed
        Signal without arguments: something was typed or chosen.
    """

    changed = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("Cycle", parent=parent)
        self.origin = QComboBox()
        self.origin.addItems([ASSUMED, MEASURED])
        self.assumed, self.measured = AssumedForm(host.units), MeasuredForm(host)
        self.compressor = CompressorForm(host.units)
        self._forms = (self.assumed, self.measured)
        self._lay_out()
        self.origin.currentIndexChanged.connect(self._turn)
        self.measured.windows.taken.connect(self._take)
        for edit in (*self.assumed.edits, *self.measured.edits, *self.compressor.edits):
            edit.changed.connect(self.changed)
        for choice in (self.measured.choice.gauges, self.measured.choice.probe):
            choice.currentIndexChanged.connect(self.changed)
        self._given: Given | None = None
        self._turn()

    def refresh(self, given: Given) -> None:
        """Count gauge pressures from the local air, and offer a gas cooler where there may be one."""
        before, self._given = self._given, given
        if before is None or before.barometer_pa != given.barometer_pa:
            for edit in (self.measured.low, self.measured.high, self.assumed.cooler):
                edit.set_barometer(given.barometer_pa)
        self.assumed.offer_cooler(given.curve.critical_k < TRANSCRITICAL_BELOW_K)

    @property
    def from_measured(self) -> bool:
        """Whether the measured points count, not the assumed conditions."""
        return self.origin.currentText() == MEASURED

    @property
    def problem(self) -> str:
        """The first field that holds no value, in words."""
        front = self.measured if self.from_measured else self.assumed
        edits = (*front.edits, *self.compressor.edits)
        return next((f"{one.accessibleName()}: {one.problem}" for one in edits if one.problem), "")

    def _turn(self) -> None:
        for form_, shown in zip(self._forms, (not self.from_measured, self.from_measured), strict=True):
            form_.setVisible(shown)
        self.changed.emit()

    def _take(self) -> None:
        if self._given is None:
            return
        self.measured.take(self._given)
        window = self.measured.windows.window_in_hand
        if window is not None and window.engine_rpm is not None:
            self.compressor.speed.set_si(window.engine_rpm)

    def _lay_out(self) -> None:
        self.body.addLayout(form(((("Fr&om", self.origin),),), NAMES))
        for one in self._forms:
            self.body.addWidget(one)
        self.body.addWidget(self.compressor)
