"""The engine-off check: what a pressure at rest says, whether it may be asked, and what it cannot say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.widgets import Card
from knowngood.widgets.answer_line import sentence
from knowngood.widgets.form import words
from knowngood_calculator.core.engine_off import CANNOT_TELL, check_at_rest
from knowngood_calculator.core.rest import preconditions
from knowngood_calculator.panels.engine_off_alike_card import AlikeCard
from knowngood_calculator.panels.engine_off_card import EngineOffCard
from knowngood_calculator.panels.engine_off_preconditions import PreconditionsCard
from knowngood_calculator.panels.section import Section
from knowngood_refdata.refrigerants import REFRIGERANTS, saturation

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_calculator.panels.section import Given


class EngineOffSection(Section):
    """The card that answers, and beside it the preconditions and the limits of the check."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._given: Given | None = None
        self.card = EngineOffCard(host.units)
        self.preconditions = PreconditionsCard(host.units)
        self.alike = AlikeCard(host.units)
        self.card.changed.connect(self._answer)
        self.columns((10, (self.card,)), (9, (self.preconditions, self.alike, _limits())))

    def refresh(self, given: Given) -> None:
        """Answer for another refrigerant or air pressure, or in other units."""
        self._given = given
        self.card.set_barometer(given.barometer_pa)
        self.alike.refresh(given.curve, given.barometer_pa)
        self._answer()

    def _answer(self) -> None:
        if self._given is None:
            return
        curve, at_rest = self._given.curve, self.card.at_rest()
        if self.card.ready:
            others = [saturation(name) for name in REFRIGERANTS if name != curve.name]
            self.card.show_found(curve, check_at_rest(curve, at_rest, others))
        else:
            self.card.show_unready()
        self.preconditions.show_preconditions(preconditions(at_rest))
        self.alike.show_at(at_rest)


def _limits() -> Card:
    card = Card("What it cannot tell")
    card.body.setSpacing(2)
    for one in CANNOT_TELL:
        card.body.addWidget(words("quiet", f"{sentence(one)}."))
    return card
