"""Which families behave alike, their rules, and what stands apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QVBoxLayout, QWidget

from knowngood.widgets.sectioned_page import PageSection
from knowngood_book.panels.family_planes import FamilyPlanes
from knowngood_book.panels.table_card import Paper, TableCard
from knowngood_book.words import apart_lines, family_heads, family_rows, group_lines, span_lines
from knowngood_refdata.expected.spans import CONFIDENCE, COVERAGE, FEWEST

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_book.gather import WholeBook

NOTHING_APART = "No configuration stands apart from its family."
NO_SPAN = f"No family has readings of {FEWEST} configurations yet."
NOTHING_ALIKE = "No two families behave alike in everything that was measured."


class PatternsSection(PageSection):
    """The families of the book."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.families = TableCard(
            "System families", "levels at the middle of the book's conditions", words_last=True
        )
        self.planes = FamilyPlanes(host)
        self.alike = TableCard("Families that behave alike")
        self.spans = TableCard(
            "One line for a family",
            f"holds {100 * COVERAGE:.0f} % of its configurations with {100 * CONFIDENCE:.0f} % confidence, "
            "from its own readings alone",
        )
        self.apart = TableCard("What stands apart from its family")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 12, 20, 18)
        layout.setSpacing(14)
        layout.addWidget(self.families)
        row = self.side_by_side()
        right = QVBoxLayout()
        right.setSpacing(14)
        for card in (self.alike, self.spans, self.apart):
            right.addWidget(card)
        right.addStretch(1)
        row.addWidget(self.planes, stretch=1)
        row.addLayout(right, stretch=1)
        layout.addLayout(row)
        layout.addStretch(1)

    def show_whole(self, whole: WholeBook) -> None:
        """Show the patterns of a book."""
        system, patterns = self.host.units.system, whole.patterns
        names = {number: one.name for number, one in whole.book.vehicles.items()}
        self.families.write(family_heads(system), family_rows(patterns.families, system))
        self.planes.show_families(patterns.families)
        self.alike.write(lines=group_lines(patterns.groups) or [NOTHING_ALIKE])
        self.spans.write(lines=span_lines(patterns.families, system) or [NO_SPAN])
        self.apart.write(lines=apart_lines(patterns.apart, patterns.splits, names, system) or [NOTHING_APART])

    def paper(self) -> list[Paper]:
        """What is shown, for a sheet."""
        return [self.families.paper, self.alike.paper, self.spans.paper, self.apart.paper]
