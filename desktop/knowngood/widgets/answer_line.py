"""One answer: a name, a number that can be copied, and words below it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood.formatting import MISSING
from knowngood.widgets.form import NAME_WIDTH

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.units import Units
    from knowngood_refdata.quantities import Kind


class Bound(Protocol):
    """A bound that an answer speaks of, in SI; a pressure is absolute."""

    @property
    def value(self) -> float:
        """The bound itself."""

    @property
    def kind(self) -> Kind:
        """The kind of quantity that is bounded."""


class Answered(Protocol):
    """What can be shown as an answer: a number, and words about it or in its place."""

    @property
    def value(self) -> float | None:
        """The number in SI; None when words alone answer."""

    @property
    def doubtful(self) -> bool:
        """Whether the number contradicts itself."""

    def sentence(self, write: Callable[[Bound], str]) -> str:
        """The words, with a bound in them written by ``write``."""


class AnswerLine(QWidget):
    """Shows an answer; *Copy* puts the number with its unit on the clipboard.

    ``compact`` is for an answer among many: its number is little larger than the text.

    Attributes
    ----------
    copied
        Signal with the text that now lies on the clipboard.
    """

    copied = Signal(str)

    def __init__(
        self,
        name: str,
        units: Units,
        name_width: int = NAME_WIDTH,
        parent: QWidget | None = None,
        *,
        compact: bool = False,
    ) -> None:
        super().__init__(parent)
        self._name, self._units = name, units
        self._number, self._problem, self._remark = QLabel(), QLabel(), QLabel()
        self._number.setObjectName("answerSmall" if compact else "answer")
        self._number.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._problem.setObjectName("problem")
        self._remark.setObjectName("quiet")
        self._copy = QPushButton("Copy")
        self._copy.setObjectName("link")
        self._copy.setAccessibleName(f"Copy {name}")
        self._copy.clicked.connect(self._take)
        self._lay_out(name_width)
        self.clear()

    @property
    def name(self) -> str:
        """What is answered."""
        return self._name

    @property
    def text(self) -> str:
        """The number as it is shown, empty when there is none."""
        return "" if self._copy.isHidden() else self._number.text()

    @property
    def problem(self) -> str:
        """Why there is no number, or why not to believe it."""
        return self._problem.text()

    @property
    def remark(self) -> str:
        """The quiet words below the number."""
        return self._remark.text()

    def clear(self, problem: str = "") -> None:
        """Show no number, and the problem with the input if there is one."""
        self._set("", problem, "")

    def show_answer(self, answer: Answered, text: str, *remarks: str) -> None:
        """Show an answer whose number is written as ``text``, with its words and further remarks."""
        words = answer.sentence(self._write)
        if answer.value is None:
            self._set("", words, "")
        elif answer.doubtful:
            self._set(text, words, *remarks)
        else:
            self._set(text, "", words, *remarks)

    def say(self, text: str, *remarks: str, problem: str = "") -> None:
        """Show an answer already written in words, an empty one for none yet, with problem and remarks."""
        self._set(text, problem, *remarks)

    def _write(self, limit: Bound) -> str:
        return self._units.text(limit.value, limit.kind, absolute=True)

    def _set(self, number: str, problem: str, *remarks: str) -> None:
        remark = ". ".join(sentence(part) for part in remarks if part)
        # Words alone stand where the number would; an unanswered line keeps its height.
        self._number.setText(number or ("" if problem else MISSING))
        self._number.setEnabled(bool(number))
        self._number.setVisible(bool(number) or not problem)
        self._problem.setText(sentence(problem))
        self._problem.setVisible(bool(problem))
        self._problem.setContentsMargins(0, 0 if number else self._words_drop, 0, 0)
        self._remark.setText(remark)
        self._remark.setVisible(bool(remark))
        self._copy.setVisible(bool(number))
        self.setAccessibleName(f"{self._name}: {number} {self._problem.text()} {remark}".strip())

    def _take(self) -> None:
        QGuiApplication.clipboard().setText(self.text)
        self.copied.emit(self.text)

    def _lay_out(self, name_width: int) -> None:
        column = QVBoxLayout()
        column.setSpacing(0)
        for label in (self._number, self._problem, self._remark):
            label.setTextFormat(Qt.TextFormat.PlainText)
            column.addWidget(label)
        column.addStretch(1)
        for label in (self._problem, self._remark):
            label.setWordWrap(True)
        name = QLabel(self._name)
        self._align(name)
        kept = self._copy.sizePolicy()
        kept.setRetainSizeWhenHidden(True)
        self._copy.setSizePolicy(kept)
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setHorizontalSpacing(8)
        layout.setColumnMinimumWidth(0, name_width)
        layout.setColumnStretch(1, 1)
        layout.addWidget(name, 0, 0, Qt.AlignmentFlag.AlignTop)
        layout.addLayout(column, 0, 1)
        layout.addWidget(self._copy, 0, 2, Qt.AlignmentFlag.AlignTop)

    def _align(self, name: QLabel) -> None:
        """Let the name stand on one line with the number, or with the words in its place."""
        # The size of the number's letters comes from the look, which is not applied before the first show.
        self._number.setText(MISSING)
        self._number.ensurePolished()
        height = self._number.sizeHint().height()
        height = max(height, name.sizeHint().height() + 3)
        for widget in (name, self._copy):
            widget.setFixedHeight(height)
        self._number.setMinimumHeight(height)
        self._words_drop = max(0, (height - name.fontMetrics().height()) // 2)


def sentence(text: str) -> str:
    """A text with its first letter as at the head of a sentence; the rest as it is."""
    return text[:1].upper() + text[1:]
