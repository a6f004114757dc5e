"""The pressure-enthalpy diagram: dome and iso-lines as a quiet ground, cycles drawn over them."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from knowngood.widgets import theme
from knowngood.widgets.picture import drawn

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from PySide6.QtGui import QImage, QMouseEvent

_PALE = 130
"""Opacity of the lines of the ground, of 255: the cycle must stand out."""

_NAME_REACH = 0.03
_WIDEST_VIEW = 1.6
_CLOSEST_VIEW = 0.01
_TICKS = tuple(digit * 10.0**power for power in range(-3, 6) for digit in (1, 2, 3, 4, 5, 6, 8))


@dataclass(frozen=True, eq=False)
class IsoLine:
    """A line of constant something: enthalpies and pressures in display units, shape (n,), and its name."""

    enthalpy: NDArray[np.float64]
    pressure: NDArray[np.float64]
    name: str = ""


@dataclass(frozen=True, eq=False)
class IsoFamily:
    """Lines of one kind in one colour.

    Their names stand where they cross a height of the window, ``names_up``, or else a place across it,
    ``names_across``; both are shares from 0 to 1.
    """

    title: str
    colour: str
    lines: tuple[IsoLine, ...]
    names_up: float | None = None
    names_across: float | None = None


@dataclass(frozen=True, eq=False)
class Ground:
    """What cycles are drawn over, in display units.

    ``window`` is what the whole diagram shows: least and most enthalpy, least and most pressure. Each dome
    comes with its colour; a name stands beside it.
    """

    domes: tuple[tuple[IsoLine, str], ...]
    families: tuple[IsoFamily, ...]
    window: tuple[float, float, float, float]
    enthalpy_unit: str
    pressure_unit: str


@dataclass(frozen=True, eq=False)
class CyclePath:
    """A cycle: its points in order, shape (n,), closed, in display units; ``marks`` name some of them."""

    name: str
    colour: str
    enthalpy: NDArray[np.float64]
    pressure: NDArray[np.float64]
    marks: tuple[tuple[float, float, str], ...] = ()
    dashed: tuple[tuple[float, float, float, float], ...] = field(default_factory=tuple)


class _PressureAxis(pg.AxisItem):  # type: ignore[misc]
    """A logarithmic axis with ticks at 1, 2, 3, 4, 5, 6 and 8 of each decade, so far as there is room."""

    def tickValues(self, least: float, most: float, size: float) -> Any:  # noqa: N802 - pyqtgraph's name
        inside = [math.log10(tick) for tick in _TICKS if least <= math.log10(tick) <= most]
        if len(inside) < 3:
            return [
                (
                    spacing,
                    [
                        math.log10(value)
                        for value in np.arange(
                            math.ceil(10**least / spacing) * spacing, 10**most + spacing / 2, spacing
                        )
                    ],
                )
                for spacing in [_round_step((10**most - 10**least) / 5)]
            ]
        apart, last = [], -math.inf
        for place in inside:
            if place - last >= 16.0 * (most - least) / max(size, 1.0):
                apart.append(place)
                last = place
        return [(1.0, apart)]

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:  # noqa: N802, ARG002
        return [f"{10.0**value:.4g}" for value in values]


class _Canvas(pg.GraphicsLayoutWidget):  # type: ignore[misc]
    """The drawing surface; tells of double clicks, wherever they fall."""

    double_clicked = Signal()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 - Qt's name
        super().mouseDoubleClickEvent(event)
        self.double_clicked.emit()


class PressureEnthalpyPlot(QWidget):
    """Draws a diagram that the wheel zooms and the mouse moves; a double click shows all of it again."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._canvas = _Canvas()
        self._canvas.setBackground(theme.CARD)
        self._canvas.setAntialiasing(True)
        self._canvas.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._canvas.setAccessibleName("pressure-enthalpy diagram")
        self._canvas.ci.setContentsMargins(0, 0, 4, 0)
        self._plot: Any = self._canvas.addPlot(axisItems={"left": _PressureAxis("left")})
        self._plot.setMenuEnabled(False)
        self._plot.hideButtons()
        for side in ("left", "bottom"):
            axis = self._plot.getAxis(side)
            axis.setPen(pg.mkPen(theme.EDGE))
            axis.setTextPen(pg.mkPen(theme.QUIET))
        self._ground: list[Any] = []
        self._cycle_items: list[Any] = []
        self._full: tuple[float, float, float, float] | None = None
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._canvas)
        self._canvas.double_clicked.connect(self.show_all)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """A modest wish: the diagram takes whatever room a page has left."""
        return QSize(520, 330)

    @property
    def canvas(self) -> Any:
        """The view that takes the mouse."""
        return self._canvas

    @property
    def names(self) -> tuple[str, ...]:
        """The names of lines that are written in the diagram."""
        return tuple(one.toPlainText() for one in self._ground if isinstance(one, pg.TextItem))

    @property
    def view(self) -> tuple[float, float, float, float]:
        """What is in view: least and most enthalpy, least and most pressure, in display units."""
        (left, right), (low, high) = self._plot.viewRange()
        return left, right, 10.0**low, 10.0**high

    def set_ground(self, ground: Ground) -> None:
        """Draw other domes and lines; cycles are taken away and the whole diagram comes into view."""
        self.set_cycles(())
        for item in self._ground:
            self._plot.removeItem(item)
        self._ground = []
        self._frame(ground.window)
        for family in ground.families:
            self._add_family(family)
        for number, (dome, colour) in enumerate(ground.domes):
            self._add_curve(dome.enthalpy, dome.pressure, colour, width=1.6, depth=-5)
            if dome.name:
                # On the side of the gas, and on that of the liquid: two names do not cover one another.
                self._name(dome, colour, len(dome.enthalpy) * (2 - number % 2) // 3)
        self._plot.setLabel("bottom", f"enthalpy, {ground.enthalpy_unit}", color=theme.QUIET)
        self._plot.setLabel("left", f"absolute pressure, {ground.pressure_unit}", color=theme.QUIET)
        self.show_all()

    def set_cycles(self, cycles: Sequence[CyclePath]) -> None:
        """Draw other cycles over the ground; the view stays."""
        for item in self._cycle_items:
            self._plot.removeItem(item)
        self._cycle_items = []
        for cycle in cycles:
            for x0, y0, x1, y1 in cycle.dashed:
                self._line(
                    np.array([x0, x1]), np.array([y0, y1]), cycle.colour, 1.3, self._cycle_items, dashed=True
                )
            self._line(cycle.enthalpy, cycle.pressure, cycle.colour, 2.2, self._cycle_items)
            self._mark(cycle)
        words = "; ".join(f"{one.name} with {len(one.marks)} points" for one in cycles)
        self._canvas.setAccessibleDescription(words)

    def show_all(self) -> None:
        """Bring the whole diagram into view."""
        if self._full is not None:
            left, right, low, high = self._full
            self._plot.setXRange(left, right, padding=0.0)
            self._plot.setYRange(low, high, padding=0.0)

    def show_part(self, left: float, right: float, low: float, high: float) -> None:
        """Bring a part into view: least and most enthalpy, least and most pressure, in display units."""
        self._plot.setXRange(left, right, padding=0.0)
        self._plot.setYRange(math.log10(low), math.log10(high), padding=0.0)

    def picture(self) -> QImage:
        """The diagram as it stands, for paper: see `knowngood.widgets.picture`."""
        return drawn(self)

    def _add_family(self, family: IsoFamily) -> None:
        """One item for all lines of a family: an item a line would make moving slow."""
        if not family.lines:
            return
        gap = np.array([np.nan])
        across = np.concatenate([part for line in family.lines for part in (line.enthalpy, gap)])
        up = np.concatenate([part for line in family.lines for part in (line.pressure, gap)])
        pale = QColor(family.colour)
        pale.setAlpha(_PALE)
        self._add_curve(across, up, pale, width=1.0, depth=-10)
        for line in family.lines:
            place = self._place_of_name(line, family)
            if place is not None:
                self._name(line, family.colour, place)

    def _place_of_name(self, line: IsoLine, family: IsoFamily) -> int | None:
        """The point of a line nearest to where its family is named; None where it does not come near."""
        if self._full is None or not line.name or not len(line.enthalpy):
            return None
        left, right, low, high = self._full
        across = (line.enthalpy - left) / (right - left)
        up = (np.log10(line.pressure) - low) / (high - low)
        wanted, along = family.names_across, across
        if family.names_up is not None:
            wanted, along = family.names_up, up
        if wanted is None:
            return None
        inside = (across > 0.0) & (across < 1.0) & (up > 0.0) & (up < 1.0)
        apart = np.where(inside, np.abs(along - wanted), np.inf)
        nearest = float(apart.min())
        if nearest > _NAME_REACH:
            return None
        # Of a level stretch the end on the side of the gas carries the name.
        return int(np.flatnonzero(apart <= nearest + 1e-3)[-1])

    def _add_curve(
        self,
        across: NDArray[np.float64],
        up: NDArray[np.float64],
        colour: QColor | str,
        *,
        width: float,
        depth: int,
    ) -> None:
        item = self._line(across, up, colour, width, self._ground)
        item.setZValue(depth)

    def _line(
        self,
        across: NDArray[np.float64],
        up: NDArray[np.float64],
        colour: QColor | str,
        width: float,
        kept: list[Any],
        *,
        dashed: bool = False,
    ) -> Any:
        style = Qt.PenStyle.DashLine if dashed else Qt.PenStyle.SolidLine
        item = pg.PlotCurveItem(
            across, np.log10(up), pen=pg.mkPen(colour, width=width, style=style), connect="finite"
        )
        self._plot.addItem(item, ignoreBounds=True)
        kept.append(item)
        return item

    def _name(self, line: IsoLine, colour: str, place: int) -> None:
        text = pg.TextItem(line.name, color=colour, anchor=(0.5, 0.5))
        font = QFont()
        font.setPointSizeF(7.0)
        text.setFont(font)
        text.setPos(float(line.enthalpy[place]), math.log10(float(line.pressure[place])))
        text.setZValue(-4)
        self._plot.addItem(text, ignoreBounds=True)
        self._ground.append(text)

    def _mark(self, cycle: CyclePath) -> None:
        if not cycle.marks:
            return
        spots = pg.ScatterPlotItem(
            [mark[0] for mark in cycle.marks],
            [math.log10(mark[1]) for mark in cycle.marks],
            size=7,
            brush=cycle.colour,
            pen=pg.mkPen(theme.CARD, width=1.0),
        )
        self._plot.addItem(spots, ignoreBounds=True)
        self._cycle_items.append(spots)
        centre = float(np.nanmean(cycle.enthalpy))
        middle = float(np.nanmean(np.log10(cycle.pressure)))
        for place, (x, y, name) in enumerate(cycle.marks):
            # Evaporator outlet and suction often lie close together: the first stands to the left.
            leftwards = x < centre or (place == 0 and len(cycle.marks) > 4)
            anchor = (1.25 if leftwards else -0.25, 1.15 if math.log10(y) > middle else -0.15)
            text = pg.TextItem(name, color=cycle.colour, anchor=anchor)
            text.setPos(x, math.log10(y))
            self._plot.addItem(text, ignoreBounds=True)
            self._cycle_items.append(text)

    def _frame(self, window: tuple[float, float, float, float]) -> None:
        left, right = window[:2]
        low, high = math.log10(window[2]), math.log10(window[3])
        self._full = left, right, low, high
        width, height = right - left, high - low
        # Nobody gets lost: the view cannot leave the diagram by more than a part of it.
        self._plot.getViewBox().setLimits(
            xMin=left - 0.3 * width,
            xMax=right + 0.3 * width,
            yMin=low - 0.3 * height,
            yMax=high + 0.3 * height,
            maxXRange=_WIDEST_VIEW * width,
            maxYRange=_WIDEST_VIEW * height,
            minXRange=_CLOSEST_VIEW * width,
            minYRange=_CLOSEST_VIEW * height,
        )


def _round_step(wanted: float) -> float:
    power = 10.0 ** math.floor(math.log10(wanted))
    return next(step * power for step in (1.0, 2.0, 5.0, 10.0) if step * power >= wanted)
