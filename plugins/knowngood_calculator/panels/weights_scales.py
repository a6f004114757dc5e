"""Choices of a scale and of a charging machine, named with their limits of error in the units shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox

from knowngood.units import System
from knowngood_calculator.core.weights import MACHINE, SCALES, Scale
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from knowngood.units import Units


class ScaleChoice:
    """A choice of scales and one of charging machines."""

    def __init__(self, units: Units) -> None:
        self._units = units
        self.scales, self.machines = QComboBox(), QComboBox()
        self.scales.addItems([""] * len(SCALES))
        self.machines.addItems(["none, by hand", ""])
        self.machines.setToolTip("Charging accuracy of machines of SAE J2788 and J2843 (from memory)")
        self._name()
        units.changed.connect(self._name)

    @property
    def scale(self) -> Scale:
        """The scale that weighs the cylinder."""
        return SCALES[self.scales.currentIndex()]

    @property
    def machine(self) -> Scale | None:
        """The charging machine, None when it is charged by hand."""
        return MACHINE if self.machines.currentIndex() else None

    def _name(self) -> None:
        for place, scale in enumerate(SCALES):
            self.scales.setItemText(place, f"± {self._text(scale.limit_kg)}")
        self.machines.setItemText(1, f"± {self._text(MACHINE.limit_kg)}")

    def _text(self, mass_kg: float) -> str:
        return self._units.text(mass_kg, Kind.MASS, decimals=2 if self._units.system is System.US else 0)
