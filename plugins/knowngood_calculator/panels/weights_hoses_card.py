"""The card of what hoses, cans and other vessels hold of liquid or vapour."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import Shown
from knowngood.units import System
from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.form import form, words
from knowngood_calculator.core.answers import Limit, saturation_pressure
from knowngood_calculator.core.cylinders import Contents, hose_contents, vessel_contents
from knowngood_calculator.panels.pairs import side_by_side, tell
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units
    from knowngood_refdata.states import Fluid

NAMES_WIDTH = 104
USUAL_K = 298.15
"""Counted at when no temperature is entered."""

NOTHING_YET = "Enter length and bore of a hose, or the volume of a can."


class HosesCard(Card):
    """Answers as one types, for the refrigerant given last to `refresh`."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("Left in hoses and cans", "it left the cylinder, but is not in the car", parent)
        self._units = units
        self._fluid: Fluid | None = None
        self.length, self.bore = QuantityEdit(Shown.HOSE, units), QuantityEdit(Shown.BORE, units)
        self.vessel = QuantityEdit(Shown.VESSEL, units)
        self.temperature = QuantityEdit(Kind.TEMPERATURE, units)
        self.problem, self.remark = words("problem"), words("quiet")
        self.liquid = AnswerLine("Hose of liquid", units, NAMES_WIDTH, compact=True)
        self.vapour = AnswerLine("or of vapour", units, 0, compact=True)
        self.can = AnswerLine("Can of vapour", units, NAMES_WIDTH, compact=True)
        self._lay_out()
        for edit in self._edits:
            edit.changed.connect(self._answer)

    def refresh(self, fluid: Fluid) -> None:
        """Answer anew for a refrigerant."""
        self._fluid = fluid
        self._answer()

    @property
    def _edits(self) -> tuple[QuantityEdit, ...]:
        return self.length, self.bore, self.vessel, self.temperature

    def _answer(self) -> None:
        if self._fluid is None:
            return
        typed_k = self.temperature.si()
        temperature_k = USUAL_K if typed_k is None else typed_k
        pressure = saturation_pressure(self._fluid.curve, temperature_k)
        for line in (self.liquid, self.vapour, self.can):
            line.clear()
        problem = next((one.problem for one in self._edits if one.problem), "")
        found = [] if pressure.value is None else self._show_masses(self._fluid, pressure.value)
        problem = problem or next((one.words for one in found if one.mass_kg is None), "")
        tell(self.problem, problem or ("" if pressure.value else pressure.sentence(self._limit)))
        self._remark(found, temperature_k)

    def _show_masses(self, fluid: Fluid, pressure_pa: float) -> list[Contents]:
        """Show what the hose and the can hold at a saturation pressure [Pa]; give what was found."""
        liquid = float(fluid.saturated_liquid(pressure_pa).density_kg_m3)
        vapour = float(fluid.saturated_vapour(pressure_pa).density_kg_m3)
        length, bore, vessel = self.length.si(), self.bore.si(), self.vessel.si()
        shown: list[tuple[AnswerLine, Contents]] = []
        if length is not None and bore is not None:
            shown.append((self.liquid, hose_contents(length, bore, liquid)))
            shown.append((self.vapour, hose_contents(length, bore, vapour)))
        if vessel is not None:
            shown.append((self.can, vessel_contents(vessel, vapour)))
        for line, found in shown:
            if found.mass_kg is not None:
                line.say(self._mass_text(found.mass_kg))
        return [found for _, found in shown]

    def _remark(self, found: list[Contents], temperature_k: float) -> None:
        if not found:
            tell(self.remark, NOTHING_YET)
            return
        volumes = dict.fromkeys(one.volume_m3 for one in found if one.volume_m3 is not None)
        texts = " and ".join(self._units.text(one, Kind.VOLUME) for one in volumes)
        at = self._units.text(temperature_k, Kind.TEMPERATURE)
        tell(self.remark, f"{texts}, counted at {at}" if texts else "")

    def _limit(self, limit: Limit) -> str:
        return self._units.text(limit.value, limit.kind, absolute=True)

    def _mass_text(self, mass_kg: float) -> str:
        decimals = 2 if self._units.system is System.US else 1
        return self._units.text(mass_kg, Kind.MASS, decimals=decimals)

    def _lay_out(self) -> None:
        self.body.setSpacing(4)
        rows = (
            (("Hose le&ngth", self.length), ("B&ore", self.bore)),
            (("Can &volume", self.vessel), ("Tem&perature", self.temperature)),
        )
        self.body.addLayout(form(rows, NAMES_WIDTH))
        self.body.addWidget(self.problem)
        self.body.addLayout(side_by_side(self.liquid, self.vapour))
        self.body.addWidget(self.can)
        self.body.addWidget(self.remark)
