"""The card of the preconditions: what must hold before a pressure at rest means anything."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import MISSING, Shown
from knowngood.units import System
from knowngood.widgets import Card
from knowngood.widgets.answer_line import sentence
from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid
from knowngood_calculator.core.rest import Met, Precondition
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units

HEADINGS = ("", "state", "found", "limit")
AT_LEAST, AT_MOST = "\N{GREATER-THAN OR EQUAL TO}", "\N{LESS-THAN OR EQUAL TO}"


class PreconditionsCard(Card):
    """Whether the circuit is at rest: met, not met or not known, each with what was found and its limit."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("Preconditions", parent=parent)
        self._units = units
        self.grid = Grid("preconditions", words_first=True)
        self.unmet, self.unknown = words("problem"), words("quiet")
        for widget in (self.grid, self.unmet, self.unknown):
            self.body.addWidget(widget)

    def show_preconditions(self, found: Sequence[Precondition]) -> None:
        """Show each precondition, and in words what to do about those that are not met or not known."""
        self.grid.write(HEADINGS, [self._row(one) for one in found])
        self.grid.fit_rows()
        for label, met in ((self.unmet, Met.NO), (self.unknown, Met.NOT_KNOWN)):
            told = [f"{sentence(one.name)}: {one.words}." for one in found if one.met is met]
            label.setText(" ".join(told))
            label.setVisible(bool(told))

    def _row(self, one: Precondition) -> tuple[str, ...]:
        bound = AT_LEAST if one.kind is Kind.TIME else AT_MOST
        found = MISSING if one.found is None else self._text(one.found, one.kind)
        limit = MISSING if one.limit is None else f"{bound} {self._text(one.limit, one.kind)}"
        return sentence(one.name), one.met, found, limit

    def _text(self, value_si: float, kind: Kind) -> str:
        if kind is Kind.TIME:
            return self._units.text(value_si, Shown.REST_TIME)
        decimals = 2 if kind is Kind.PRESSURE and self._units.system is System.SI else None
        return self._units.text(value_si, kind, difference=True, decimals=decimals)
