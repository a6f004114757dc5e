"""The pressure-enthalpy diagram with cycles, in the units shown, to be saved as a picture."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from knowngood.scales import System
from knowngood.widgets import theme
from knowngood.widgets.picture import ask_and_save
from knowngood.widgets.pressure_enthalpy import CyclePath, Ground, IsoFamily, IsoLine, PressureEnthalpyPlot
from knowngood_refdata.isolines import DiagramLines, TracedLine, Window, lines
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray
    from PySide6.QtGui import QImage

    from knowngood.units import Units
    from knowngood_refdata.cycle import Cycle
    from knowngood_refdata.states import State

    Floats = NDArray[np.float64]

TEMPERATURE, ENTROPY, DENSITY, QUALITY = "#b4633c", "#54749e", "#5f8a72", "#b3afa2"
POINTS = ("evaporator outlet", "suction", "discharge", "condenser outlet", "valve inlet", "evaporator inlet")


@dataclass(frozen=True, slots=True, eq=False)
class DrawnCycle:
    """A cycle to be drawn: its name, the colour, and whether its points are numbered."""

    cycle: Cycle
    name: str
    colour: str = theme.ACCENT
    numbered: bool = True


class CycleDiagram(QWidget):
    """One or two refrigerants' diagram with the cycles drawn in it.

    Attributes
    ----------
    told
        Signal with a sentence for the status line: a picture was saved, or why it was not.
    """

    told = Signal(str)

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._names: tuple[str, ...] = ()
        self._system: System | None = None
        self.plot = PressureEnthalpyPlot()
        self._legend = QLabel()
        self._legend.setObjectName("quiet")
        # A long legend must not widen the page.
        self._legend.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._lay_out()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """A modest wish: the diagram takes whatever room a page has left."""
        return QSize(520, 340)

    def show_refrigerants(self, *names: str) -> None:
        """Draw the ground of one refrigerant with all lines, or the domes of several."""
        if (names, self._units.system) == (self._names, self._system):
            return
        self._names, self._system = names, self._units.system
        self.plot.set_ground(self._ground())
        self._legend.setText(_legend(len(names) == 1, self._units))

    def show_cycles(self, *cycles: DrawnCycle) -> None:
        """Draw other cycles over the ground; the view stays."""
        self.plot.set_cycles([self.path_of(one) for one in cycles])

    def path_of(self, drawn: DrawnCycle) -> CyclePath:
        """How a cycle is drawn in the units shown."""
        points = drawn.cycle.points
        enthalpy = self._enthalpy(np.array([float(one.enthalpy_j_kg) for one in points]))
        pressure = self._pressure(np.array([float(one.pressure_pa) for one in points]))
        marks = _numbered(enthalpy, pressure) if drawn.numbered else ()
        ideal = drawn.cycle.discharge_isentropic
        dashed = (*self._place(drawn.cycle.suction), *self._place(ideal))
        return CyclePath(drawn.name, drawn.colour, enthalpy, pressure, marks, (dashed,))

    def picture(self) -> QImage:
        """The diagram as it stands, for paper."""
        return self.plot.picture()

    def save(self) -> None:
        """Ask for a place and save the diagram as a picture there."""
        told = ask_and_save(self, self, f"{' and '.join(self._names)} diagram.png")
        if told:
            self.told.emit(told)

    def _ground(self) -> Ground:
        values = "us" if self._units.system is System.US else "si"
        found = [lines(name, values) for name in self._names]
        alone = len(found) == 1
        colours = (theme.INK,) if alone else theme.CURVES
        domes = tuple(
            (self._line(one.dome, "" if alone else name), colour)
            for name, one, colour in zip(self._names, found, colours, strict=False)
        )
        return Ground(
            domes,
            self._families(found[0]) if alone else (),
            self._window([one.window for one in found]),
            self._units.label(Kind.SPECIFIC_ENERGY),
            self._units.label(Kind.PRESSURE, difference=True),
        )

    def _families(self, found: DiagramLines) -> tuple[IsoFamily, ...]:
        def named(kind: Kind, decimals: int) -> Callable[[float], str]:
            return lambda value: f"{self._units.value(value, kind):.{decimals}f}"

        us = self._units.system is System.US
        entropy, temperature = named(Kind.SPECIFIC_ENTROPY, 2 if us else 1), named(Kind.TEMPERATURE, 0)
        return (
            IsoFamily("quality", QUALITY, self._lines(found.qualities, lambda _: "")),
            IsoFamily("density", DENSITY, self._lines(found.isochores, self._density), names_across=0.97),
            IsoFamily("entropy", ENTROPY, self._lines(found.isentropes, entropy), names_up=0.96),
            IsoFamily("temperature", TEMPERATURE, self._lines(found.isotherms, temperature), names_up=0.05),
        )

    def _density(self, value: float) -> str:
        return f"{self._units.value(value, Kind.DENSITY):.4g}"

    def _lines(self, traced: Sequence[TracedLine], name: Callable[[float], str]) -> tuple[IsoLine, ...]:
        return tuple(self._line(one, name(one.value)) for one in traced)

    def _line(self, traced: TracedLine, name: str) -> IsoLine:
        return IsoLine(self._enthalpy(traced.enthalpy_j_kg), self._pressure(traced.pressure_pa), name)

    def _window(self, windows: Sequence[Window]) -> tuple[float, float, float, float]:
        enthalpy = self._enthalpy(
            np.array([min(one.least_j_kg for one in windows), max(one.most_j_kg for one in windows)])
        )
        pressure = self._pressure(
            np.array([min(one.lowest_pa for one in windows), max(one.highest_pa for one in windows)])
        )
        return float(enthalpy[0]), float(enthalpy[1]), float(pressure[0]), float(pressure[1])

    def _place(self, state: State) -> tuple[float, float]:
        enthalpy = self._enthalpy(np.asarray(float(state.enthalpy_j_kg)))
        return float(enthalpy), float(self._pressure(np.asarray(float(state.pressure_pa))))

    def _enthalpy(self, j_kg: Floats) -> Floats:
        return j_kg * self._units.value(1.0, Kind.SPECIFIC_ENERGY)

    def _pressure(self, pa: Floats) -> Floats:
        return pa * self._units.value(1.0, Kind.PRESSURE, difference=True)

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.addWidget(self._legend, stretch=1)
        for title, slot in (("Whole diagram", self.plot.show_all), ("Save picture...", self.save)):
            button = QPushButton(title)
            button.setObjectName("link")
            button.clicked.connect(slot)
            row.addWidget(button)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self.plot, stretch=1)
        layout.addLayout(row)


def _numbered(enthalpy: Floats, pressure: Floats) -> tuple[tuple[float, float, str], ...]:
    """Points that fall together share a mark, as they do without an internal heat exchanger."""
    marks: list[tuple[float, float, str]] = []
    for number, (x, y) in enumerate(zip(enthalpy[:-1], pressure[:-1], strict=True), start=1):
        if marks and abs(x - marks[-1][0]) < 1e-3 and abs(y - marks[-1][1]) < 1e-6:
            marks[-1] = (marks[-1][0], marks[-1][1], f"{marks[-1][2]}, {number}")
        else:
            marks.append((float(x), float(y), str(number)))
    return tuple(marks)


def _legend(with_lines: bool, units: Units) -> str:
    if not with_lines:
        return "Wheel zooms, drag moves, double click shows everything."
    words = (
        (TEMPERATURE, f"temperature, {units.label(Kind.TEMPERATURE)}"),
        (ENTROPY, f"entropy, {units.label(Kind.SPECIFIC_ENTROPY)}"),
        (DENSITY, f"density, {units.label(Kind.DENSITY)}"),
        (QUALITY, "quality"),
    )
    return " &nbsp; ".join(f'<span style="color:{colour}">\u2501</span> {text}' for colour, text in words)
