"""The conditions that both refrigerants are compared under."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout

from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import sentence
from knowngood.widgets.form import form, words
from knowngood_comparison.core.assumptions import Assumptions
from knowngood_comparison.core.names import FIRST, SECOND
from knowngood_refdata.local_air import local_air
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host

NAMES = 92
START_EVAPORATING_K, START_CONDENSING_K = 278.15, 323.15
START_APART_K, START_EFFICIENCY = 5.0, 0.7


class ConditionsCard(Card):
    """The fields, filled with a summer day to begin with, and the air pressure that gauges count from.

    Attributes
    ----------
    changed
        Signal without arguments: something was typed, or the session in hand brought another air pressure.
    """

    changed = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._host = host
        units = host.units
        self.evaporating, self.condensing = (QuantityEdit(Kind.TEMPERATURE, units) for _ in range(2))
        self.superheat, self.subcooling = (QuantityEdit(Kind.TEMPERATURE_DIFFERENCE, units) for _ in range(2))
        self.efficiency = QuantityEdit(Kind.FRACTION, units)
        self.exchangers = tuple(QuantityEdit(Kind.FRACTION, units) for _ in range(2))
        self.drop = QuantityEdit(Kind.PRESSURE, units, difference=True)
        self.cooling = QuantityEdit(Kind.POWER, units)
        self.altitude, self.barometer = QuantityEdit(Kind.LENGTH, units), QuantityEdit(Role.BAROMETER, units)
        self._blocks = QHBoxLayout()
        self.air, self.problem = words("quiet"), words("problem")
        self._edits = (
            *(self.evaporating, self.condensing, self.superheat, self.subcooling),
            *(self.efficiency, self.drop, *self.exchangers),
            *(self.cooling, self.altitude, self.barometer),
        )
        self._lay_out()
        self._begin()
        for edit in self._edits:
            edit.changed.connect(self._read)
        host.bench.session_changed.connect(self._read)
        self._read()

    @property
    def barometer_pa(self) -> float:
        """The air pressure that gauges count from [Pa]."""
        return self._air.pressure_pa

    def values(self) -> Assumptions | None:
        """What is assumed; None while one of the two saturation temperatures is missing."""
        evaporating, condensing = self.evaporating.si(), self.condensing.si()
        if evaporating is None or condensing is None:
            return None
        efficiency = self.efficiency.si()
        return Assumptions(
            evaporating,
            condensing,
            self.superheat.si() or 0.0,
            self.subcooling.si() or 0.0,
            1.0 if efficiency is None else efficiency,
            (self.exchangers[0].si() or 0.0, self.exchangers[1].si() or 0.0),
            self.drop.si() or 0.0,
            self.cooling.si(),
        )

    def tell_air(self) -> None:
        """Write the air pressure in the units shown."""
        used = self._host.units.text(self._air.pressure_pa, Role.BAROMETER)
        self.air.setText(f"Gauges count from {used}: {self._air.origin}.")

    def _read(self) -> None:
        session = self._host.bench.session
        conditions = None if session is None else session.conditions
        self._air = local_air(self.barometer.si(), self.altitude.si(), conditions)
        self.tell_air()
        typed = (f"{one.accessibleName()}: {one.problem}" for one in self._edits if one.problem)
        self.problem.setText(sentence(next(typed, self._air.problem)))
        self.problem.setVisible(bool(self.problem.text()))
        self.changed.emit()

    def _begin(self) -> None:
        self.evaporating.set_si(START_EVAPORATING_K)
        self.condensing.set_si(START_CONDENSING_K)
        for edit in (self.superheat, self.subcooling):
            edit.set_si(START_APART_K)
        self.efficiency.set_si(START_EFFICIENCY)
        for edit in self.exchangers:
            edit.set_si(0.0)

    def set_narrow(self, narrow: bool) -> None:
        """Put the two blocks of fields below one another, or side by side again."""
        direction = QHBoxLayout.Direction
        self._blocks.setDirection(direction.TopToBottom if narrow else direction.LeftToRight)

    def _lay_out(self) -> None:
        first, second = self.exchangers
        left = (
            (("&Evaporating", self.evaporating), ("&Condensing", self.condensing)),
            (("Isentropic e&ff.", self.efficiency), ("Suction &drop", self.drop)),
            (("Cooling po&wer", self.cooling),),
        )
        right = (
            (("&Superheat", self.superheat), ("S&ubcooling", self.subcooling)),
            ((f"Exchanger {FIRST}", first), (f"Exchanger {SECOND}", second)),
            (("&Altitude", self.altitude), ("or &barometer", self.barometer)),
        )
        self._blocks.setSpacing(12)
        for rows in (left, right):
            block = form(rows, NAMES)
            block.setVerticalSpacing(6)
            self._blocks.addLayout(block, stretch=1)
        self.body.addLayout(self._blocks)
        for one, following in pairwise(self._edits):
            self.setTabOrder(one, following)
        self.body.addWidget(self.air)
        self.body.addWidget(self.problem)
        frame = self.layout()
        assert frame is not None
        frame.setContentsMargins(18, 10, 18, 10)
