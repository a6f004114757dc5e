"""The way into the book: what is asked of a known-good reading, what is missing, and the decision."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood.formatting import clock
from knowngood.widgets import Card
from knowngood.widgets.form import form, words
from knowngood.widgets.sectioned_page import PageSection
from knowngood_checkup.core.admission import State, proposed
from knowngood_checkup.panels.offer_dialog import OfferDialog, keep
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import vehicles

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import Host
    from knowngood_checkup.core.admission import Requirement
    from knowngood_checkup.gather import SessionCheck

MARKS = {
    State.MET: "\N{CHECK MARK}",
    State.MISSING: "\N{EN DASH}",
    State.AGAINST: "\N{MULTIPLICATION X}",
    State.NOT_KNOWN: "?",
    State.REMARK: "i",
}
_NEEDED_WIDTH = 340
"""Of what is asked for, in one line each."""

PROPOSED = "Everything that is asked of a known-good reading is there. A named person decides."
NOT_PROPOSED = (
    "Not proposed as known-good. It can be kept as a candidate, which counts for nothing until someone "
    "decides."
)


class BookSection(PageSection):
    """The requirements of one steady window at a time.

    Attributes
    ----------
    stale
        Readings were added to the book.
    """

    stale = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._check: SessionCheck | None = None
        self.window_choice = QComboBox()
        self._said = words("cardTitle")
        self._lines = QGridLayout()
        self._lines.setHorizontalSpacing(14)
        self._lines.setColumnMinimumWidth(1, _NEEDED_WIDTH)
        self._lines.setColumnStretch(2, 1)
        self.offer = QPushButton("Offer to the book...")
        self.offer.clicked.connect(self._offer_windows)
        card = Card("Is this a known-good reading?")
        card.body.addLayout(form([[("Steady &window", self.window_choice)]], 110))
        card.body.addWidget(self._said)
        card.body.addLayout(self._lines)
        card.body.addWidget(self.offer, alignment=Qt.AlignmentFlag.AlignLeft)
        card.body.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 12, 20, 18)
        layout.addWidget(card)
        layout.addStretch(1)
        self.window_choice.activated.connect(lambda _place: self._show())

    def show_check(self, check: SessionCheck) -> None:
        """Show what is asked of the windows of a session."""
        same = self._check is not None and self._check.info.id == check.info.id
        before = self.window_choice.currentIndex() if same else 0
        self._check = check
        self.window_choice.clear()
        for one in check.findings.windows:
            self.window_choice.addItem(f"{one.label}, {clock(one.start_s)} to {clock(one.end_s)}")
        self.window_choice.setCurrentIndex(max(min(before, len(check.findings.windows) - 1), 0))
        self._show()

    def _show(self) -> None:
        check, place = self._check, self.window_choice.currentIndex()
        if check is None or not 0 <= place < len(check.asked):
            return
        asked = check.asked[place]
        self._said.setText(PROPOSED if proposed(asked) else NOT_PROPOSED)
        self._write(asked)

    def _write(self, asked: Sequence[Requirement]) -> None:
        while (item := self._lines.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.hide()
                widget.deleteLater()
        for row, one in enumerate(asked):
            mark = QLabel(MARKS[one.state])
            mark.setAccessibleName(str(one.state))
            self._lines.addWidget(mark, row, 0)
            self._lines.addWidget(
                words("body", f"{str(one.needed)[:1].upper()}{str(one.needed)[1:]}"), row, 1
            )
            self._lines.addWidget(words("quiet", f"{one.state}: {one.why}"), row, 2)

    def _offer_windows(self) -> None:
        check = self._check
        if check is None or check.info.vehicle_id is None:
            self.host.say("Take the vehicle of this session in hand first: readings belong to a vehicle.")
            return
        place = self.window_choice.currentIndex()
        asked = check.asked[place] if 0 <= place < len(check.asked) else ()
        try:
            units = vehicles.units(self.host.store, check.info.vehicle_id)
            dialog = OfferDialog(check.findings.windows, units, self, asked, check.info.unit_id)
            if dialog.exec() != OfferDialog.DialogCode.Accepted:
                return
            kept = keep(self.host.store, check.info, dialog.offer)
        except (StoreError, ValueError) as error:
            self.host.say(str(error))
            return
        self.host.say(f"{kept} readings were added to the book as {dialog.offer.standing}.")
        self.stale.emit()
