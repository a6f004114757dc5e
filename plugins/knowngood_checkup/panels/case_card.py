"""Which explanation was found to be true, so that the shop's own cases teach the next ranking."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QLineEdit, QPushButton, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import form, words
from knowngood_checkup.core.explain.faults import Fault
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import checkups

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_checkup.gather import SessionCheck

NOT_FOUND = "not found yet"
WHY = "What was found when it was weighed, repaired or replaced. Later rankings learn from it."


class CaseCard(Card):
    """Names the explanation, and how it was found.

    Attributes
    ----------
    stale
        A case was put down or taken away.
    """

    stale = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("What it was", parent=parent)
        self._host = host
        self._check: SessionCheck | None = None
        self.explanation, self.how = QComboBox(), QLineEdit()
        self.explanation.addItems([NOT_FOUND, *(one.value for one in Fault)])
        self.how.setPlaceholderText("180 g missing on the scale; leak at the condenser")
        self._who = words("quiet")
        self.keep = QPushButton("Put down the case")
        self.body.addWidget(words("quiet", WHY))
        self.body.addLayout(form([[("&Found", self.explanation)], [("&How", self.how)]], 100))
        self.body.addWidget(self.keep)
        self.body.addWidget(self._who)
        self.keep.clicked.connect(self._put_down)

    def show_check(self, check: SessionCheck) -> None:
        """Show the case of a session."""
        self._name_brought(check)
        changed = self._check is None or self._check.info.id != check.info.id
        self._check = check
        case = check.found_out.case
        if case is not None or changed:
            self.explanation.setCurrentText(NOT_FOUND if case is None else case.explanation)
            self.how.setText("" if case is None else case.how)
        self._who.setText("" if case is None else f"{case.who}, {case.at:%Y-%m-%d}")
        self._who.setVisible(case is not None)

    def _name_brought(self, check: SessionCheck) -> None:
        """Offer what plugins bring beside our own explanations, and what was found while they were here."""
        explained, case = check.checkup.explained, check.found_out.case
        names = [one.name for one in explained.observed.brought] if explained is not None else []
        for name in (*names, *([case.explanation] if case is not None else [])):
            if self.explanation.findText(name) < 0:
                self.explanation.addItem(name)

    def _put_down(self) -> None:
        if self._check is None:
            return
        chosen = self.explanation.currentText()
        try:
            checkups.confirm(
                self._host.store, self._check.info.id, "" if chosen == NOT_FOUND else chosen, self.how.text()
            )
        except (StoreError, ValueError) as error:
            self._host.say(str(error))
            return
        self.stale.emit()
