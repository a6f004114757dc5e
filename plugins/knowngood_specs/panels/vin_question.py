"""The question that settles which vehicle it is: a choice that narrows, and the choices made so far."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood_specs.panels.labels import clear, link, plain

if TYPE_CHECKING:
    from knowngood_refdata.vin_question import Answer, Question

MOST_BUTTONS = 4
CHOOSE = "choose"


class QuestionBar(QWidget):
    """Asks a question.

    Attributes
    ----------
    answered
        Signal with the `Answer` chosen.
    again
        Signal without arguments: the reader takes back every answer.
    """

    answered = Signal(object)
    again = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._given, self._words = plain(name="quiet"), plain(bold=True)
        self._again = link("Start &over", self.again.emit)
        self._choices = QHBoxLayout()
        self._choices.setSpacing(8)
        so_far = QHBoxLayout()
        so_far.addWidget(self._given, stretch=1)
        so_far.addWidget(self._again)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(6)
        layout.addLayout(so_far)
        layout.addWidget(self._words)
        layout.addLayout(self._choices)

    def ask(self, question: Question[Any] | None, given: tuple[str, ...] = ()) -> None:
        """Ask a question, or none, below the answers given so far."""
        clear(self._choices)
        self._given.setText(f"You answered: {', '.join(given)}.")
        for widget in (self._given, self._again):
            widget.setVisible(bool(given))
        self._words.setText("" if question is None else question.words)
        self._words.setVisible(question is not None)
        answers = () if question is None else question.answers
        if len(answers) > MOST_BUTTONS:
            self._choices.addWidget(self._box(answers), stretch=1)
        else:
            for number, answer in enumerate(answers, 1):
                self._choices.addWidget(self._button(number, answer))
            self._choices.addStretch(1)

    def _button(self, number: int, answer: Answer[Any]) -> QPushButton:
        button = QPushButton(f"&{number}  {answer.words.replace('&', '&&')}")
        button.setAutoDefault(False)
        button.clicked.connect(lambda: self.answered.emit(answer))
        return button

    def _box(self, answers: tuple[Answer[Any], ...]) -> QComboBox:
        box = QComboBox()
        box.setEditable(True)
        box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        box.addItem(CHOOSE)
        box.addItems([one.words for one in answers])
        if (completer := box.completer()) is not None:
            completer.setFilterMode(Qt.MatchFlag.MatchContains)
        box.setAccessibleName(self._words.text())
        box.activated.connect(lambda row: self._choose(answers, row))
        return box

    def _choose(self, answers: tuple[Answer[Any], ...], row: int) -> None:
        # The first line of the box only says what to do.
        if 1 <= row <= len(answers):
            self.answered.emit(answers[row - 1])
