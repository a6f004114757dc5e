"""The step of an import that shows what would happen, row by row, before anything is stored."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood.widgets.section_bar import SectionBar
from knowngood_specs.core.importing.decided import NEW, choices, may_be_on_record
from knowngood_specs.core.importing.plan import Outcome
from knowngood_specs.import_words import EXPLAINED, Values, counted, vehicle_words
from knowngood_specs.panels.import_plan_table import PlanTable
from knowngood_specs.panels.import_table import RowsView

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.units import Units
    from knowngood_specs.core.importing.plan import PlannedRow
    from knowngood_specs.library_import import DryRun

    Decide = Callable[[list[PlannedRow]], None]

_FILTERS: tuple[Outcome | None, ...] = (None, *Outcome)
_TO_DECIDE = "Choose doubted rows in the table (Ctrl+A for all) and decide."


class TrialStep(QWidget):
    """Filters by outcome, the table of rows, and the decisions about doubted ones.

    Attributes
    ----------
    changed
        Signal without arguments: something was decided, see `decisions`.
    report_wanted
        Signal without arguments: the report should be saved.
    """

    changed = Signal()
    report_wanted = Signal()

    def __init__(self, tried: DryRun, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.tried = tried
        self._counts = tried.plan.counts
        self.table = PlanTable(tried, Values(tried.opened.fields), units, self)
        self.bar = SectionBar([self._title(one) for one in _FILTERS])
        self.view = RowsView("rows of the file", (56, 84, 170, 250, 250))
        self.view.show_table(self.table)
        self._explained, self._asked = words("quiet"), words("quiet")
        self._row_words = words("")
        self.new_button, self.held_button = QPushButton("Take as &new"), QPushButton()
        self.out_button, self.report_button = QPushButton("&Leave out"), QPushButton("&Save report...")
        self.which = QComboBox()
        self.which.setAccessibleName("which vehicle on record is meant")
        self._lay_out()
        self._connect(units)
        self.bar.choose(_FILTERS.index(Outcome.DOUBTED) if self._counts[Outcome.DOUBTED] else 0)
        self.setFocusProxy(self.view)

    @property
    def decisions(self) -> dict[int, int]:
        """What was decided about doubted rows."""
        return self.table.decisions

    @property
    def to_store(self) -> int:
        """How many rows bring something that would be stored."""
        return self._counts[Outcome.ADDED] + self._counts[Outcome.CHANGED] + len(self.table.decisions)

    def restore(self, decisions: dict[int, int]) -> None:
        """Decide as was decided before."""
        self.table.restore(decisions)
        self._follow()

    def _lay_out(self) -> None:
        card = Card()
        card.body.addWidget(self.bar)
        card.body.addWidget(self._explained)
        card.body.addWidget(self.view, stretch=1)
        card.body.addWidget(self._row_words)
        row = QHBoxLayout()
        row.addWidget(self._asked, stretch=1)
        for button in (self.new_button, self.held_button, self.out_button):
            button.setAutoDefault(False)
            row.addWidget(button)
        row.insertWidget(2, self.which)
        self.which.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.which.setMinimumContentsLength(24)
        card.body.addLayout(row)
        self.report_button.setAutoDefault(False)
        self.bar.add_action(self.report_button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(card, stretch=1)

    def _connect(self, units: Units) -> None:
        self.bar.chosen.connect(self._filter)
        self.view.selectionModel().selectionChanged.connect(lambda *_: self._follow())
        self.new_button.clicked.connect(lambda: self._decide(self.table.take_as_new))
        self.held_button.clicked.connect(
            lambda: self._decide(lambda rows: self.table.take_as_held(rows, self.which.currentData()))
        )
        self.out_button.clicked.connect(lambda: self._decide(self.table.leave_out))
        self.report_button.clicked.connect(self.report_wanted)
        units.changed.connect(self.table.renew)

    def _filter(self, number: int) -> None:
        outcome = _FILTERS[number]
        self.table.show_only(outcome)
        self._explained.setText(
            "Nothing is stored yet: this is what would happen to each row."
            if outcome is None
            else f"{counted(self._counts[outcome], 'row')} {EXPLAINED[outcome]}."
        )
        if self.table.count():
            self.view.selectRow(0)
        self._follow()

    def _follow(self) -> None:
        """Say of the chosen rows what can be decided about them."""
        chosen = self.view.chosen()
        doubted = self.table.doubted(chosen)
        held = [row for row in doubted if may_be_on_record(row)]
        one = doubted[0] if len(doubted) == 1 else None
        self._offer(one)
        self._row_words.setText(self.table.planned(chosen[0]).reason if len(chosen) == 1 else "")
        self._row_words.setVisible(bool(self._row_words.text()))
        for button in (self.new_button, self.out_button, self.held_button):
            button.setVisible(bool(self._counts[Outcome.DOUBTED]))
        self.new_button.setEnabled(bool(doubted))
        self.out_button.setEnabled(bool(doubted))
        self.held_button.setEnabled(bool(held))
        self.new_button.setText("&Take" if doubted and not held else "Take as &new")
        self.held_button.setText("Take as this &vehicle" if one and held else "Take as those on &record")
        self._asked.setText(self._words(doubted, held))

    def _words(self, doubted: list[PlannedRow], held: list[PlannedRow]) -> str:
        if not self._counts[Outcome.DOUBTED]:
            return "No row is doubted."
        if not doubted:
            return _TO_DECIDE
        if len(doubted) == 1:
            return f"Row {doubted[0].number}:"
        some = f", {len(held):,} of them like one on record" if 0 < len(held) < len(doubted) else ""
        return f"{counted(len(doubted), 'doubted row')} chosen{some}:"

    def _offer(self, row: PlannedRow | None) -> None:
        on_record = [one for one in choices(row) if one != NEW] if row is not None else []
        self.which.clear()
        for number in on_record:
            self.which.addItem(vehicle_words(number, self.tried.vehicles), number)
        self.which.setVisible(bool(on_record))
        self.which.setEnabled(len(on_record) > 1)

    def _decide(self, act: Decide) -> None:
        act(self.table.doubted(self.view.chosen()))
        self.changed.emit()

    def _title(self, outcome: Outcome | None) -> str:
        if outcome is None:
            return f"All {len(self.tried.plan.rows):,}"
        return f"{outcome.capitalize()} {self._counts[outcome]:,}"
