"""The card of the charge by weight: what scale and machine leave of the tolerance, what was weighed in."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood.formatting import Shown
from knowngood.units import System
from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.form import form, words
from knowngood_calculator.core.weights import (
    Attainable,
    Charged,
    ToleranceCheck,
    check_charge,
    check_tolerance,
    net_mass,
)
from knowngood_calculator.panels.pairs import side_by_side
from knowngood_calculator.panels.verdict_line import VerdictLine
from knowngood_calculator.panels.weights_scales import ScaleChoice
from knowngood_calculator.panels.weights_start import StartValue
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host

NAMES_WIDTH = 104
HARDLY = 1e-6
"""A part of a digit that rounding in the computer may make."""


class ChargeCard(Card):
    """Answers as one types; the charge of the vehicle in hand stands in an empty field."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(
            "Charge by weight", "with 95 % uncertainty; a pressure never tells the charge", parent
        )
        units = host.units
        self._units, self._bench = units, host.bench
        self.charge = QuantityEdit(Kind.MASS, units)
        self.tolerance = QuantityEdit(Kind.MASS, units, difference=True)
        self.choice = ScaleChoice(units)
        self.before, self.after = (QuantityEdit(Shown.CYLINDER_WEIGHT, units) for _ in range(2))
        self.source = words("quiet")
        self.verdict = VerdictLine("Tolerance", units, NAMES_WIDTH)
        self.known = AnswerLine("Known to", units, NAMES_WIDTH, compact=True)
        self.within = AnswerLine("Aim for", units, 0, compact=True)
        self.weighed = AnswerLine("Weighed in", units, NAMES_WIDTH, compact=True)
        self.against = VerdictLine("That is", units, NAMES_WIDTH)
        self._start = StartValue(self.charge, self.tolerance)
        self._lay_out()
        for edit in (self.charge, self.tolerance, self.before, self.after):
            edit.changed.connect(self._answer)
        for choice in (self.choice.scales, self.choice.machines):
            choice.currentIndexChanged.connect(self._answer)
        host.bench.vehicle_changed.connect(self.refresh)

    def refresh(self) -> None:
        """Follow the vehicle in hand, and answer anew."""
        self._start.take(self._bench.vehicle)
        self._answer()

    def _answer(self) -> None:
        self.source.setText(self._start.words(self._bench.vehicle))
        self.source.setVisible(bool(self.source.text()))
        self._answer_tolerance()
        self._answer_weighings()

    def _answer_tolerance(self) -> None:
        charge, tolerance = self.charge.si(), self.tolerance.si()
        for line in (self.verdict, self.known, self.within):
            line.clear()
        if charge is None or tolerance is None:
            missing = "" if charge is None else "Enter the tolerance that the label gives."
            self.verdict.say("", missing, problem=self.charge.problem or self.tolerance.problem)
            return
        found = check_tolerance(charge, tolerance, self.choice.scale, self.choice.machine)
        if found.expanded_kg is None:
            self.verdict.clear(found.words)
            return
        if found.verdict is Attainable.NOT:
            self.verdict.say(found.verdict, problem=found.words)
        else:
            self.verdict.say(found.verdict, found.words)
        self._show_range(found, charge)

    def _show_range(self, found: ToleranceCheck, charge_kg: float) -> None:
        assert found.expanded_kg is not None
        self.known.say(f"± {self._text(found.expanded_kg)}")
        if found.guarded_kg:
            self.within.say(self._range_text(charge_kg - found.guarded_kg, charge_kg + found.guarded_kg))

    def _range_text(self, lowest_kg: float, highest_kg: float) -> str:
        """A range rounded to its inside, empty when nothing is left of it."""
        steps = 10.0 if self._units.system is System.US else 1.0
        low, high = (steps * self._units.value(one, Kind.MASS) for one in (lowest_kg, highest_kg))
        low, high = math.ceil(low - HARDLY), math.floor(high + HARDLY)
        if low > high:
            return ""
        decimals = 1 if steps > 1.0 else 0
        unit = self._units.label(Kind.MASS)
        return f"{low / steps:.{decimals}f} to {high / steps:.{decimals}f} {unit}"

    def _answer_weighings(self) -> None:
        before, after = self.before.si(), self.after.si()
        self.weighed.clear(self.before.problem or self.after.problem)
        self.against.clear()
        if before is None or after is None:
            return
        net = net_mass(before, after, self.choice.scale)
        if net.mass is None:
            self.weighed.clear(net.words)
            return
        self.weighed.say(self._units.estimate_text(net.mass, Kind.MASS))
        charge, tolerance = self.charge.si(), self.tolerance.si()
        if charge is None or tolerance is None:
            return
        found = check_charge(net.mass, charge, tolerance)
        off = "" if found.off_kg is None else f"{self._signed(found.off_kg)} from the label"
        if found.verdict is Charged.WITHIN:
            self.against.say(found.verdict, off)
        else:
            self.against.say(found.verdict, problem=f"{off}: {found.words}" if off else found.words)

    def _signed(self, mass_kg: float) -> str:
        text = self._text(mass_kg)
        return text if text.startswith("\N{MINUS SIGN}") else f"+{text}"

    def _text(self, mass_kg: float) -> str:
        return self._units.text(mass_kg, Kind.MASS, difference=True)

    def _lay_out(self) -> None:
        self.body.setSpacing(4)
        self.body.addLayout(
            form(
                (
                    (("&Label charge", self.charge), ("&Tolerance ±", self.tolerance)),
                    (("&Scale", self.choice.scales), ("&Machine", self.choice.machines)),
                ),
                NAMES_WIDTH,
            )
        )
        self.body.addWidget(self.source)
        self.body.addWidget(self.verdict)
        self.body.addLayout(side_by_side(self.known, self.within))
        weighings = (("Cylinder be&fore", self.before), ("aft&er charging", self.after))
        self.body.addLayout(form((weighings,), NAMES_WIDTH))
        self.body.addWidget(self.weighed)
        self.body.addWidget(self.against)
        self.body.addStretch(1)
