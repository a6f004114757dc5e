"""The questions that must be answered before an import, each with its answers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood_sessions.panels.mapping_choice import DeliberateChoice, unmarked

if TYPE_CHECKING:
    from knowngood_sessions.core.mapping.questions import Choice, Question

_MOST_BUTTONS = 4
_LONGEST_LINE = 44
_NUMBERED = 9


class QuestionList(QWidget):
    """Questions, numbered; Alt with the number leads to the answers, Space or Enter gives one.

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
        self._answers: list[QWidget] = []

    def show_questions(self, questions: tuple[Question, ...]) -> None:
        """Show these questions in place of the former ones."""
        if questions == self._shown:
            return
        self._shown = questions
        self._answers = []
        while (item := self._layout.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for number, question in enumerate(questions, start=1):
            self._layout.addWidget(self._block(number, question))
        self._layout.addStretch(1)

    @property
    def answers(self) -> tuple[QWidget, ...]:
        """What can take the keyboard, in the order of the questions."""
        return tuple(self._answers)

    def focus_first(self) -> bool:
        """Lead the keyboard to the first question; False when there is none."""
        if not self._answers:
            return False
        self._answers[0].setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    def _block(self, number: int, question: Question) -> QWidget:
        block = QWidget()
        layout = QVBoxLayout(block)
        layout.setContentsMargins(0, 0, 0, 4)
        layout.setSpacing(3)
        mark = f"&{number}" if number <= _NUMBERED else f"{number}"
        text = QLabel(f"{mark}. {unmarked(question.text)}")
        text.setObjectName("problem")
        text.setWordWrap(True)
        text.setTextFormat(Qt.TextFormat.PlainText)
        layout.addWidget(text)
        before = len(self._answers)
        few = len(question.choices) <= _MOST_BUTTONS
        layout.addLayout(self._buttons(question) if few else self._list(question))
        if len(self._answers) > before:
            text.setBuddy(self._answers[before])
        return block

    def _buttons(self, question: Question) -> QVBoxLayout:
        """One button an answer, as many in a line as there is room for."""
        lines = QVBoxLayout()
        lines.setSpacing(3)
        for labels in _lines([choice.label for choice in question.choices]):
            line = QHBoxLayout()
            for index in labels:
                line.addWidget(self._button(question, question.choices[index]))
            line.addStretch(1)
            lines.addLayout(line)
        return lines

    def _button(self, question: Question, choice: Choice) -> QPushButton:
        button = QPushButton(unmarked(choice.label))
        button.setAccessibleName(f"{question.column}: {choice.label}")
        # Enter answers while the button has the keyboard, but never in passing from elsewhere.
        button.setAutoDefault(True)
        button.clicked.connect(lambda: self.answered.emit(choice))
        self._answers.append(button)
        return button

    def _list(self, question: Question) -> QHBoxLayout:
        box = DeliberateChoice()
        box.addItem("choose the answer")
        box.addItems([choice.label for choice in question.choices])
        box.setAccessibleName(question.text)
        box.activated.connect(
            lambda index: self.answered.emit(question.choices[index - 1]) if index else None
        )
        self._answers.append(box)
        line = QHBoxLayout()
        line.addWidget(box)
        line.addStretch(1)
        return line


def _lines(labels: list[str]) -> list[list[int]]:
    """Which labels stand in one line: as many as are not too long together.

    >>> _lines(["psi, gauge", "psi, absolute", "a label that is rather long in itself"])
    [[0, 1], [2]]
    """
    lines: list[list[int]] = []
    length = _LONGEST_LINE + 1
    for index, label in enumerate(labels):
        if length + len(label) > _LONGEST_LINE:
            lines.append([])
            length = 0
        lines[-1].append(index)
        length += len(label) + 4
    return lines
