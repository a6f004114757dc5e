"""The curves themselves. On a screen they are stroked in its own pixels with the thinnest pen.

Qt draws a pen of one pixel a hundred times faster than any wider one, antialiased or not, so a wider line is
several thin ones beside each other. Paper and files get true widths: there time does not matter.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QLineF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen

from knowngood.plotting.records import Line
from knowngood.plotting.scales import Across, Upright
from knowngood.plotting.strokes import DENSE, Columns, dashed, runs, upright
from knowngood.widgets import theme

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood.plotting.series import TimeAxis
    from knowngood.plotting.traces import Trace
    from knowngood.widgets.timeplot.sheet import Sheet

WIDTH_PX = 1.5
_DASHES = {Line.DASHED: (7.0, 4.0), Line.DOTTED: (2.0, 3.0)}
_PALE = 0.55
_SEEN_PX = 3.0
_DOT_PX = 2.0
GAP_TICK_PX = 4.0
_FAR = 20
_TRIANGLE = ((0.0, -1.0), (0.87, 0.5), (-0.87, 0.5))
"""Where the thin lines of a wider one lie: as wide in every direction."""


class CurveStrokes:
    """Strokes all curves of a sheet.

    Parameters
    ----------
    screen_scale
        Pixels of the screen for each unit of the sheet; None for paper and files.
    """

    def __init__(self, painter: QPainter, sheet: Sheet, screen_scale: float | None) -> None:
        self._painter, self._sheet = painter, sheet
        self._scale = screen_scale or 1.0
        self._fine = screen_scale is None
        self._columns: dict[tuple[int, float], Columns] = {}
        self._lines: Any = pg.Qt.internals.PrimitiveArray(QLineF, 4)

    def paint(self) -> None:
        """Stroke every curve within its panel."""
        painter = self._painter
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if not self._fine:
            # The picture's own scale is undone: only untransformed lines take the fast way.
            painter.scale(1.0 / self._scale, 1.0 / self._scale)
        for place, panel in enumerate(self._sheet.traces.panels):
            box = self._sheet.layout.panels[place]
            parts = (box.left, box.top - 1.0, box.width, box.height + 1.0)
            painter.setClipRect(QRectF(*(self._scale * part for part in parts)))
            scale = self._scaled(self._sheet.uprights[place])
            for trace in panel.traces:
                self._stroke(trace, scale)
                self._tick_gaps(trace, scale)
        painter.restore()

    def _stroke(self, trace: Trace, scale: Upright) -> None:
        across = self._across(trace.shift_s)
        axis = trace.series.axis
        start, stop = axis.within(across.start_s, across.end_s)
        if stop - start <= DENSE * across.width:
            self._join(trace, across, scale, start, stop)
            return
        columns = self._columns_of(axis, trace.shift_s, across)
        envelope = trace.series.pyramid.envelope(columns.stretches)
        lines = upright(columns, envelope, across, scale, self._thick)
        if trace.curve.line in _DASHES:
            on, off = _DASHES[trace.curve.line]
            lines = dashed(lines, on * self._scale, off * self._scale)
        self._painter.setPen(self._pen(trace, Line.SOLID, 1.0))
        self._draw_lines(self._within_reach(lines, scale))

    def _join(self, trace: Trace, across: Across, scale: Upright, start: int, stop: int) -> None:
        time_s = trace.series.axis.moments.part(start, stop)
        values = trace.series.values.part(start, stop)
        x, y = across.x(time_s), self._near(scale.y(values), scale)
        self._painter.setPen(self._pen(trace, trace.curve.line, WIDTH_PX))
        alone = []
        for begin, end in runs(values, trace.series.axis.broken(start, stop)):
            if end - begin == 1:
                alone.append(begin)
            else:
                self._polyline(pg.functions.arrayToQPolygonF(x[begin:end], y[begin:end]))
        self._dots(trace, x[alone], y[alone])

    def _tick_gaps(self, trace: Trace, scale: Upright) -> None:
        """Ticks at the foot of the panel where samples are missing for less than a pixel or two shows."""
        gaps = trace.series.gaps
        if not len(gaps):
            return
        across = self._across(trace.shift_s)
        count = max(round(across.width), 1)
        edges_s = np.linspace(across.start_s, across.end_s, count + 1)
        found = np.flatnonzero(gaps.thin(edges_s, _SEEN_PX * (edges_s[1] - edges_s[0])))
        x = np.floor(across.left + found * across.width / count) + 0.5
        foot = np.full(len(x), scale.bottom)
        self._painter.setPen(self._pen(trace, Line.SOLID, 1.0))
        self._draw_lines(np.column_stack((x, foot - GAP_TICK_PX * self._scale, x, foot)))

    def _polyline(self, points: Any) -> None:
        painter = self._painter
        if self._fine:
            painter.drawPolyline(points)
            return
        reach = (self._thick - 1.0) / 2
        for x, y in _TRIANGLE:
            painter.translate(reach * x, reach * y)
            painter.drawPolyline(points)
            painter.translate(-reach * x, -reach * y)

    def _dots(self, trace: Trace, x: NDArray[np.float64], y: NDArray[np.float64]) -> None:
        """Samples alone between gaps are small squares; a line of no length would not show."""
        side = _DOT_PX * self._scale
        self._painter.setPen(self._pen(trace, Line.SOLID, _DOT_PX))
        for off in [0.0] if self._fine else np.arange(round(side)) - (side - 1.0) / 2:
            self._draw_lines(np.column_stack((x + off, y - side / 2, x + off, y + side / 2)))

    def _draw_lines(self, lines: NDArray[np.float64]) -> None:
        if len(lines):
            self._lines.resize(len(lines))
            self._lines.ndarray()[:] = lines
            self._painter.drawLines(*self._lines.drawargs())

    @property
    def _thick(self) -> float:
        return WIDTH_PX * self._scale

    def _pen(self, trace: Trace, line: Line, width: float) -> QPen:
        pen = QPen(ink(trace), width if self._fine else 1.0)
        pen.setCosmetic(not self._fine)
        pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        if line in _DASHES:
            pen.setDashPattern([part * self._scale for part in _DASHES[line]])
        return pen

    def _across(self, shift_s: float) -> Across:
        """The view on a curve's own clock, in pixels of the screen."""
        seen = self._sheet.across
        left, width = seen.left * self._scale, seen.width * self._scale
        return Across(seen.start_s - shift_s, seen.end_s - shift_s, left, width)

    def _scaled(self, scale: Upright) -> Upright:
        return Upright(scale.low, scale.high, scale.bottom * self._scale, scale.height * self._scale)

    def _columns_of(self, axis: TimeAxis, shift_s: float, across: Across) -> Columns:
        key = id(axis), shift_s
        if key not in self._columns:
            self._columns[key] = Columns.of(axis, across, max(round(across.width), 1))
        return self._columns[key]

    def _within_reach(self, lines: NDArray[np.float64], scale: Upright) -> NDArray[np.float64]:
        lines[:, 1::2] = self._near(lines[:, 1::2], scale)
        return lines

    def _near(self, y: NDArray[np.float64], scale: Upright) -> NDArray[np.float64]:
        """Not so far beyond the panel that Qt's whole numbers overflow."""
        far = _FAR * scale.height
        clipped: NDArray[np.float64] = y.clip(scale.bottom - far, scale.bottom + far)
        return clipped


def ink(trace: Trace) -> QColor:
    """The colour of a curve; a pale one is mixed with the paper."""
    colour = QColor(trace.curve.colour)
    if not trace.curve.pale:
        return colour
    paper = QColor(theme.CARD)
    parts = zip(_rgb(colour), _rgb(paper), strict=True)
    return QColor(*(round(_PALE * part + (1 - _PALE) * ground) for part, ground in parts))


def dash_pen(trace: Trace, width: float) -> QPen:
    """A pen for a sample of a curve's line beside its name."""
    pen = QPen(ink(trace), width)
    if trace.curve.line in _DASHES:
        pen.setDashPattern([part / width for part in _DASHES[trace.curve.line]])
    return pen


def _rgb(colour: QColor) -> tuple[int, int, int]:
    return colour.red(), colour.green(), colour.blue()
