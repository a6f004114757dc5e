"""Superheat and subcooling from both sides, with all that they rest on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QHBoxLayout

from knowngood.widgets import Card
from knowngood.widgets.answer_line import sentence
from knowngood.widgets.form import named, words
from knowngood_calculator.core.answers import sides_in_order
from knowngood_calculator.panels.section import Section
from knowngood_calculator.panels.side_card import HIGH, LOW, SideCard
from knowngood_calculator.panels.window_choice import WindowChoice, line_temperatures_k
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_calculator.panels.section import Given

EXCHANGER = {"not known": None, "there is one": True, "there is none": False}


class SidesSection(Section):
    """The two sides beside each other, under what concerns both."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._given: Given | None = None
        self.windows = WindowChoice(host)
        self.exchanger = QComboBox()
        self.exchanger.addItems(list(EXCHANGER))
        self.sides = words("problem")
        self.low, self.high = SideCard(LOW, host.units), SideCard(HIGH, host.units)
        self.rows((self._both(),), (self.low, self.high))
        self.exchanger.currentIndexChanged.connect(self._answer)
        self.windows.taken.connect(self._take)
        for card in (self.low, self.high):
            card.changed.connect(self._answer)

    def refresh(self, given: Given) -> None:
        """Answer for another refrigerant or air pressure, or in other units."""
        self._given = given
        self._answer()

    def _answer(self) -> None:
        if self._given is None:
            return
        for card in (self.low, self.high):
            card.refresh(self._given, EXCHANGER[self.exchanger.currentText()])
        order = sides_in_order(self.low.pressure.si(), self.high.pressure.si())
        self.sides.setText(sentence(order))
        self.sides.setVisible(bool(order))

    def _take(self) -> None:
        window = self.windows.window_in_hand
        if window is None or self._given is None:
            return
        suction, liquid = line_temperatures_k(self._given.curve, window)
        high = window.values.get(Quantity.HIGH_SIDE)
        self.low.pressure.set_si(window.values[Quantity.LOW_SIDE].value)
        self.high.pressure.set_si(None if high is None else high.value)
        self.low.line.set_si(suction)
        self.high.line.set_si(liquid)

    def _both(self) -> Card:
        card = Card()
        row = QHBoxLayout()
        row.addWidget(named("Internal heat e&xchanger", self.exchanger))
        row.addWidget(self.exchanger)
        row.addWidget(self.windows)
        row.addWidget(self.sides, stretch=1)
        row.addStretch(0)
        card.body.addLayout(row)
        return card
