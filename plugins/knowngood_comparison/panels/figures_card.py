"""The figures of both refrigerants side by side, and as difference."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import Shown, System
from knowngood.widgets import Card
from knowngood.widgets.answer_line import sentence
from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid
from knowngood_comparison.core.figures import Compared, Figure, beyond_equation
from knowngood_comparison.core.names import BOTH
from knowngood_comparison.core.studies import WHAT_IT_IS
from knowngood_comparison.panels.numbers import percent, signed
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units
    from knowngood_comparison.core.words import Words

HEADINGS = ("", "unit", *BOTH, "difference", "%")
PLACES = (
    "Suction values, superheat and vapour density at the compressor's inlet; liquid density saturated at "
    "condensing, latent heat at evaporating."
)
LEAST_WIDTH = 524
"""With less the names of the figures are cut off."""
INVITATION = "enter an evaporating and a condensing temperature"


class FiguresCard(Card):
    """A table with a row a figure, pressures as gauge and as absolute."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("Side by side", parent=parent)
        self._units = units
        self.problem, self.remark = words("problem"), words("quiet")
        self.table = Grid("figures of both refrigerants", words_first=True)
        self.setMinimumWidth(LEAST_WIDTH)
        self.body.addWidget(self.problem)
        self.body.addWidget(self.table)
        self.body.addWidget(self.remark)
        self.body.addStretch(1)

    def show_answer(self, found: Compared | None, barometer_pa: float) -> None:
        """Write the figures of another comparison, or what to enter first."""
        rows = () if found is None else tuple(self._rows(found, barometer_pa))
        self.table.write(HEADINGS, rows)
        self.table.fit_rows()
        self.table.setVisible(bool(rows))
        self.problem.setText(self._problem(found, barometer_pa))
        self.problem.setVisible(bool(self.problem.text()))
        self.remark.setText(" ".join(self._remarks(found, barometer_pa)))

    def _rows(self, found: Compared, barometer_pa: float) -> Iterator[tuple[str, ...]]:
        for figure in Figure:
            if all(side.figure(figure) is None for side in found.sides):
                continue
            if figure.kind is Kind.PRESSURE:
                yield self._row(found, figure, barometer_pa, absolute=False)
            yield self._row(found, figure, barometer_pa, absolute=True)

    def _row(
        self, found: Compared, figure: Figure, barometer_pa: float, *, absolute: bool
    ) -> tuple[str, ...]:
        what, decimals = figure.kind or Shown.RATIO, _decimals(figure, self._units.system)

        def bare(value: float | None, *, difference: bool = False) -> str:
            text = self._units.text(
                value, what, barometer_pa=barometer_pa, absolute=absolute, difference=difference,
                decimals=decimals,
            )  # fmt: skip
            return text.split(" ")[0]

        gauge = figure.kind is Kind.PRESSURE and not absolute
        share = None if gauge else found.share(figure)
        difference = None if gauge else found.difference(figure)
        return (
            figure.title,
            self._units.label(what, absolute=absolute),
            *(bare(side.figure(figure)) for side in found.sides),
            "" if gauge else signed(bare(difference, difference=True)),
            "" if share is None else signed(percent(share)),
        )

    def _problem(self, found: Compared | None, barometer_pa: float) -> str:
        if found is None:
            return sentence(f"{INVITATION}.")
        told = [found.words, *(side.words for side in found.sides)]
        return " ".join(self._written(one, barometer_pa) for one in told if one is not None)

    def _remarks(self, found: Compared | None, barometer_pa: float) -> Iterator[str]:
        for side in () if found is None else found.sides:
            beyond = beyond_equation(side)
            if beyond is not None:
                yield self._written(beyond, barometer_pa)
        yield from (PLACES, WHAT_IT_IS)

    def _written(self, told: Words, barometer_pa: float) -> str:
        text = told.written(lambda value, kind: self._units.text(value, kind, barometer_pa=barometer_pa))
        return f"{sentence(text)}."


def _decimals(figure: Figure, system: System) -> int | None:
    """More or fewer digits than a single value has, so that a difference can be followed; None as usual."""
    us = system is System.US
    if figure is Figure.LIQUID_DENSITY:
        return 2 if us else 1
    if figure.kind is Kind.PRESSURE:
        return 1 if us else 2
    return 1 if figure.kind is Kind.SPECIFIC_ENERGY else None
