"""One answer of the calculator: a name, a number that can be copied, a remark."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QGridLayout, QLabel, QPushButton, QWidget

if TYPE_CHECKING:
    from knowngood_calculator.core import Answer


class AnswerLine(QWidget):
    """Shows an answer; *Copy* puts it with its unit on the clipboard."""

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._name = name
        self._number, self._remark = QLabel(), QLabel()
        self._number.setObjectName("answer")
        self._number.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._remark.setObjectName("quiet")
        self._remark.setWordWrap(True)
        self._copy = QPushButton("Copy")
        self._copy.setObjectName("link")
        self._copy.setAccessibleName(f"copy {name}")
        self._copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(self._number.text()))
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 2, 0, 2)
        layout.setVerticalSpacing(0)
        layout.setColumnStretch(1, 1)
        layout.addWidget(QLabel(name), 0, 0)
        layout.addWidget(self._number, 0, 1)
        layout.addWidget(self._copy, 0, 2)
        layout.addWidget(self._remark, 1, 1, 1, 2)
        layout.setColumnMinimumWidth(0, 150)
        self.show_words("")

    @property
    def text(self) -> str:
        """The number as it is shown, empty when there is none."""
        return self._number.text()

    @property
    def remark(self) -> str:
        """The words beside it."""
        return self._remark.text()

    def show_answer(self, answer: Answer, text: str, remark: str = "") -> None:
        """Show an answer whose number is written as ``text``, with its words and a further remark."""
        if answer.value is None:
            self.show_words(answer.words)
            return
        self._set(text, ". ".join(_sentence(part) for part in (answer.words, remark) if part))

    def show_words(self, words: str) -> None:
        """Show words instead of a number."""
        self._set("", _sentence(words))

    def _set(self, number: str, remark: str) -> None:
        self._number.setText(number)
        self._remark.setText(remark)
        for widget in (self._number, self._copy):
            widget.setVisible(bool(number))
        self._remark.setVisible(bool(remark))
        self.setAccessibleName(f"{self._name}: {number} {remark}".strip())


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
