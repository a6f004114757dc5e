"""The masses of refrigerant that were recovered and charged: charge is known by weight alone."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.form import form, words
from knowngood_refdata.errors import StoreError
from knowngood_refdata.quantities import Kind
from knowngood_refdata.queries import checkups
from knowngood_refdata.records import Estimate, Weighed

if TYPE_CHECKING:
    from knowngood.api import Host
    from knowngood_checkup.gather import SessionCheck

SCALE_KG = 0.005
"""Standard uncertainty of a shop's scale with hoses (common practice, no source: 10 g at 95 %)."""


class WeighingCard(Card):
    """Two masses, beside what the label says.

    Attributes
    ----------
    stale
        A mass was put down or taken away.
    """

    stale = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("On the scale", parent=parent)
        self._host = host
        self._check: SessionCheck | None = None
        self.masses = {one: QuantityEdit(Kind.MASS, host.units) for one in Weighed}
        self._label = words("quiet")
        self.keep = QPushButton("Put down the masses")
        names = {Weighed.RECOVERED: "&Recovered", Weighed.CHARGED: "&Charged"}
        self.body.addWidget(self._label)
        self.body.addLayout(form([[(names[one], edit)] for one, edit in self.masses.items()], 100))
        self.body.addWidget(self.keep)
        self.keep.clicked.connect(self._put_down)

    def show_check(self, check: SessionCheck) -> None:
        """Show the masses of a session."""
        self._check = check
        label = check.label
        self._label.setText(
            "The record holds no charge weight: enter it from the under-hood label."
            if label is None
            else f"{str(label.source_kind).capitalize()}: {label.as_printed}"
        )
        for what, edit in self.masses.items():
            held = check.found_out.weighings.get(what)
            edit.set_si(None if held is None else held.value)

    def _put_down(self) -> None:
        if self._check is None:
            return
        problem = next((edit.problem for edit in self.masses.values() if edit.problem), "")
        if problem:
            self._host.say(problem)
            return
        try:
            for what, edit in self.masses.items():
                held = self._check.found_out.weighings.get(what)
                wanted = edit.si()
                if wanted != (None if held is None else held.value):
                    mass = None if wanted is None else Estimate(wanted, SCALE_KG)
                    checkups.weigh(self._host.store, self._check.info.id, what, mass)
        except (StoreError, ValueError) as error:
            self._host.say(str(error))
            return
        self.stale.emit()
