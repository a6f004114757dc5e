"""Both refrigerants under the same conditions: fields, table, curves, and what was measured elsewhere."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QVBoxLayout

from knowngood.widgets.printing import sheet
from knowngood_comparison.core.figures import compared
from knowngood_comparison.panels.conditions_card import ConditionsCard
from knowngood_comparison.panels.drawing_card import DrawingCard
from knowngood_comparison.panels.figures_card import FiguresCard
from knowngood_comparison.panels.part import GAP, MARGINS, Part
from knowngood_comparison.panels.studies_card import SUBTITLE, TITLE, StudiesCard, studies_html

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host


class ConditionsPart(Part):
    """Answers as one types."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.conditions = ConditionsCard(host)
        self.figures = FiguresCard(host.units)
        self.drawing = DrawingCard(host)
        self._lay_out()
        self.conditions.changed.connect(self._answer)
        self.setFocusProxy(self.conditions.evaporating)

    def refresh(self) -> None:
        """Answer in other units."""
        self.conditions.tell_air()
        self._answer()

    def set_narrow(self, narrow: bool) -> None:
        """Put fields and columns below one another, or side by side again."""
        super().set_narrow(narrow)
        self.conditions.set_narrow(narrow)

    def sheet_html(self) -> str:
        """The conditions, the table, the drawing in front, and the studies."""
        own = sheet(self.conditions, self.figures, self.drawing)
        return f"{own}<h2>{TITLE}</h2><p>{SUBTITLE}</p>{studies_html()}"

    def _answer(self) -> None:
        given = self.conditions.values()
        found = None if given is None else compared(given)
        self.figures.show_answer(found, self.conditions.barometer_pa)
        self.drawing.show_answer(given, found, self.conditions.barometer_pa)

    def _lay_out(self) -> None:
        self.columns.addWidget(self.figures, stretch=13)
        self.columns.addWidget(self.drawing, stretch=12)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(*MARGINS)
        layout.setSpacing(GAP)
        layout.addWidget(self.conditions)
        layout.addLayout(self.columns, stretch=1)
        layout.addWidget(StudiesCard())
