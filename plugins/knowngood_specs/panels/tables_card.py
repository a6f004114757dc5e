"""One published table: where it stands, what it says today as range strips, and what can be done with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card, RangeStripList
from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid
from knowngood_refdata.published.answering import GENERIC as GENERIC_REMARK
from knowngood_refdata.published.answering import answer
from knowngood_specs.panels.labels import clear, link
from knowngood_specs.panels.tables_strips import strip_rows
from knowngood_specs.table_words import (
    GENERIC,
    as_printed,
    head_line,
    sentence_list,
    set_up_line,
    set_up_lines,
    understood,
)

if TYPE_CHECKING:
    from PySide6.QtCore import SignalInstance

    from knowngood.units import Units
    from knowngood.widgets import StripRow
    from knowngood_refdata.published.answering import Answer
    from knowngood_refdata.published.set_up import Today
    from knowngood_refdata.published.table import PerformanceTable
    from knowngood_refdata.queries.tables import StoredTable
    from knowngood_refdata.records import SteadyWindow

LEGEND = "green: the published range, no statistic of readings{marker}"
MARKER = "   \N{MIDDLE DOT}   dot: this session's reading, bar: its measuring uncertainty (95 %)"
EDIT, GO_ON = "Edit...", "Go on editing..."
NOTHING_GIVEN = "The table gives nothing for a healthy system: it describes faults."


class TableCard(Card):
    """Shows one stored table with its answer.

    Attributes
    ----------
    edit, retire
        Signals without arguments of its buttons.
    """

    edit = Signal()
    retire = Signal()

    def __init__(self, stored: StoredTable, family: str, parent: QWidget | None = None) -> None:
        title = f"Published table: {stored.title}"
        if stored.generic:
            title += " (generic)"
        super().__init__(title, head_line(stored, family), parent)
        self.stored = stored
        self.answer = QVBoxLayout()
        self.answer.setSpacing(4)
        self._printed = QWidget()
        self._printed.hide()
        if stored.generic:
            self.body.addWidget(words("notice", GENERIC))
        if stored.unreadable:
            unreadable = f"This program cannot read the table as it is stored: {stored.unreadable}"
            self.body.addWidget(words("problem", unreadable))
        self.body.addLayout(self.answer)
        self.body.addWidget(self._printed)
        self.body.addLayout(self._buttons())

    def show_answer(
        self, today: Today, window: SteadyWindow | None, units: Units, barometer_pa: float
    ) -> None:
        """Show what the table says for today's conditions, with the readings of a window beside it."""
        clear(self.answer)
        if self.stored.table is None:
            return
        given = answer(self.stored.table, today)
        reading = {} if window is None else window.values
        if not given.outcomes:
            self.answer.addWidget(words("quiet", NOTHING_GIVEN))
        self._add_strips(strip_rows(given.outcomes, reading, units, barometer_pa))
        if given.wider:
            meant = f", meant {self.stored.table.wider_when}" if self.stored.table.wider_when else ""
            self.answer.addWidget(words("", f"Second table of the publication{meant}:"))
            self._add_strips(strip_rows(given.wider, reading, units, barometer_pa))
        if given.given:
            marker = MARKER if window is not None else ""
            self.answer.addWidget(words("quiet", LEGEND.format(marker=marker)))
        self._add_words(given)

    def say_unsaved(self, *, unsaved: bool) -> None:
        """Tell on the button that corrections were typed and not saved."""
        if self.stored.table is not None:
            self.edit_button.setText(GO_ON if unsaved else EDIT)

    def _add_strips(self, rows: list[StripRow]) -> None:
        strips = RangeStripList()
        strips.set_rows(rows)
        self.answer.addWidget(strips)

    def _add_words(self, given: Answer) -> None:
        lines = list(set_up_lines(given))
        remarks = [one for one in given.remarks if one != GENERIC_REMARK]
        if remarks and any(one.given for one in (*given.outcomes, *given.wider)):
            lines.append(sentence_list(remarks))
        for line in lines:
            self.answer.addWidget(words("quiet", line))

    def _buttons(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(10)
        name = self.stored.title
        if self.stored.table is not None:
            self.print_link = link("Show as printed", self._show_printed, f"Show {name} as printed")
            row.addWidget(self.print_link)
            row.addStretch(1)
            self.edit_button = _button(EDIT, self.edit, f"Edit {name}")
            row.addWidget(self.edit_button)
        else:
            row.addStretch(1)
        row.addWidget(_button("Take out of use...", self.retire, f"Take {name} out of use"))
        return row

    def _show_printed(self) -> None:
        table = self.stored.table
        assert table is not None
        if self._printed.layout() is None:
            _write_printed(self._printed, table)
        shown = self._printed.isHidden()
        self._printed.setVisible(shown)
        self.print_link.setText("Hide what is printed" if shown else "Show as printed")


def _write_printed(place: QWidget, table: PerformanceTable) -> None:
    layout = QVBoxLayout(place)
    layout.setContentsMargins(0, 0, 0, 0)
    set_up = set_up_line(table.set_up)
    layout.addWidget(words("", f"Set-up: {set_up}." if set_up else "Set-up: the publication does not say."))
    if table.notes:
        layout.addWidget(words("", f"Notes: {table.notes}"))
    for part in (*table.parts, *table.wider):
        if part.name:
            layout.addWidget(words("", part.name))
        grid = Grid(f"{table.title} {part.name}".strip())
        grid.write(*as_printed(part))
        grid.fit_rows()
        layout.addWidget(grid)
        layout.addWidget(words("quiet", " ".join(understood(part))))


def _button(text: str, asked: SignalInstance, spoken: str) -> QPushButton:
    button = QPushButton(text)
    button.setAccessibleName(spoken)
    button.clicked.connect(lambda: asked.emit())
    return button
