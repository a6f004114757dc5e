"""Curves and points over one axis, with a line that reads the curves off."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from knowngood.widgets import theme
from knowngood.widgets.picture import drawn

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray
    from PySide6.QtGui import QImage, QKeyEvent

_STEPS = 100
"""An arrow key moves the reading line by this part of the axis."""

_REACH_PX = 12.0
_SYMBOLS = {"o": "\N{BLACK CIRCLE}", "t1": "\N{BLACK UP-POINTING TRIANGLE}"}


@dataclass(frozen=True, eq=False)
class PlottedCurve:
    """One line in display units, ``x`` rising, both of shape (n,); NaN leaves a gap."""

    name: str
    colour: str
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    dashed: bool = False


@dataclass(frozen=True, eq=False)
class PlottedPoints:
    """Points in display units, shape (n,), with the words that are shown when the mouse is at one.

    ``symbol`` is ``o`` for a circle or ``t1`` for a triangle; hollow ones stand back.
    """

    name: str
    colour: str
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    words: tuple[str, ...] = ()
    symbol: str = "o"
    hollow: bool = False


class CurvePlot(QWidget):
    """Draws curves and points; a reading line follows the mouse and the arrow keys.

    Where there are no curves, the arrow keys step from point to point.

    Attributes
    ----------
    read
        Signal with the place of the reading line on the axis, in display units.
    pointed
        Signal with the words of the point under the mouse, empty away from all.
    """

    read = Signal(float)
    pointed = Signal(str)

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._canvas = pg.GraphicsLayoutWidget()
        self._canvas.setBackground(theme.CARD)
        self._canvas.setAntialiasing(True)
        self._canvas.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self._canvas.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._canvas.ci.setContentsMargins(0, 0, 6, 0)
        self._plot: Any = self._canvas.addPlot()
        self._line = pg.InfiniteLine(angle=90, pen=pg.mkPen(theme.QUIET, style=Qt.PenStyle.DotLine))
        self._ring = pg.ScatterPlotItem(size=16, brush=None, pen=pg.mkPen(theme.INK, width=1.4))
        self._legend = QLabel()
        self._legend.setObjectName("quiet")
        self._legend.setWordWrap(True)
        self._legend.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._items: list[Any] = []
        self._curves: tuple[PlottedCurve, ...] = ()
        self._points: tuple[PlottedPoints, ...] = ()
        self._at: float | None = None
        self._stepped: int | None = None
        self._lay_out(name)

    def sizeHint(self) -> QSize:  # noqa: N802 - Qt's name
        """A modest wish: the plot takes whatever room a page has left."""
        return QSize(460, 300)

    @property
    def at(self) -> float | None:
        """Where the reading line stands, in display units; None before it was placed."""
        return self._at

    def show_content(
        self,
        curves: Sequence[PlottedCurve],
        points: Sequence[PlottedPoints],
        x_label: str,
        y_label: str,
    ) -> None:
        """Draw other curves and points; the reading line stays where it lies on the new axis."""
        for item in self._items:
            self._plot.removeItem(item)
        self._items = []
        self._curves, self._points = tuple(curves), tuple(points)
        self._stepped = None
        self._ring.clear()
        for curve in self._curves:
            self._add(self._drawn_curve(curve))
        for cloud in self._points:
            self._add(self._drawn_points(cloud))
        self._plot.setLabel("bottom", x_label, color=theme.QUIET)
        self._plot.setLabel("left", y_label, color=theme.QUIET)
        self._plot.autoRange(padding=0.04)
        self._legend.setText(_legend(self._curves, self._points))
        self._line.setVisible(bool(self._curves))
        if self._at is not None and self._curves:
            left, right = self._across()
            self.move_to(min(max(self._at, left), right))

    def move_to(self, x: float) -> None:
        """Place the reading line."""
        self._at = x
        self._line.setPos(x)
        self.read.emit(x)

    def values(self) -> tuple[tuple[str, float | None], ...]:
        """What each curve has at the reading line, by its name; None where it does not reach."""
        if self._at is None:
            return tuple((curve.name, None) for curve in self._curves)
        return tuple((curve.name, _value(curve, self._at)) for curve in self._curves)

    def picture(self) -> QImage:
        """The plot as it stands with its legend, for paper."""
        return drawn(self)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 - Qt's name
        """Move the reading line with the arrow keys, and to the ends with Home and End."""
        if not self._curves and event.key() in (Qt.Key.Key_Left, Qt.Key.Key_Right):
            self._step(1 if event.key() == Qt.Key.Key_Right else -1)
            return
        left, right = self._across()
        at = self._at if self._at is not None else (left + right) / 2.0
        step = (right - left) / _STEPS
        places = {
            Qt.Key.Key_Left: at - step,
            Qt.Key.Key_Right: at + step,
            Qt.Key.Key_Home: left,
            Qt.Key.Key_End: right,
        }
        place = places.get(Qt.Key(event.key()))
        if place is None or not self._curves:
            super().keyPressEvent(event)
            return
        self.move_to(min(max(place, left), right))

    def _step(self, by: int) -> None:
        """Go on to the next point from left to right, and tell its words."""
        told = sorted(
            (float(x), float(y), words)
            for cloud in self._points
            for x, y, words in zip(cloud.x, cloud.y, cloud.words, strict=False)
        )
        if not told:
            return
        start = (-1 if by > 0 else 0) if self._stepped is None else self._stepped
        self._stepped = (start + by) % len(told)
        x, y, words = told[self._stepped]
        self._ring.setData([x], [y])
        self.pointed.emit(words)

    def _across(self) -> tuple[float, float]:
        known = [curve.x[np.isfinite(curve.x)] for curve in self._curves]
        known = [x for x in known if x.size]
        if not known:
            return 0.0, 0.0
        return float(min(x[0] for x in known)), float(max(x[-1] for x in known))

    def _drawn_curve(self, curve: PlottedCurve) -> Any:
        style = Qt.PenStyle.DashLine if curve.dashed else Qt.PenStyle.SolidLine
        pen = pg.mkPen(curve.colour, width=2.0, style=style)
        return pg.PlotCurveItem(curve.x, curve.y, pen=pen, connect="finite")

    def _drawn_points(self, cloud: PlottedPoints) -> Any:
        return pg.ScatterPlotItem(
            cloud.x,
            cloud.y,
            symbol=cloud.symbol,
            size=9,
            brush=pg.mkBrush(None) if cloud.hollow else pg.mkBrush(cloud.colour),
            pen=pg.mkPen(cloud.colour, width=1.2),
        )

    def _add(self, item: Any) -> None:
        self._plot.addItem(item)
        self._items.append(item)

    def _moved(self, place: Any) -> None:
        box = self._plot.getViewBox()
        if not self._plot.sceneBoundingRect().contains(place):
            return
        inside = box.mapSceneToView(place)
        if self._curves:
            left, right = self._across()
            self.move_to(min(max(float(inside.x()), left), right))
        if self._points:
            self.pointed.emit(self._words_at(float(inside.x()), float(inside.y())))

    def _words_at(self, x: float, y: float) -> str:
        """The words of the nearest point within reach of the mouse."""
        across, up = self._plot.getViewBox().viewPixelSize()
        best, words = _REACH_PX, ""
        for cloud in self._points:
            if not cloud.words:
                continue
            apart = np.hypot((cloud.x - x) / across, (cloud.y - y) / up)
            nearest = int(np.argmin(apart))
            if apart[nearest] < best:
                best, words = float(apart[nearest]), cloud.words[nearest]
        return words

    def _lay_out(self, name: str) -> None:
        self._plot.setMenuEnabled(False)
        self._plot.hideButtons()
        self._plot.setMouseEnabled(x=False, y=False)
        self._plot.showGrid(x=True, y=True, alpha=0.12)
        for side in ("left", "bottom"):
            axis = self._plot.getAxis(side)
            axis.setPen(pg.mkPen(theme.EDGE))
            axis.setTextPen(pg.mkPen(theme.QUIET))
            axis.enableAutoSIPrefix(False)
        self._plot.addItem(self._line, ignoreBounds=True)
        self._plot.addItem(self._ring, ignoreBounds=True)
        self._line.setVisible(False)
        self._plot.scene().sigMouseMoved.connect(self._moved)
        self.setAccessibleName(name)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(2)
        layout.addWidget(self._legend)
        layout.addWidget(self._canvas, stretch=1)


def _value(curve: PlottedCurve, x: float) -> float | None:
    """The value of a curve between its points; None outside and at a gap."""
    known = np.isfinite(curve.x) & np.isfinite(curve.y)
    if not known.any() or not curve.x[known][0] <= x <= curve.x[known][-1]:
        return None
    return float(np.interp(x, curve.x[known], curve.y[known]))


def _legend(curves: Sequence[PlottedCurve], points: Sequence[PlottedPoints]) -> str:
    entries = [
        (
            curve.colour,
            "\N{BOX DRAWINGS HEAVY DOUBLE DASH HORIZONTAL}" * 2 if curve.dashed else "\u2501\u2501",
            curve.name,
        )
        for curve in curves
    ]
    entries += [(one.colour, _mark(one), one.name) for one in points if one.name]
    # The two ends of a range have one name and one look: they are told once. Lines break between entries.
    return " &nbsp;&nbsp; ".join(
        f'<span style="color:{colour}">{mark}</span>&nbsp;{escape(name).replace(" ", "&nbsp;")}'
        for colour, mark, name in dict.fromkeys(entries)
    )


def _mark(points: PlottedPoints) -> str:
    hollow = {"o": "\N{WHITE CIRCLE}", "t1": "\N{WHITE UP-POINTING TRIANGLE}"}
    return (hollow if points.hollow else _SYMBOLS)[points.symbol]
