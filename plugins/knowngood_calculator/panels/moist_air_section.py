"""Moist air: the air before and behind the coil, and what it gives off between the two."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

from knowngood_calculator.panels.moist_air_load_card import LoadCard
from knowngood_calculator.panels.moist_air_session import IntakeOffer, VentOffer
from knowngood_calculator.panels.moist_air_state_card import StateCard
from knowngood_calculator.panels.section import Section

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_calculator.panels.section import Given

INLET_LETTERS, OUTLET_LETTERS = ("d", "h", "t"), ("y", "m", "eu")
AS_WIDE_AS_THE_CARD = Qt.AlignmentFlag(0)


class MoistAirSection(Section):
    """Inlet, outlet and load, from left to right; the inlet alone answers for a single state of air."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.intake, self.vent = IntakeOffer(host), VentOffer(host)
        self.inlet = StateCard(
            "Air, or inlet air", "any one measure of humidity gives all others", host.units, INLET_LETTERS
        )
        self.outlet = StateCard(
            "Outlet air", "behind the evaporator, or at the vent", host.units, OUTLET_LETTERS
        )
        self.inlet.offer(self.intake, Qt.AlignmentFlag.AlignLeft)
        self.outlet.offer(self.vent, AS_WIDE_AS_THE_CARD)
        self.load = LoadCard(host.units)
        self.columns((10, (self.inlet,)), (10, (self.outlet,)), (11, (self.load,)))
        self.intake.taken.connect(self.inlet.take)
        self.vent.vent_taken.connect(self.outlet.dry_bulb.set_si)
        for card in (self.inlet, self.outlet, self.load):
            card.changed.connect(self._weigh)

    def refresh(self, given: Given) -> None:
        """Answer for another air pressure, or in other units."""
        for card in (self.inlet, self.outlet):
            card.blockSignals(True)
            card.refresh(given.barometer_pa)
            card.blockSignals(False)
        self._weigh()

    def _weigh(self) -> None:
        self.load.show_load(self.inlet.air, self.outlet.air)
