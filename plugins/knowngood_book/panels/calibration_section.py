"""How often the ranges of this very library hold readings that they were not shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood.widgets.sectioned_page import PageSection
from knowngood_book.gather import Calibrated, calibrated
from knowngood_book.panels.table_card import Paper, TableCard
from knowngood_book.words import basis_rows, calibration_heads, calibration_rows, failure_lines, headline

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_book.gather import WholeBook
    from knowngood_refdata.expected.book import Book

HOW = (
    "One car, then one whole configuration at a time is taken out of the book; its readings are then laid "
    "against the ranges that the rest gives. A 90 % range should hold 90 of 100."
)
NO_FAILURE = "No maker, family or kind of compressor falls short by more than chance."


class CalibrationSection(PageSection):
    """Counts anew when the book has changed and this section is looked at."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._asked: Book | None = None
        self._found: Calibrated | None = None
        self._said = words("cardTitle")
        self.again = QPushButton("Count again")
        head = Card("How well the ranges hold")
        for part in (self._said, words("quiet", HOW)):
            head.body.addWidget(part)
        self.by_quantity = TableCard("By quantity")
        self.by_basis = TableCard("By what the range stood on")
        self.where = TableCard("Where they fail")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 12, 20, 18)
        layout.setSpacing(14)
        layout.addWidget(head)
        layout.addWidget(self.by_quantity)
        row = self.side_by_side()
        row.addWidget(self.by_basis, stretch=1)
        row.addWidget(self.where, stretch=1)
        layout.addLayout(row)
        layout.addStretch(1)

    @property
    def found(self) -> Calibrated | None:
        """What is shown."""
        return self._found

    def show_whole(self, whole: WholeBook) -> None:
        """Count for a book that was not counted yet."""
        book = whole.book
        if self._asked is book:
            return
        self._asked = book
        self._said.setText("Counting...")

        def done(found: Calibrated) -> None:
            if self._asked is book:
                self._show(found)

        self.host.tasks.run(
            "Testing the ranges", lambda progress: calibrated(book, progress), done=done, failed=self._failed
        )

    def paper(self) -> list[Paper]:
        """What is shown, for a sheet."""
        return [
            ("", (), (), (self._said.text(),)),
            self.by_quantity.paper,
            self.by_basis.paper,
            self.where.paper,
        ]

    def _show(self, found: Calibrated) -> None:
        self._found = found
        self._said.setText(headline(found))
        self.by_quantity.write(calibration_heads(), calibration_rows(found))
        self.by_basis.write(["Range stood on", "90 % ranges held", "50 % ranges held"], basis_rows(found))
        self.where.write(lines=failure_lines(found) or [NO_FAILURE])

    def _failed(self, error: BaseException) -> None:
        self._asked = None
        self._said.setText(f"The count could not be made: {error}")
