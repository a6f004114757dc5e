"""The columns of a log with what they are taken for, and the questions that must be answered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QVBoxLayout, QWidget

from knowngood_refdata.records import Role
from knowngood_sessions.core.mapping.assignment import Assignment, Special
from knowngood_sessions.core.mapping.questions import answered, open_questions
from knowngood_sessions.panels.column_row import ColumnRow
from knowngood_sessions.panels.mapping_questions import QuestionList

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_sessions.core.mapping.importing import Prepared
    from knowngood_sessions.core.mapping.questions import Choice, Question

_SHOWN_BELOW = 0.85
_HEADS = ("Column", "Values", "&Used as", "Unit", "Counts as")
_USED_AS = 2


class MappingForm(QWidget):
    """One row a column; `question_list` holds the open questions with their answers.

    Attributes
    ----------
    changed
        Signal without arguments: the mapping is another; ask `mapping` and `questions`.
    """

    changed = Signal()

    def __init__(self, prepared: Prepared, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._table = prepared.table
        self._mapping = dict(prepared.mapping)
        self._rows: dict[str, ColumnRow] = {}
        self._edited, self._before = "", dict(prepared.mapping)
        self._questions: tuple[Question, ...] = ()
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(5)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(len(_HEADS), 1)
        heads = [QLabel(head) for head in _HEADS]
        for place, label in enumerate(heads):
            label.setObjectName("quiet")
            self._grid.addWidget(label, 0, place)
        proposed = {one.column: one for one in prepared.proposal.columns}
        for number, column in enumerate(self._table.columns, start=1):
            one = proposed[column.name]
            why = "as confirmed before" if prepared.remembered else one.why
            used = one.assignment.use not in (Role.OTHER, Special.LEFT_OUT)
            doubtful = used and not prepared.remembered and 0.0 < one.confidence < _SHOWN_BELOW
            row = ColumnRow(column, why, self._grid, number, doubtful=doubtful)
            row.changed.connect(self._take)
            self._rows[column.name] = row
        heads[_USED_AS].setBuddy(next(iter(self._rows.values())).entries[0])
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 2, 0)
        layout.addLayout(self._grid)
        layout.addStretch(1)
        self.question_list = QuestionList()
        self.question_list.answered.connect(self._answer)
        self._show()

    @property
    def mapping(self) -> Mapping[str, Assignment]:
        """What every column is taken for now."""
        return self._mapping

    @property
    def questions(self) -> tuple[Question, ...]:
        """What is still open."""
        return self._questions

    def set_mapping(self, mapping: Mapping[str, Assignment]) -> None:
        """Take another mapping; columns that it does not name keep theirs."""
        self._mapping |= {name: one for name, one in mapping.items() if name in self._mapping}
        self._edited = ""
        self._show()

    @property
    def entries(self) -> tuple[QWidget, ...]:
        """What can be chosen, row by row."""
        return tuple(entry for row in self._rows.values() for entry in row.entries)

    def _take(self, name: str, assignment: Assignment) -> None:
        if self._edited != name:
            self._edited, self._before = name, dict(self._mapping)
        # Uses that a row passed on its way to the one it stays at are given back to their columns.
        self._mapping = dict(self._before)
        if assignment.use not in (None, Role.OTHER, Special.LEFT_OUT):
            for other, one in self._before.items():
                # A use that moves to another column leaves its former one to be kept as it is.
                if other != name and one.use is assignment.use:
                    self._mapping[other] = Assignment(Role.OTHER, one.unit)
        self._mapping[name] = assignment
        self._show()

    def _answer(self, choice: Choice) -> None:
        self._edited = ""
        self._mapping = answered(self._mapping, choice)
        self._show()

    def _show(self) -> None:
        self._questions = open_questions(self._table, self._mapping)
        asked = {one.column for one in self._questions}
        for name, row in self._rows.items():
            row.show_assignment(self._mapping[name], asked=name in asked)
        self.question_list.show_questions(self._questions)
        self.changed.emit()
