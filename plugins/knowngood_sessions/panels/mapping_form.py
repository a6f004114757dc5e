"""The columns of a log with what they are taken for, and the questions that must be answered."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood_refdata.records import Role
from knowngood_sessions.core.assignment import Assignment, Special
from knowngood_sessions.core.questions import Choice, Question, answered, open_questions
from knowngood_sessions.panels.column_row import ColumnRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from knowngood_sessions.core.importing import Prepared

_MOST_BUTTONS = 4
_SHOWN_BELOW = 0.85
_HEADS = ("Column", "First values", "Used as", "Unit", "Counts as")


class MappingForm(QWidget):
    """One row a column, and below them the open questions with their answers.

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
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(len(_HEADS), 1)
        for place, head in enumerate(_HEADS):
            label = QLabel(head)
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
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 6, 0)
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
        return open_questions(self._table, self._mapping)

    def set_mapping(self, mapping: Mapping[str, Assignment]) -> None:
        """Take another mapping; columns that it does not name keep theirs."""
        self._mapping |= {name: one for name, one in mapping.items() if name in self._mapping}
        self._show()

    def _take(self, name: str, assignment: Assignment) -> None:
        if assignment.use not in (None, Role.OTHER, Special.LEFT_OUT):
            for other, one in self._mapping.items():
                # A use that moves to another column leaves its former one to be kept as it is.
                if other != name and one.use is assignment.use:
                    self._mapping[other] = Assignment(Role.OTHER, one.unit)
        self._mapping[name] = assignment
        self._show()

    def _answer(self, choice: Choice) -> None:
        self._mapping = answered(self._mapping, choice)
        self._show()

    def _show(self) -> None:
        questions = self.questions
        asked = {one.column for one in questions}
        for name, row in self._rows.items():
            row.show_assignment(self._mapping[name], asked=name in asked)
        self.question_list.show_questions(questions)
        self.changed.emit()


class QuestionList(QWidget):
    """Questions, each with its answers to click.

    Attributes
    ----------
    answered
        Signal with the `Choice`.
    """

    answered = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._layout = QVBoxLayout(self)
        self._layout.setContentsMargins(0, 0, 6, 0)
        self._shown: tuple[Question, ...] = ()

    def show_questions(self, questions: tuple[Question, ...]) -> None:
        """Show these questions in place of the former ones."""
        while (item := self._layout.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for question in questions:
            self._layout.addWidget(self._block(question))
        self._layout.addStretch(1)

    def _block(self, question: Question) -> QWidget:
        block = QWidget()
        layout = QVBoxLayout(block)
        layout.setContentsMargins(0, 0, 0, 4)
        layout.setSpacing(3)
        text = QLabel(question.text)
        text.setObjectName("problem")
        text.setWordWrap(True)
        text.setTextFormat(Qt.TextFormat.PlainText)
        layout.addWidget(text)
        few = len(question.choices) <= _MOST_BUTTONS
        layout.addLayout(self._buttons(question) if few else self._combo(question))
        return block

    def _buttons(self, question: Question) -> QHBoxLayout:
        line = QHBoxLayout()
        for choice in question.choices:
            button = QPushButton(choice.label)
            button.setAccessibleName(f"{question.column}: {choice.label}")
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, chosen=choice: self.answered.emit(chosen))
            line.addWidget(button)
        line.addStretch(1)
        return line

    def _combo(self, question: Question) -> QHBoxLayout:
        box = QComboBox()
        box.addItem("choose the answer")
        box.addItems([choice.label for choice in question.choices])
        box.setAccessibleName(question.text)
        box.activated.connect(
            lambda index, asked=question: self.answered.emit(asked.choices[index - 1]) if index else None
        )
        line = QHBoxLayout()
        line.addWidget(box)
        line.addStretch(1)
        return line
