"""Readings, configurations and families that a mistake explains better than scatter does."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QVBoxLayout, QWidget

from knowngood.widgets.sectioned_page import PageSection
from knowngood_book.panels.table_card import Paper, TableCard
from knowngood_book.words import suspect_lines

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_book.gather import WholeBook

NONE = "Nothing in the book stands so far off its kin that a mistake is likelier than scatter."
WHAT_TO_DO = (
    "They stay in the book and count for little. Look at the session behind each; correct its record, or "
    "retire the reading with a reason on the Vehicle specs page."
)


class DoubtfulSection(PageSection):
    """The suspects of the book, the largest groups first."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.card = TableCard("Doubtful readings", WHAT_TO_DO, spaced=True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 12, 20, 18)
        layout.addWidget(self.card)
        layout.addStretch(1)

    def show_whole(self, whole: WholeBook) -> None:
        """Show the suspects of a book."""
        self.card.write(lines=suspect_lines(whole.suspects, self.host.units.system) or [NONE])

    def paper(self) -> list[Paper]:
        """What is shown, for a sheet."""
        return [self.card.paper]
