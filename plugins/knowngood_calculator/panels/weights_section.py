"""Weights: the charge and what scales leave of its tolerance, hoses, cylinders, CO2 equivalent."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_calculator.panels.section import Section
from knowngood_calculator.panels.weights_charge_card import ChargeCard
from knowngood_calculator.panels.weights_cylinder_card import CylinderCard
from knowngood_calculator.panels.weights_hoses_card import HosesCard
from knowngood_calculator.panels.weights_warming_card import WarmingCard

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_calculator.panels.section import Given


class WeightsSection(Section):
    """The charge by weight comes first; beside it stand what holds refrigerant, and what it warms like."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.charge = ChargeCard(host)
        self.hoses, self.cylinder = HosesCard(host.units), CylinderCard(host.units)
        self.warming = WarmingCard(host.units)
        self.charge.charge.changed.connect(self._hand_on)
        self.columns((1, (self.charge, self.hoses)), (1, (self.cylinder, self.warming)))

    def refresh(self, given: Given) -> None:
        """Answer for another refrigerant, or in other units."""
        self.charge.refresh()
        self.hoses.refresh(given.fluid)
        self.cylinder.refresh(given.fluid)
        self.warming.refresh(given.refrigerant)

    def _hand_on(self) -> None:
        self.warming.set_charge(self.charge.charge.si())
