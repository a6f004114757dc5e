"""The card of the engine-off check: what was read at rest, and what it says."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal

from knowngood.formatting import Shown
from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.form import form
from knowngood_calculator.core.engine_off import EngineOff, Outcome
from knowngood_calculator.core.rest import AtRest
from knowngood_calculator.panels.instrument_choice import InstrumentChoice
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units
    from knowngood_refdata.records import Estimate
    from knowngood_refdata.refrigerants import SaturationCurve

NAMES_WIDTH = 112
"""Room for the longest name of a field, so that fields and answers stand in one column."""


class EngineOffCard(Card):
    """Fields for a circuit at rest, and what the section finds for them.

    Attributes
    ----------
    changed
        Signal without arguments: something else was read; ask `at_rest`.
    """

    changed = Signal()

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(
            "Pressure at rest",
            "against saturation at the temperature measured, with 95 % uncertainty",
            parent,
        )
        self._units = units
        self._barometer_pa = STANDARD_ATMOSPHERE_PA
        self.low, self.high = (QuantityEdit(Kind.PRESSURE, units) for _ in range(2))
        self.ambient, self.cabin, self.bay = (QuantityEdit(Kind.TEMPERATURE, units) for _ in range(3))
        self.soak = QuantityEdit(Shown.REST_TIME, units)
        self.choice = InstrumentChoice(units)
        self.outcome = AnswerLine("Finding", units, NAMES_WIDTH)
        self.saturation, self.difference, self.air, self.fits = (
            AnswerLine(name, units, NAMES_WIDTH, compact=True)
            for name in ("Saturation", "Difference", "Air or other gas", "Fits as well")
        )
        self._lay_out()
        for edit in self._edits:
            edit.changed.connect(self.changed)
        for choice in (self.choice.gauges, self.choice.probe):
            choice.currentIndexChanged.connect(self.changed)

    @property
    def lines(self) -> tuple[AnswerLine, ...]:
        """The answers, from top to bottom."""
        return self.outcome, self.saturation, self.difference, self.air, self.fits

    def set_barometer(self, barometer_pa: float) -> None:
        """Say what air pressure [Pa] the gauges count from."""
        # To set it reads the text anew, and a text written by the program is a rounded one.
        if barometer_pa == self._barometer_pa:
            return
        self._barometer_pa = barometer_pa
        for edit in (self.low, self.high):
            edit.set_barometer(barometer_pa)

    def at_rest(self) -> AtRest:
        """What was read so far; without a temperature at the condenser that one is NaN."""
        ambient_k = self.ambient.si()
        instruments = self.choice.instruments
        return AtRest(
            ambient_k=math.nan if ambient_k is None else ambient_k,
            low_pa=self.low.si(),
            high_pa=self.high.si(),
            cabin_k=self.cabin.si(),
            under_hood_k=self.bay.si(),
            soak_s=self.soak.si(),
            instruments=replace(instruments, air=instruments.line),
        )

    @property
    def ready(self) -> bool:
        """Whether enough was read, and nothing that is no value."""
        return not self._problem and not self._missing

    def show_unready(self) -> None:
        """Show what is still to be entered, or what is wrong with what was."""
        for line in self.lines:
            line.clear()
        if self._problem:
            self.outcome.clear(self._problem)
        else:
            self.outcome.say("", self._missing)

    def show_found(self, curve: SaturationCurve, found: EngineOff) -> None:
        """Show what the pressure at rest says."""
        self._show_outcome(curve, found)
        self._show_numbers(found)
        self._show_air(found)
        self.fits.say(
            ", ".join(found.also_fits) or ("" if found.saturation is None else "none of the others"),
            "their saturation agrees with the reading within its uncertainty, too" if found.also_fits else "",
        )

    def _show_outcome(self, curve: SaturationCurve, found: EngineOff) -> None:
        if found.outcome is Outcome.LIQUID_PRESENT:
            self.outcome.say(found.outcome, found.words)
            return
        beyond = found.saturation is None and self.at_rest().ambient_k > curve.critical_k
        critical = self._units.text(curve.critical_k, Kind.TEMPERATURE)
        remark = f"{curve.name} is critical at {critical}" if beyond else ""
        text = "" if found.pressure is None else found.outcome
        self.outcome.say(text, remark, problem=found.words)

    def _show_numbers(self, found: EngineOff) -> None:
        if found.saturation is None or found.difference is None:
            self.saturation.clear()
            self.difference.clear()
            return
        assert found.temperature is not None
        assert found.pressure is not None
        at = self._units.estimate_text(found.temperature, Kind.TEMPERATURE)
        self.saturation.say(self._gauge_text(found.saturation), f"at {at}")
        self.difference.say(
            self._units.estimate_text(found.difference, Kind.PRESSURE, difference=True),
            f"measured {self._gauge_text(found.pressure)}",
        )

    def _show_air(self, found: EngineOff) -> None:
        if found.air is None or found.air_fraction is None:
            self.air.clear()
            return
        self.air.say(
            self._units.estimate_text(found.air, Kind.PRESSURE, difference=True),
            "its partial pressure, if all the excess is a foreign gas: "
            f"{100.0 * found.air_fraction:.0f}\N{NO-BREAK SPACE}% of the molecules in the vapour",
        )

    def _gauge_text(self, estimate: Estimate) -> str:
        return self._units.estimate_text(estimate, Kind.PRESSURE, barometer_pa=self._barometer_pa)

    @property
    def _edits(self) -> tuple[QuantityEdit, ...]:
        return self.low, self.high, self.ambient, self.cabin, self.bay, self.soak

    @property
    def _problem(self) -> str:
        """What is wrong with the first field that holds no value, named."""
        return next((f"{one.accessibleName()}: {one.problem}" for one in self._edits if one.problem), "")

    @property
    def _missing(self) -> str:
        """What must still be entered, in words."""
        pressed = self.low.si() is not None or self.high.si() is not None
        if self.ambient.si() is None:
            pressure = "" if pressed else "a pressure with the engine off, and "
            return f"Enter {pressure}the temperature of the air at the condenser."
        return "" if pressed else "Enter the pressure of at least one side."

    def _lay_out(self) -> None:
        pairs = (
            (("&Low side", self.low), ("&High side", self.high)),
            (("Air at &condenser", self.ambient), ("Cab&in", self.cabin)),
            (("&Engine bay", self.bay), ("Engine &off for", self.soak)),
            (("&Gauges", self.choice.gauges),),
            (("&Probe", self.choice.probe),),
        )
        self.body.addLayout(form(pairs, NAMES_WIDTH))
        for line in self.lines:
            self.body.addWidget(line)
        self.body.addStretch(1)
