"""Superheat and subcooling from both sides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_calculator.panels.section import Section
from knowngood_calculator.panels.sides_card import SidesCard

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_calculator.panels.section import Given


class SidesSection(Section):
    """The card of both sides."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.card = SidesCard(host.units)
        self.columns((1, (self.card,)))

    def refresh(self, given: Given) -> None:
        """Answer for another refrigerant or air pressure, or in other units."""
        self.card.refresh(given.curve, given.barometer_pa)
