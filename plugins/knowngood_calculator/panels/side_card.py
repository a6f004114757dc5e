"""One side of the circuit: its pressure and line temperature, and the superheat or subcooling they give."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal

from knowngood.widgets import Card, QuantityEdit
from knowngood.widgets.answer_line import AnswerLine
from knowngood.widgets.form import form
from knowngood_calculator.core.answers import saturation_temperature
from knowngood_calculator.core.clamp_places import LiquidPlace, SuctionPlace
from knowngood_calculator.core.sides import Side, subcooling_side, superheat_side
from knowngood_calculator.panels.side_inputs import GaugeFields, PlaceFields, ProbeFields
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Estimate

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget

    from knowngood.units import Units
    from knowngood_calculator.core.answers import Limit
    from knowngood_calculator.panels.section import Given

NAMES_WIDTH = 92
"""Room for the longest name of a field, so that fields and answers stand in one column."""

COVERAGE_95 = 1.96
"""Coverage factor of a 95 % interval for a normal distribution (JCGM 100:2008, table G.1)."""


@dataclass(frozen=True)
class Wording:
    """What a side is called, the letters that lead to its fields, and how it is computed."""

    title: str
    subtitle: str
    pressure: str
    line: str
    saturation: str
    difference: str
    full_scale_pa: float
    places: tuple[str, ...]
    place_type: type[SuctionPlace] | type[LiquidPlace]
    compute: Callable[..., Side]


LOW = Wording(
    "Low side",
    "superheat of the suction line",
    "&Low side",
    "&Suction line",
    "Evaporating",
    "Superheat",
    10e5,
    tuple(SuctionPlace),
    SuctionPlace,
    superheat_side,
)
HIGH = Wording(
    "High side",
    "subcooling of the liquid line",
    "&High side",
    "L&iquid line",
    "Condensing",
    "Subcooling",
    35e5,
    tuple(LiquidPlace),
    LiquidPlace,
    subcooling_side,
)


class SideCard(Card):
    """Answers as one types, for what the head says and for the heat exchanger given last to `refresh`.

    Attributes
    ----------
    changed
        Signal without arguments: something of this side was typed or chosen.
    """

    changed = Signal()

    def __init__(self, wording: Wording, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(wording.title, wording.subtitle, parent)
        self._wording, self._units = wording, units
        self._barometer_pa: float | None = None
        self.pressure = QuantityEdit(Kind.PRESSURE, units)
        self.line = QuantityEdit(Kind.TEMPERATURE, units)
        self.gauge = GaugeFields(units, wording.full_scale_pa, self)
        self.probe = ProbeFields(units, self)
        self.places = PlaceFields(units, wording.places, self)
        self.saturation, self.difference = (
            AnswerLine(name, units, NAMES_WIDTH) for name in (wording.saturation, wording.difference)
        )
        self.interval = AnswerLine("95 % interval", units, NAMES_WIDTH, compact=True)
        self._lay_out()
        for edit in (self.pressure, self.line):
            edit.changed.connect(self.changed)
        for fields in (self.gauge, self.probe, self.places):
            fields.changed.connect(self.changed)

    def refresh(self, given: Given, exchanger: bool | None) -> None:
        """Answer anew; ``exchanger`` says whether there is an internal heat exchanger, None: not known."""
        # To set it reads the text anew, and a text written by the program is a rounded one.
        if given.barometer_pa != self._barometer_pa:
            self._barometer_pa = given.barometer_pa
            self.blockSignals(True)
            self.pressure.set_barometer(given.barometer_pa)
            self.blockSignals(False)
        self._answer(given, exchanger)

    def _answer(self, given: Given, exchanger: bool | None) -> None:
        pressure, line_k = self.pressure.si(), self.line.si()
        if pressure is None:
            self.saturation.clear(self.pressure.problem)
            self._say_none(self.line.problem)
            return
        if line_k is None:
            # Without a line the pressure still has its saturation temperature.
            answer = saturation_temperature(given.curve, pressure)
            self.saturation.show_answer(answer, self._units.text(answer.value, Kind.TEMPERATURE))
            self._say_none(self.line.problem)
            return
        try:
            self._show(self._side(given, line_k, exchanger))
        except ValueError as error:
            self._say_none(str(error))

    def _side(self, given: Given, line_k: float, exchanger: bool | None) -> Side:
        taken = self.places.pressure(self.pressure, self.gauge.gauge, given.air)
        line = self.places.line(line_k, self.probe.at(line_k))
        chosen = self.places.place.currentIndex() - 1
        place = list(self._wording.place_type)[chosen] if chosen >= 0 else None
        return self._wording.compute(given.curve, taken, line, place, exchanger)

    def _show(self, side: Side) -> None:
        if side.saturation_k is None:
            # The words say why there is no saturation temperature.
            self.saturation.show_answer(side.answer, "")
            self._say_none()
            return
        self.saturation.say(self._units.text(side.saturation_k, Kind.TEMPERATURE))
        answer = side.answer
        assert answer.value is not None
        assert answer.standard_uncertainty is not None
        estimate = Estimate(answer.value, answer.standard_uncertainty)
        text = self._units.estimate_text(estimate, Kind.TEMPERATURE_DIFFERENCE)
        remarks = [] if answer.doubtful else [one.sentence(self._limit) for one in side.remarks]
        origin = "" if answer.doubtful else side.origin
        self.difference.show_answer(answer, text, origin, *remarks)
        self._show_interval(side)

    def _show_interval(self, side: Side) -> None:
        ends = side.interval_k(COVERAGE_95)
        if ends is None or side.answer.doubtful:
            self.interval.clear()
            return
        decimals = 1
        low, high = (self._units.text(end, Kind.TEMPERATURE_DIFFERENCE, decimals=decimals) for end in ends)
        longer = "" if side.shift_k == 0.0 else "longer on one side: the clamp errs one way only"
        self.interval.say(f"{low.split(' ')[0]} to {high}", longer)

    def _limit(self, limit: Limit) -> str:
        return self._units.text(limit.value, limit.kind, absolute=True)

    def _say_none(self, problem: str = "") -> None:
        self.difference.clear(problem)
        self.interval.clear()

    def _lay_out(self) -> None:
        wording, places = self._wording, self.places
        rows = (
            ((wording.pressure, self.pressure), (wording.line, self.line)),
            (("Gauge", self.gauge.kind), ("Full scale", self.gauge.full_scale)),
            (("Clamp probe", self.probe.kind), ("its limit", self.probe.limit)),
            (("Clamp sits", places.seat), ("in air of", places.air)),
            (("Clamp place", places.place),),
            (("Port", places.port), ("drop to it", places.drop)),
        )
        self.body.addLayout(form(rows, NAMES_WIDTH))
        for answer in (self.saturation, self.difference, self.interval):
            self.body.addWidget(answer)
        self.body.addStretch(1)
