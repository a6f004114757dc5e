"""A figure as curves over a temperature or its pressure, or both cycles in their diagram."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QPushButton, QSizePolicy, QStackedWidget

from knowngood.widgets import Card, CurvePlot, CycleDiagram, DrawnCycle, PlottedCurve, PlottedPoints, theme
from knowngood.widgets.form import named, words
from knowngood.widgets.picture import ask_and_save
from knowngood_comparison.core.curves import Along, curves
from knowngood_comparison.core.figures import Figure
from knowngood_comparison.core.names import BOTH
from knowngood_comparison.panels.curve_axes import CurveAxes
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_comparison.core.assumptions import Assumptions
    from knowngood_comparison.core.curves import Curve
    from knowngood_comparison.core.figures import Compared

DIAGRAM = "Pressure-enthalpy diagram"
AXES = tuple(product(Along, (False, True)))
"""What a curve goes over, and whether its axis shows the saturation pressure instead of the temperature."""
SYMBOLS = ("o", "t1")
NO_CURVES = "No curve: the conditions contradict themselves, or the figure needs a cooling power."


class DrawingCard(Card):
    """The choice of what is drawn, the drawing, and what the reading line shows."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._units = host.units
        self._say = host.say
        self.figure, self.axis = QComboBox(), QComboBox()
        self.plot = CurvePlot("curves of both refrigerants")
        self.diagram = CycleDiagram(host.units)
        self.reading = words("quiet")
        self._over = named("o&ver", self.axis)
        self._save = QPushButton("Save picture...")
        self._stack = QStackedWidget()
        self._given: Assumptions | None = None
        self._found: Compared | None = None
        self._barometer_pa = 0.0
        self._axes: CurveAxes | None = None
        self._axis: tuple[object, ...] = ()
        self._fill()
        self._lay_out()
        for box in (self.figure, self.axis):
            box.currentIndexChanged.connect(self._draw)
        self.plot.read.connect(self._read)
        self.diagram.told.connect(self._say)
        self._save.clicked.connect(self.save_picture)

    @property
    def chosen(self) -> Figure | None:
        """The figure whose curves are shown; None for the diagram."""
        found: Figure | None = self.figure.currentData()
        return found

    def show_answer(self, given: Assumptions | None, found: Compared | None, barometer_pa: float) -> None:
        """Draw for other conditions."""
        self._given, self._found, self._barometer_pa = given, found, barometer_pa
        self._draw()

    def _draw(self) -> None:
        figure = self.chosen
        for widget in (self.axis, self._over, self.reading, self._save):
            widget.setVisible(figure is not None)
        self._stack.setCurrentWidget(self.diagram if figure is None else self.plot)
        if figure is None:
            self._draw_cycles()
        else:
            self._draw_curves(figure)

    def _draw_cycles(self) -> None:
        self.diagram.show_refrigerants(*BOTH)
        sides = () if self._found is None else self._found.sides
        self.diagram.show_cycles(
            *(
                DrawnCycle(side.cycle, side.refrigerant, colour, numbered=False)
                for side, colour in zip(sides, theme.CURVES, strict=False)
                if side.cycle is not None
            )
        )

    def _draw_curves(self, figure: Figure) -> None:
        along, as_pressure = AXES[self.axis.currentIndex()]
        axes = CurveAxes(self._units, self._barometer_pa, figure, along, as_pressure)
        found = () if self._given is None else curves(self._given, figure, along)
        axis = axes.along, axes.as_pressure, self._units.system
        moved, self._axis, self._axes = axis != self._axis, axis, axes
        self.plot.show_content(
            _plotted(axes, found), self._entered(axes) if found else (), axes.x_label, axes.y_label
        )
        if not found:
            self.reading.setText(NO_CURVES)
        elif moved or self.plot.at is None:
            assert self._given is not None
            self.plot.move_to(axes.place(self._given, BOTH[0]))

    def _entered(self, axes: CurveAxes) -> list[PlottedPoints]:
        """The conditions in the fields as a point on each curve."""
        points = []
        for number, side in enumerate(() if self._found is None else self._found.sides):
            value = side.figure(axes.figure)
            if value is None or self._given is None:
                continue
            x = np.array([axes.place(self._given, side.refrigerant)])
            told = (f"{side.refrigerant} under the conditions entered",)
            y = axes.y(np.array([value]))
            points.append(PlottedPoints("", theme.CURVES[number], x, y, told, SYMBOLS[number]))
        return points

    def _read(self, at: float) -> None:
        if self._axes is not None:
            self.reading.setText(self._axes.reading(at, self.plot.values()))

    def save_picture(self) -> None:
        """Ask for a place and save the curves there."""
        told = ask_and_save(self, self.plot, f"{self.figure.currentText().lower()}.png")
        if told:
            self._say(told)

    def _fill(self) -> None:
        for figure in Figure:
            self.figure.addItem(_entry(figure), figure)
            place = self.figure.count() - 1
            self.figure.setItemData(place, figure.full_name, Qt.ItemDataRole.ToolTipRole)
        self.figure.insertSeparator(self.figure.count())
        self.figure.addItem(DIAGRAM, None)
        self.figure.setCurrentIndex(list(Figure).index(Figure.COP))
        for along, as_pressure in AXES:
            self.axis.addItem(f"{along} {Kind.PRESSURE if as_pressure else Kind.TEMPERATURE}")

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setSpacing(6)
        row.addWidget(named("S&how", self.figure))
        row.addWidget(self.figure, stretch=2)
        row.addWidget(self._over)
        row.addWidget(self.axis, stretch=3)
        for box in (self.figure, self.axis):
            box.setMinimumContentsLength(8)
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self._stack.addWidget(self.plot)
        self._stack.addWidget(self.diagram)
        self._save.setObjectName("link")
        foot = QHBoxLayout()
        foot.addWidget(self.reading, stretch=1)
        foot.addWidget(self._save)
        self.body.addLayout(row)
        self.body.addWidget(self._stack, stretch=1)
        self.body.addLayout(foot)
        self._stack.setMinimumHeight(260)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)


def _plotted(axes: CurveAxes, found: tuple[Curve, ...]) -> list[PlottedCurve]:
    return [
        PlottedCurve(
            curve.refrigerant, theme.CURVES[number], axes.x(curve), axes.y(curve.values), number == 1
        )
        for number, curve in enumerate(found)
    ]


def _entry(figure: Figure) -> str:
    """A figure in the list: of a pressure or temperature its title alone does not say that it is one."""
    if figure.kind in (Kind.PRESSURE, Kind.TEMPERATURE):
        return f"{figure.title} {figure.kind}"
    return figure.title
