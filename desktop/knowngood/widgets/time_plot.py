"""Recorded channels over time: stacked plots with one time axis, windows shaded, events dashed."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from knowngood.formatting import clock
from knowngood.widgets import theme

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray


EVENT_HEIGHTS = (0.84, 0.74, 0.64, 0.54)
"""Where the words of events stand, as shares of the plot's height, one after the other."""


_WORD_SHARE, _MOST_HEADROOM = 0.12, 0.44


@dataclass(frozen=True)
class Curve:
    """One line: values in display units, shape (n,), over the time axis of the plot."""

    name: str
    values: NDArray[np.float64]
    colour: str


@dataclass(frozen=True)
class PlotPanel:
    """One of the stacked plots: a heading with its unit, and its curves; ``share`` is its relative height."""

    title: str
    curves: tuple[Curve, ...] = field(default_factory=tuple)
    share: int = 2


class _ClockAxis(pg.AxisItem):  # type: ignore[misc]
    """Time axis in minutes and seconds."""

    def tickStrings(self, values: list[float], scale: float, spacing: float) -> list[str]:  # noqa: N802, ARG002
        return [clock(value) for value in values]

    def tickSpacing(self, least: float, most: float, size: float) -> Any:  # noqa: N802
        wanted = (most - least) / max(size / 110.0, 1.0)
        steps = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14_400)
        step = next((one for one in steps if one >= wanted), max(steps))
        return [(step, 0)]


class _RoomyBox(pg.ViewBox):  # type: ignore[misc]
    """Leaves the upper ``headroom``, a share of its height, free of curves: words stand there."""

    headroom = 0.0

    def childrenBounds(self, *args: Any, **named: Any) -> Any:  # noqa: N802 - pyqtgraph's name
        across, up = super().childrenBounds(*args, **named)
        if up is not None and self.headroom:
            up = [up[0], up[1] + (up[1] - up[0]) * self.headroom / (1.0 - self.headroom)]
        return [across, up]


class TimePlot(QWidget):
    """Linked plots of one session. Millions of samples stay smooth: only what a pixel shows is drawn."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._canvas = pg.GraphicsLayoutWidget()
        self._canvas.setBackground(theme.CARD)
        self._canvas.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._canvas.ci.setContentsMargins(0, 0, 0, 0)
        self._canvas.ci.setSpacing(2)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._canvas)
        self._plots: list[Any] = []
        self._time_s: NDArray[np.float64] = np.empty(0)
        self._marks: list[tuple[Any, Any]] = []
        self._windows: tuple[tuple[float, float, str], ...] = ()
        self._events: tuple[tuple[float, str], ...] = ()

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """A modest wish: the plot takes whatever room a page has left."""
        return QSize(480, 170)

    @property
    def plots(self) -> tuple[Any, ...]:
        """The plot items, from top to bottom."""
        return tuple(self._plots)

    def set_panels(self, time_s: NDArray[np.float64], panels: Sequence[PlotPanel]) -> None:
        """Show other channels, ``time_s`` shape (n,) rising; windows and events stay."""
        shown = self.time_range()
        self._canvas.ci.clear()
        self._plots, self._marks = [], []
        self._time_s = time_s
        for row, panel in enumerate(panels):
            self._plots.append(self._make_plot(row, panel, last=row == len(panels) - 1))
            self._canvas.ci.layout.setRowStretchFactor(row, panel.share)
        for plot in self._plots[1:]:
            plot.setXLink(self._plots[0])
        self._draw_marks()
        if len(time_s) and self._plots:
            start, end = float(time_s[0]), float(time_s[-1])
            kept = shown is not None and start <= shown[0] < shown[1] <= end
            self._plots[0].setXRange(*(shown if kept and shown else (start, end)), padding=0)

    def set_windows(self, windows: Sequence[tuple[float, float, str]]) -> None:
        """Shade steady windows: start, end [s] and label."""
        self._windows = tuple(windows)
        self._draw_marks()

    def set_events(self, events: Sequence[tuple[float, str]]) -> None:
        """Mark events: moment [s] and words."""
        self._events = tuple(events)
        self._draw_marks()

    def time_range(self) -> tuple[float, float] | None:
        """The stretch of time shown, None while there is no plot."""
        if not self._plots:
            return None
        start, end = self._plots[0].viewRange()[0]
        return float(start), float(end)

    def zoom_to(self, start_s: float, end_s: float) -> None:
        """Show a stretch of time with some room around it."""
        if self._plots:
            room = max(0.15 * (end_s - start_s), 10.0)
            self._plots[0].setXRange(start_s - room, end_s + room, padding=0)

    def zoom_out(self) -> None:
        """Show the whole session."""
        if self._plots and len(self._time_s):
            self._plots[0].setXRange(float(self._time_s[0]), float(self._time_s[-1]), padding=0)

    def _make_plot(self, row: int, panel: PlotPanel, *, last: bool) -> Any:
        axes = {"bottom": _ClockAxis("bottom")}
        plot = self._canvas.addPlot(row=row, col=0, axisItems=axes, viewBox=_RoomyBox())
        plot.setMenuEnabled(False)
        plot.hideButtons()
        plot.setTitle(_heading(panel), size="9pt", color=theme.QUIET, justify="left")
        plot.showGrid(x=False, y=True, alpha=0.12)
        plot.setMouseEnabled(x=True, y=False)
        plot.enableAutoRange(axis="y")
        plot.setAutoVisible(y=True)
        left = plot.getAxis("left")
        left.setWidth(48)
        for axis in (left, plot.getAxis("bottom")):
            axis.setPen(pg.mkPen(theme.EDGE))
            axis.setTextPen(pg.mkPen(theme.QUIET))
        if not last:
            plot.hideAxis("bottom")
        plot.setDownsampling(auto=True, mode="peak")
        plot.setClipToView(True)
        for curve in panel.curves:
            # A pen of width 1 without antialiasing is ten times faster than any other.
            line = plot.plot(
                self._time_s,
                curve.values,
                pen=pg.mkPen(curve.colour, width=1 if len(curve.values) > 20_000 else 1.6),
                connect="finite",
                antialias=len(curve.values) <= 20_000,
            )
            line.setToolTip(curve.name)
        return plot

    def _draw_marks(self) -> None:
        for plot, item in self._marks:
            plot.removeItem(item)
        self._marks = []
        if self._plots:
            box = self._plots[0].getViewBox()
            box.headroom = _headroom(len(self._windows), len(self._events))
            box.updateAutoRange()
        for row, plot in enumerate(self._plots):
            for start, end, label in self._windows:
                self._add(plot, _shade(start, end, label if row == 0 else ""))
            for index, (at, words) in enumerate(self._events):
                # Events often lie close together: each word gets a line of its own.
                height = EVENT_HEIGHTS[index % len(EVENT_HEIGHTS)]
                self._add(plot, _dashed(at, words if row == 0 else "", height))

    def _add(self, plot: Any, item: Any) -> None:
        plot.addItem(item, ignoreBounds=True)
        self._marks.append((plot, item))


def _headroom(windows: int, events: int) -> float:
    """The share of a plot's height that the words of its marks take; never so much that it is lost."""
    if events:
        return min(1.0 - EVENT_HEIGHTS[min(events, len(EVENT_HEIGHTS)) - 1] + _WORD_SHARE, _MOST_HEADROOM)
    return _WORD_SHARE if windows else 0.0


def _heading(panel: PlotPanel) -> str:
    from html import escape

    names = "&nbsp;&nbsp;&nbsp;".join(
        f"<span style='color:{one.colour}'>{escape(one.name)}</span>" for one in panel.curves
    )
    return f"{escape(panel.title)}&nbsp;&nbsp;&nbsp;&nbsp;{names}"


def _shade(start: float, end: float, label: str) -> Any:
    region = pg.LinearRegionItem((start, end), movable=False, pen=pg.mkPen(None))
    colour = QColor(theme.BAND_OUTER)
    region.setBrush(colour)
    region.setZValue(-20)
    if label:
        text = pg.InfLineLabel(
            region.lines[0], label, position=0.97, color=theme.ACCENT, anchors=[(0, 0)] * 2
        )
        text.setZValue(10)
    return region


def _dashed(at: float, words: str, height: float) -> Any:
    return pg.InfiniteLine(
        at,
        angle=90,
        movable=False,
        pen=pg.mkPen(theme.EVENT, width=1, style=Qt.PenStyle.DashLine),
        label=words or None,
        labelOpts={
            "position": height,
            "color": theme.EVENT,
            "fill": pg.mkColor(255, 255, 255, 200),
            "anchors": [(0, 0)] * 2,
        },
    )
