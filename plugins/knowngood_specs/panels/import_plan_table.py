"""The rows of a dry run as a table that stays quick however many there are."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_specs.core.importing.decided import NEW, choices
from knowngood_specs.core.importing.plan import Outcome
from knowngood_specs.import_words import adds, decision_words, row_number_of
from knowngood_specs.panels.import_table import TextTable

if TYPE_CHECKING:
    from collections.abc import Iterable

    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units
    from knowngood_specs.core.importing.plan import PlannedRow
    from knowngood_specs.import_words import Values
    from knowngood_specs.library_import import DryRun

_DECIDED = 2


class PlanTable(TextTable):
    """Rows of one outcome or of all, with what was decided about the doubted ones."""

    headings = ("Row", "Outcome", "Decided", "Vehicle", "Adds", "Why")

    def __init__(self, tried: DryRun, values: Values, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tried, self._values, self._units = tried, values, units
        self._of: dict[Outcome, list[PlannedRow]] = {one: [] for one in Outcome}
        for row in tried.plan.rows:
            self._of[row.outcome].append(row)
        self._shown: list[PlannedRow] | tuple[PlannedRow, ...] = tried.plan.rows
        self._decisions: dict[int, int] = {}

    @property
    def decisions(self) -> dict[int, int]:
        """What was decided, by row number."""
        return dict(self._decisions)

    def show_only(self, outcome: Outcome | None) -> None:
        """Show the rows of one outcome, or all of them."""
        self.beginResetModel()
        self._shown = self._tried.plan.rows if outcome is None else self._of[outcome]
        self.endResetModel()

    def planned(self, row: int) -> PlannedRow:
        """The row of the plan that stands in a row of the table."""
        return self._shown[row]

    def doubted(self, rows: Iterable[int]) -> list[PlannedRow]:
        """The doubted ones among rows of the table."""
        return [one for one in map(self.planned, rows) if one.outcome is Outcome.DOUBTED]

    def restore(self, decisions: dict[int, int]) -> None:
        """Decide as was decided before, as far as it still can be."""
        possible = {row.number: choices(row) for row in self._of[Outcome.DOUBTED]}
        self._decisions = {
            number: decision for number, decision in decisions.items() if decision in possible.get(number, ())
        }
        self.renew()

    def take_as_new(self, rows: Iterable[PlannedRow]) -> None:
        """Take doubted rows as vehicles of their own."""
        self._decisions.update((row.number, NEW) for row in rows)
        self.renew()

    def take_as_held(self, rows: Iterable[PlannedRow], vehicle_id: int | None = None) -> None:
        """Take doubted rows as the vehicle on record, the likeliest of each where none is named."""
        for row in rows:
            on_record = [one for one in choices(row) if one != NEW]
            if on_record:
                self._decisions[row.number] = vehicle_id if vehicle_id in on_record else on_record[0]
        self.renew()

    def leave_out(self, rows: Iterable[PlannedRow]) -> None:
        """Leave doubted rows out."""
        for row in rows:
            self._decisions.pop(row.number, None)
        self.renew()

    def count(self) -> int:
        """How many rows are shown."""
        return len(self._shown)

    def cell(self, row: int, column: int) -> str:
        """Number, outcome, decision, vehicle, what is added and why."""
        one = self._shown[row]
        if column == 0:
            return row_number_of(one.number, one.last_number)
        if column == 1:
            return str(one.outcome)
        if column == _DECIDED:
            return decision_words(one, self._decisions, self._tried.vehicles)
        if column == 3:
            return one.what
        if column == 4:
            return adds(one, self._values, self._units.system)
        return one.reason
