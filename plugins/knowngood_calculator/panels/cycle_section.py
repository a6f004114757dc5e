"""The cycle: its figures, its states, and the pressure-enthalpy diagram."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QSizePolicy

from knowngood.formatting import Shown
from knowngood.widgets import Card
from knowngood.widgets.answer_line import AnswerLine, sentence
from knowngood.widgets.form import words
from knowngood.widgets.grid import Grid
from knowngood_calculator.core.answers import Answer
from knowngood_calculator.core.cycles import Answered, Figure, flow, from_assumed, from_measured, times
from knowngood_calculator.panels.cycle_inputs import InputsCard
from knowngood_calculator.panels.section import Section
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood.units import Subject, Units
    from knowngood_calculator.panels.section import Given
    from knowngood_refdata.records import Estimate
    from knowngood_refdata.states import State

INVITATION = (
    "Enter evaporating and condensing temperature, or choose measured points and enter both sides with the "
    "suction and the liquid line."
)
FULL_STROKE = "at full stroke: a variable compressor moves less. An estimate, from the volumetric efficiency"
POINTS = ("evaporator outlet", "suction", "discharge", "condenser outlet", "valve inlet", "evaporator inlet")
NAMES = 150


class CycleSection(Section):
    """Fields and figures to the left, diagram and states to the right."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._given: Given | None = None
        self.inputs = InputsCard(host)
        self.figures = FiguresCard(host.units)
        self.drawing = DrawingCard(host)
        self.columns((10, (self.inputs, self.figures)), (15, (self.drawing,)))
        self.inputs.changed.connect(self._answer)

    def refresh(self, given: Given) -> None:
        """Answer for another refrigerant or air pressure, or in other units."""
        self._given = given
        self.inputs.blockSignals(True)
        self.inputs.refresh(given)
        self.inputs.blockSignals(False)
        self._answer()

    def _answer(self) -> None:
        given = self._given
        if given is None:
            return
        found = self._found(given)
        self.figures.show_answer(found, self.inputs.problem, self.inputs.compressor.values())
        self.drawing.show_answer(found, given)

    def _found(self, given: Given) -> Answered | None:
        inputs = self.inputs
        if inputs.from_measured:
            measured = inputs.measured.values(inputs.assumed.efficiency.si() or 0.7)
            if measured is None:
                return None
            return from_measured(given.fluid, measured, inputs.measured.choice.instruments)
        assumed = inputs.assumed.values()
        return None if assumed is None else from_assumed(given.fluid, assumed)


class FiguresCard(Card):
    """The figures of a cycle, each to be copied, and the estimate of what the compressor moves."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._units = units
        self.words = words("problem")
        self.lines = {figure: AnswerLine(figure.title, units, NAMES, compact=True) for figure in Figure}
        self.flow, self.cooling, self.power = (
            AnswerLine(name, units, NAMES, compact=True)
            for name in ("Mass flow", "Cooling power", "Compressor power")
        )
        self.basis = words("quiet", sentence(f"{FULL_STROKE}."))
        self.body.setSpacing(1)
        self.body.addWidget(self.words)
        for line in (*self.lines.values(), self.flow, self.cooling, self.power):
            self.body.addWidget(line)
        self.body.addWidget(self.basis)

    def show_answer(
        self,
        found: Answered | None,
        problem: str,
        compressor: tuple[float, float, float, float] | None,
    ) -> None:
        """Show the figures of another cycle, or why there are none."""
        told = problem or ("" if found is None else found.words)
        self.words.setText(sentence(told))
        self.words.setVisible(bool(told))
        estimates = {} if found is None else found.estimates
        for figure, line in self.lines.items():
            self._write(line, estimates.get(figure), figure.kind or Shown.RATIO)
        exchanged = estimates.get(Figure.EXCHANGED)
        self.lines[Figure.EXCHANGED].setVisible(exchanged is not None and exchanged.value > 1.0)
        self._write_flow(found, compressor)

    def _write_flow(
        self, found: Answered | None, compressor: tuple[float, float, float, float] | None
    ) -> None:
        moved = cooling = power = None
        if found is not None and found.cycle is not None and compressor is not None:
            moved = flow(float(found.cycle.suction.density_kg_m3), *compressor)
            cooling = times(moved, found.estimates[Figure.CAPACITY])
            power = times(moved, found.estimates[Figure.WORK])
        for line, estimate, subject in (
            (self.flow, moved, Kind.MASS_FLOW),
            (self.cooling, cooling, Kind.POWER),
            (self.power, power, Kind.POWER),
        ):
            self._write(line, estimate, subject)
            line.setVisible(estimate is not None)
        self.basis.setVisible(moved is not None)

    def _write(self, line: AnswerLine, estimate: Estimate | None, subject: Subject) -> None:
        if estimate is None:
            line.clear()
        elif estimate.standard_uncertainty > 0.0:
            line.show_answer(Answer(estimate.value), self._units.estimate_text(estimate, subject))
        else:
            line.show_answer(Answer(estimate.value), self._units.text(estimate.value, subject))


class DrawingCard(Card):
    """The diagram, and below it the states that are numbered in it."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        from knowngood.widgets import CycleDiagram

        super().__init__(parent=parent)
        self._units = host.units
        self.diagram = CycleDiagram(host.units)
        self.diagram.told.connect(host.say)
        self.invitation = words("quiet", INVITATION)
        self.states = Grid("states of the cycle", words_first=True)
        self.body.addWidget(self.invitation)
        self.body.addWidget(self.diagram, stretch=1)
        self.body.addWidget(self.states)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)

    def show_answer(self, found: Answered | None, given: Given) -> None:
        """Draw another cycle, or none."""
        from knowngood.widgets import DrawnCycle

        self.diagram.show_refrigerants(given.refrigerant)
        drawn = None if found is None else found.cycle
        self.invitation.setVisible(drawn is None)
        self.states.setVisible(drawn is not None)
        if drawn is None:
            self.diagram.show_cycles()
            return
        self.diagram.show_cycles(DrawnCycle(drawn, given.refrigerant))
        rows = [
            self._row(number, name, state)
            for number, (name, state) in enumerate(zip(POINTS, drawn.points, strict=False), start=1)
        ]
        self.states.write(self._headings(), rows)
        self.states.fit_rows()

    def _headings(self) -> tuple[str, ...]:
        label = self._units.label
        return (
            "point",
            f"pressure\n{label(Kind.PRESSURE, absolute=True)}",
            f"temp.\n{label(Kind.TEMPERATURE)}",
            f"enthalpy\n{label(Kind.SPECIFIC_ENERGY)}",
            f"entropy\n{label(Kind.SPECIFIC_ENTROPY)}",
            f"density\n{label(Kind.DENSITY)}",
            "vapour\n%",
        )

    def _row(self, number: int, name: str, state: State) -> tuple[str, ...]:
        def bare(value: float, kind: Kind, decimals: int) -> str:
            text = self._units.text(value, kind, absolute=kind is Kind.PRESSURE, decimals=decimals)
            return text.split(" ")[0]

        quality = float(state.quality)
        return (
            f"{number} {name}",
            bare(float(state.pressure_pa), Kind.PRESSURE, 2),
            bare(float(state.temperature_k), Kind.TEMPERATURE, 1),
            bare(float(state.enthalpy_j_kg), Kind.SPECIFIC_ENERGY, 1),
            bare(float(state.entropy_j_kg_k), Kind.SPECIFIC_ENTROPY, 4),
            bare(float(state.density_kg_m3), Kind.DENSITY, 2),
            bare(quality, Kind.FRACTION, 0) if 0.0 <= quality <= 1.0 else "",
        )
