"""The card of a cylinder's fill limit, by its stamps and by what it weighs now."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import Shown
from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.form import form, words
from knowngood_calculator.core.cylinders import (
    CAUTIONS,
    OUT_OF_SCOPE,
    Cylinder,
    FillLimit,
    fill_limit,
    liquid_full,
    specific_gravity,
)
from knowngood_calculator.panels.pairs import side_by_side, tell
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units
    from knowngood_refdata.states import Fluid

NAMES_WIDTH = 104
SECOND_WIDTH = 74
GRAVITY_K = 298.15
"""77 °F, where the specific gravity of the fill limit is taken."""
BELOW_CRITICAL_K = 0.5
NOTHING_YET = "Enter water capacity (WC) and tare (TW) as stamped on the cylinder."


class CylinderCard(Card):
    """Answers as one types, for the refrigerant given last to `refresh`."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(
            "Cylinder fill limit", "liquid in 80 % of its volume at 77 °F (25 °C), at most", parent
        )
        self._units = units
        self._fluid: Fluid | None = None
        self.capacity, self.tare, self.now = (QuantityEdit(Shown.CYLINDER_WEIGHT, units) for _ in range(3))
        self.gross, self.contents, self.full = (
            AnswerLine(name, units, NAMES_WIDTH, compact=True)
            for name in ("Most on scale", "Inside now", "Liquid-full at")
        )
        self.net, self.room = (
            AnswerLine(name, units, SECOND_WIDTH, compact=True) for name in ("Most inside", "Room left")
        )
        self.problem, self.hint = words("problem"), words("quiet")
        self._lay_out()
        for edit in (self.capacity, self.tare, self.now):
            edit.changed.connect(self._answer)

    @property
    def lines(self) -> tuple[AnswerLine, ...]:
        """The answers, from top to bottom."""
        return self.gross, self.net, self.contents, self.room, self.full

    def refresh(self, fluid: Fluid) -> None:
        """Answer anew for a refrigerant."""
        self._fluid = fluid
        self._answer()

    def _answer(self) -> None:
        for line in self.lines:
            line.clear()
        for label in (self.problem, self.hint):
            tell(label, "")
        if self._fluid is None:
            return
        capacity, tare = self.capacity.si(), self.tare.si()
        problem = OUT_OF_SCOPE.get(self._fluid.name) or self.capacity.problem or self.tare.problem
        if problem:
            tell(self.problem, problem)
        elif capacity is None or tare is None:
            tell(self.hint, NOTHING_YET)
        else:
            self._show(self._fluid, Cylinder(capacity, tare))

    def _show(self, fluid: Fluid, cylinder: Cylinder) -> None:
        gravity = specific_gravity(_liquid_kg_m3(fluid, GRAVITY_K))
        found = fill_limit(cylinder, gravity, self.now.si())
        if found.net_kg is None:
            tell(self.problem, found.words)
            return
        self.gross.say(self._text(found.gross_kg))
        self.net.say(self._text(found.net_kg))
        self._show_now(found)
        self._show_full(fluid, cylinder, found)

    def _show_now(self, found: FillLimit) -> None:
        tell(self.problem, self.now.problem or found.words)
        if found.contents_kg is None:
            return
        self.contents.say(self._text(found.contents_kg))
        self.room.say(self._text(found.room_kg))

    def _show_full(self, fluid: Fluid, cylinder: Cylinder, found: FillLimit) -> None:
        """Where the liquid fills the cylinder: of what is inside now, else of the most allowed."""
        mass_kg = found.contents_kg or found.net_kg
        assert mass_kg is not None
        curve = fluid.curve
        full = liquid_full(
            mass_kg,
            cylinder.volume_m3,
            lambda kelvin: _liquid_kg_m3(fluid, kelvin),
            curve.lowest_k,
            curve.critical_k - BELOW_CRITICAL_K,
        )
        whose = "with what is inside now" if found.contents_kg else "when filled to the limit"
        if full.temperature_k is None and found.overfilled:
            self.full.clear(full.words)
        elif full.temperature_k is None:
            self.full.say("", full.words)
        else:
            self.full.say(
                self._units.text(full.temperature_k, Kind.TEMPERATURE),
                f"{whose}; hotter, it may burst",
            )

    def _text(self, mass_kg: float | None) -> str:
        return self._units.text(mass_kg, Shown.CYLINDER_WEIGHT, decimals=2)

    def _lay_out(self) -> None:
        self.body.setSpacing(4)
        rows = (
            (("&Water capacity", self.capacity), ("Tare wei&ght", self.tare)),
            (("Weig&hs now", self.now),),
        )
        self.body.addLayout(form(rows, NAMES_WIDTH))
        self.body.addWidget(self.problem)
        self.body.addWidget(self.hint)
        self.body.addLayout(side_by_side(self.gross, self.net))
        self.body.addLayout(side_by_side(self.contents, self.room))
        self.body.addWidget(self.full)
        self.body.addWidget(words("quiet", " ".join(CAUTIONS)))
        self.body.addStretch(1)


def _liquid_kg_m3(fluid: Fluid, temperature_k: float) -> float:
    return float(fluid.saturated_liquid(fluid.curve.pressure_pa(temperature_k)).density_kg_m3)
