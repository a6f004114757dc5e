"""The card of one vacuum reading: on every scale in use, and where water boils or frosts in it."""

from __future__ import annotations

import math
from itertools import zip_longest
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QLabel

from knowngood.formatting import Shown
from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import AnswerLine, sentence
from knowngood.widgets.form import form, words
from knowngood_calculator.core.evacuation import VacuumReading, vacuum_reading
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units

NAMES_WIDTH = 112
FROM_ZERO = (
    ("Micron", "micron", ""),
    ("Kilopascal", "kPa", " abs"),
    ("Millibar", "mbar", " abs"),
    ("Pascal", "Pa", ""),
)
"""The scales that count from zero: name, unit, and the word that says so where the unit leaves it open."""

FIGURES = 4
MOST_REMARKS = 4
INVITATION = "Enter a vacuum in any unit: 500 micron, 29.9 inHg vac, 0.67 mbar."


class VacuumCard(Card):
    """Answers as one types, for the air pressure given last to `refresh`."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("Vacuum reading", "on every scale, and where water boils or frosts in it", parent)
        self._units = units
        self._barometer_pa = STANDARD_ATMOSPHERE_PA
        self.reading = QuantityEdit(Shown.VACUUM, units)
        self.coldest = QuantityEdit(Kind.TEMPERATURE, units)
        self.boils, self.frosts = (
            AnswerLine(f"Water {verb} at", units, NAMES_WIDTH) for verb in ("boils", "frosts")
        )
        self.below_air = AnswerLine("Below local air", units, NAMES_WIDTH, compact=True)
        self.scales = {
            symbol: AnswerLine(name, units, NAMES_WIDTH, compact=True) for name, symbol, _ in FROM_ZERO
        }
        self.told = words("problem")
        self.remarks = tuple(words("quiet") for _ in range(MOST_REMARKS))
        self._lay_out()
        for edit in (self.reading, self.coldest):
            edit.changed.connect(self._answer)

    def refresh(self, barometer_pa: float) -> None:
        """Answer anew for a local air pressure [Pa]."""
        # To set it reads the text anew, and a text written by the program is a rounded one.
        if barometer_pa != self._barometer_pa:
            self._barometer_pa = barometer_pa
            self.reading.set_barometer(barometer_pa)
        self._answer()

    def _answer(self) -> None:
        pressure = self.reading.si()
        problem = self.coldest.problem and f"{self.coldest.accessibleName()}: {self.coldest.problem}"
        if pressure is None:
            self._clear()
            self._tell(self.reading.problem or problem, () if self.reading.problem else (INVITATION,))
            return
        found = vacuum_reading(pressure, self._barometer_pa, self.coldest.si())
        self._show_pressure(found)
        self._show_water(found)
        self._tell(problem, tuple(f"{sentence(one)}." for one in found.remarks))

    def _show_pressure(self, found: VacuumReading) -> None:
        for _, symbol, word in FROM_ZERO:
            shown = unit(symbol, Kind.PRESSURE).from_si(found.pressure_pa)
            self.scales[symbol].say(f"{_figures(shown)} {symbol}{word}")
        inches = unit("inHg", Kind.PRESSURE).from_si(found.depth_pa)
        self.below_air.say(f"{inches:.3f} inHg vac" if found.depth_pa >= 0.0 else "")

    def _show_water(self, found: VacuumReading) -> None:
        self.frosts.setVisible(found.frozen)
        self.boils.setVisible(not found.frozen)
        line = self.frosts if found.frozen else self.boils
        line.say("" if found.water_k is None else self._units.text(found.water_k, Kind.TEMPERATURE))

    def _clear(self) -> None:
        for line in (self.boils, self.frosts, self.below_air, *self.scales.values()):
            line.clear()
        self.frosts.hide()
        self.boils.show()

    def _tell(self, problem: str, remarks: tuple[str, ...]) -> None:
        for label, text in zip_longest(
            (self.told, *self.remarks), (sentence(problem), *remarks), fillvalue=""
        ):
            assert isinstance(label, QLabel), "a reading has more remarks than there is room for"
            label.setText(text)
            label.setVisible(bool(text))

    def _lay_out(self) -> None:
        self.coldest.setToolTip("The coldest part of the system, where water would stay; may stay empty")
        self.body.addLayout(
            form(((("&Vacuum", self.reading),), (("&Coldest part", self.coldest),)), NAMES_WIDTH)
        )
        self.body.addWidget(self.told)
        for line in (self.boils, self.frosts, self.scales["micron"], self.below_air):
            self.body.addWidget(line)
        for symbol in ("kPa", "mbar", "Pa"):
            self.body.addWidget(self.scales[symbol])
        for remark in self.remarks:
            self.body.addWidget(remark)
        self.body.addStretch(1)
        self.body.setSpacing(4)


def _figures(value: float) -> str:
    """A number with four figures, and without zeros that say nothing behind the point."""
    if value <= 0.0 or not math.isfinite(value):
        return "0"
    decimals = max(FIGURES - 1 - math.floor(math.log10(value)), 0)
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals else text
