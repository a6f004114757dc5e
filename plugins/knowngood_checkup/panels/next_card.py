"""What to measure next, and where its answer goes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QPushButton, QWidget

from knowngood.widgets import Card
from knowngood.widgets.form import form, words
from knowngood_checkup.core.explain.faults import Fault
from knowngood_checkup.core.explain.measurements import MEASUREMENTS, measurement
from knowngood_checkup.explain_words import next_words
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import checkups

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import Host
    from knowngood_checkup.core.explain.measurements import Next
    from knowngood_checkup.core.explained import Explained
    from knowngood_checkup.gather import SessionCheck
    from knowngood_refdata.explaining import Measurement

NOT_MEASURED = "not measured"
BY_WEIGHT = "The charge itself is known, and corrected, by weight alone: recover it and weigh it."
NOTHING_TELLS = "No further measurement would tell more about these readings."


class NextCard(Card):
    """The measurement that tells most for its effort comes first; any other can be chosen and answered.

    Attributes
    ----------
    stale
        An answer was put down or taken away.
    """

    stale = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("Next measurement", parent=parent)
        self._host = host
        self._check: SessionCheck | None = None
        self.which, self.answer = QComboBox(), QComboBox()
        self._what, self._why, self._given = words("body"), words("quiet"), words("quiet")
        self.keep = QPushButton("Put down the answer")
        for part in (self._what, self._why):
            self.body.addWidget(part)
        self.body.addLayout(form([[("&Measurement", self.which)], [("A&nswer", self.answer)]], 100))
        self.body.addWidget(self.keep)
        self.body.addWidget(self._given)
        self.which.currentIndexChanged.connect(lambda _place: self._show_one())
        self.keep.clicked.connect(self._put_down)

    def show_check(self, check: SessionCheck) -> None:
        """Offer the measurements for a check-up, the most telling first."""
        self._check = check
        explained = check.checkup.explained
        offers = [] if explained is None else [one.measurement.name for one in explained.next]
        answered = list(check.found_out.answers)
        rest = [one.name for one in self._offered() if one.name not in (*offers, *answered)]
        self.which.blockSignals(True)
        self.which.clear()
        for name in (*offers, *answered, *rest):
            self.which.addItem(name[:1].upper() + name[1:], name)
        self.which.blockSignals(False)
        self._show_one()
        lines = [f"{name}: {said}" for name, said in check.found_out.answers.items()]
        self._given.setText("Answered: " + "; ".join(lines) + "." if lines else "")
        self._given.setVisible(bool(lines))

    def _show_one(self) -> None:
        name = self.which.currentData()
        if self._check is None or name is None:
            return
        try:
            one = measurement(name, self._offered())
        except KeyError:
            self._what.setText("This measurement was answered with a plugin that is not here now.")
            self.answer.clear()
            return
        explained = self._check.checkup.explained
        offer = (
            None
            if explained is None
            else next((o for o in explained.next if o.measurement.name == name), None)
        )
        self._what.setText(one.what)
        self._why.setText(_why(explained, offer))
        self._why.setVisible(bool(self._why.text()))
        self.answer.clear()
        self.answer.addItems([NOT_MEASURED, *one.answers])
        self.answer.setCurrentText(self._check.found_out.answers.get(name, NOT_MEASURED))

    def _offered(self) -> Sequence[Measurement]:
        explained = None if self._check is None else self._check.checkup.explained
        return MEASUREMENTS if explained is None else explained.observed.offered

    def _put_down(self) -> None:
        name = self.which.currentData()
        if self._check is None or name is None:
            return
        said = self.answer.currentText()
        try:
            checkups.answer(self._host.store, self._check.info.id, name, "" if said == NOT_MEASURED else said)
        except StoreError as error:
            self._host.say(str(error))
            return
        self.stale.emit()


def _why(explained: Explained | None, offer: Next | None) -> str:
    if offer is not None:
        return next_words(offer)
    if explained is None or explained.next:
        return ""
    charge = explained.weighed[0].fault in (Fault.UNDERCHARGE, Fault.OVERCHARGE, Fault.RESERVE_LOW)
    return BY_WEIGHT if charge else NOTHING_TELLS
