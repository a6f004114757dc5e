"""Evacuation: what one vacuum reading says, and what the pressure behind a closed valve speaks of."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_calculator.panels.evacuation_decay_card import DecayCard
from knowngood_calculator.panels.evacuation_vacuum_card import VacuumCard
from knowngood_calculator.panels.section import Section

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_calculator.panels.section import Given


class EvacuationSection(Section):
    """One reading to the left, the decay test to the right; both know the coldest part."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.vacuum, self.decay = VacuumCard(host.units), DecayCard(host)
        self.columns((9, (self.vacuum,)), (14, (self.decay,)))
        self.vacuum.coldest.changed.connect(self._judge)

    def refresh(self, given: Given) -> None:
        """Answer for another air pressure, or in other units."""
        self.vacuum.refresh(given.barometer_pa)
        self._judge()

    def _judge(self) -> None:
        self.decay.refresh(self.vacuum.coldest.si())
