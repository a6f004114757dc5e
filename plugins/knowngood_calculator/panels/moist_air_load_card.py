"""The card of the load: what a stream of air gives off between inlet and outlet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal

from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import AnswerLine, sentence
from knowngood.widgets.form import form, words
from knowngood_calculator.core.air_stream import AirLoad, air_load
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QLabel, QWidget

    from knowngood.units import Units
    from knowngood_refdata.moist_air import MoistAir

NAMES_WIDTH = 118
BOTH_STATES = "Enter inlet and outlet air, and the flow of air as it enters."
FLOW = "Enter the flow of air as it enters."
BASIS = "Steady flow at one air pressure; the water leaves at the temperature of the outlet."


class LoadCard(Card):
    """Shows the load for two states of air and the flow entered here.

    Attributes
    ----------
    changed
        Signal without arguments: another flow was typed; ask for the load anew.
    """

    changed = Signal()

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("Load of the air stream", "positive where the air is cooled and dried", parent)
        self._units = units
        self.flow = QuantityEdit(Kind.VOLUME_FLOW, units)
        self.told, self.invitation = words("problem"), words("quiet")
        self.total = AnswerLine("Total", units, NAMES_WIDTH)
        self.sensible, self.latent, self.share, self.water, self.dry_air = (
            AnswerLine(name, units, NAMES_WIDTH, compact=True)
            for name in ("Sensible", "Latent", "Sensible share", "Water condensed", "Dry air")
        )
        self.remarks = words("notice")
        self._lay_out()
        self.flow.changed.connect(self.changed)

    @property
    def lines(self) -> tuple[AnswerLine, ...]:
        """The answers, from top to bottom."""
        return self.total, self.sensible, self.latent, self.share, self.water, self.dry_air

    def show_load(self, inlet: MoistAir | None, outlet: MoistAir | None) -> None:
        """Answer for other states of air, None for one not known."""
        flow, problem, found = self.flow.si(), self.flow.problem, None
        if inlet is not None and outlet is not None and flow is not None:
            try:
                found = air_load(inlet, outlet, flow)
            except ValueError as error:
                problem = str(error)
        missing = BOTH_STATES if inlet is None or outlet is None else FLOW
        _tell(self.told, sentence(problem))
        _tell(self.invitation, "" if problem or found is not None else missing)
        _tell(self.remarks, "" if found is None else " ".join(f"{sentence(one)}." for one in found.remarks))
        if found is None:
            for line in self.lines:
                line.clear()
        else:
            self._show(found)

    def _show(self, found: AirLoad) -> None:
        units = self._units
        for line, power_w in (
            (self.total, found.total_w),
            (self.sensible, found.sensible_w),
            (self.latent, found.latent_w),
        ):
            line.say(units.text(power_w, Kind.POWER))
        share = found.sensible_share
        self.share.say("" if share is None else units.text(share, Kind.FRACTION))
        self.water.say(units.text(found.condensed_kg_s, Kind.MASS_FLOW, decimals=2))
        self.dry_air.say(units.text(found.dry_air_kg_s, Kind.MASS_FLOW))

    def _lay_out(self) -> None:
        self.flow.setToolTip("The volume that enters in a time, at the state of the inlet")
        self.body.addLayout(form(((("Air &flow", self.flow),),), NAMES_WIDTH))
        for widget in (self.told, self.invitation, *self.lines, self.remarks, words("quiet", BASIS)):
            self.body.addWidget(widget)
        self.body.addStretch(1)
        self.body.setSpacing(4)


def _tell(label: QLabel, text: str) -> None:
    label.setText(text)
    label.setVisible(bool(text))
