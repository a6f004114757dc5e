"""The last step of an import: what was stored, and how to undo it."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import words
from knowngood_specs.panels.reason_bar import ReasonBar

_LATER = "It can be undone later as well: this dialog lists every import."


class DoneStep(QWidget):
    """The result.

    Attributes
    ----------
    undo
        Signal with the number of the import and the reason.
    report_wanted
        Signal without arguments: the report should be saved.
    """

    undo = Signal(int, str)
    report_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._batch_id = 0
        self.card = Card()
        self.text, self.remark = words(""), words("quiet")
        self.reason = ReasonBar("&Undo this import", "such as: wrong file")
        self.report_button = QPushButton("&Save report...")
        self.report_button.setAutoDefault(False)
        row = QHBoxLayout()
        row.addWidget(self.report_button)
        row.addStretch(1)
        self.card.body.addWidget(self.text)
        self.card.body.addLayout(row)
        self.card.body.addWidget(self.reason)
        self.card.body.addWidget(self.remark)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.card)
        layout.addStretch(1)
        self.reason.decided.connect(lambda why: self.undo.emit(self._batch_id, why))
        self.report_button.clicked.connect(self.report_wanted)

    def show_result(self, batch_id: int, title: str, text: str, *, with_report: bool) -> None:
        """Show what an import did."""
        self._batch_id = batch_id
        self.card.set_title(title)
        self.text.setText(text)
        self.remark.setText(_LATER)
        self.report_button.setVisible(with_report)
        self.reason.setVisible(True)
        self.reason.line.clear()

    def show_undone(self, text: str) -> None:
        """Show that the import was undone."""
        self.remark.setText(text)
        self.reason.setVisible(False)
