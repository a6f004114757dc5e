"""What is still open about the columns of a file, each with its answers to click."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_specs.panels.labels import clear, link

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_specs.core.importing.proposal import Question

_MOST = 8


class Questions(Card):
    """The open questions; a question about a column leads to it.

    Attributes
    ----------
    answered
        Signal with the index of a column and the answer that was clicked.
    asked_for
        Signal with the index of a column that is to be looked at.
    """

    answered = Signal(int, str)
    asked_for = Signal(int)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Open questions", parent=parent)
        self._list = QVBoxLayout()
        self._list.setSpacing(6)
        self.body.addLayout(self._list)
        self._shown: tuple[Question, ...] = ()

    def show_questions(self, questions: Sequence[Question]) -> None:
        """Show these questions in place of the former ones."""
        self.setVisible(bool(questions))
        if tuple(questions) == self._shown:
            return
        self._shown = tuple(questions)
        clear(self._list)
        for one in self._shown[:_MOST]:
            self._list.addWidget(self._block(one))
        rest = len(self._shown) - _MOST
        if rest > 0:
            self._list.addWidget(words("quiet", f"And {rest} more, once these are answered."))

    def _block(self, question: Question) -> QWidget:
        block = QWidget()
        layout = QVBoxLayout(block)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(words("problem", question.words))
        column = question.column
        if column is not None:
            row = QHBoxLayout()
            for choice in question.choices:
                button = QPushButton(choice)
                button.setAutoDefault(False)
                button.setAccessibleName(f"{question.words} {choice}")
                button.clicked.connect(lambda _=False, said=choice: self.answered.emit(column, said))
                row.addWidget(button)
            if not question.choices:
                row.addWidget(link("Show the column", lambda: self.asked_for.emit(column), question.words))
            row.addStretch(1)
            layout.addLayout(row)
        return block
