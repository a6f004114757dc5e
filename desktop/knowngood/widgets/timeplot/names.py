"""The curves' names at the ends of their lines, each with a piece of its line and its value at the cursor."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QLineF
from PySide6.QtGui import QColor, QPainter

from knowngood.formatting import MISSING
from knowngood.plotting.scales import number
from knowngood.plotting.words import apart
from knowngood.widgets import theme
from knowngood.widgets.timeplot.sheet import LEADER_PX
from knowngood.widgets.timeplot.strokes import WIDTH_PX, dash_pen

if TYPE_CHECKING:
    from knowngood.plotting.layout import Box
    from knowngood.plotting.scales import Upright
    from knowngood.plotting.traces import PanelTraces, Trace
    from knowngood.widgets.timeplot.sheet import Sheet

_VALUE_GAP_PX = 8.0


def paint_names(painter: QPainter, sheet: Sheet, cursor_s: float | None) -> None:
    """Write the names of all curves, with values when there is a cursor and room for them."""
    at_s = cursor_s if sheet.with_values else None
    parts = zip(sheet.traces.panels, sheet.layout.panels, sheet.uprights, strict=True)
    for panel, box, upright in parts:
        _paint_panel(painter, sheet, panel, box, upright, at_s)


def _paint_panel(
    painter: QPainter, sheet: Sheet, panel: PanelTraces, box: Box, upright: Upright, at_s: float | None
) -> None:
    ends = [_end(sheet, trace, box, upright) for trace in panel.traces]
    half = sheet.letters.height / 2
    # Half a line may reach into the heading's strip: beside it there is nothing.
    middles = apart(ends, sheet.letters.height - 1.0, box.top - 2 * half + 4.0, box.bottom - half + 2.0)
    for trace, end, middle in zip(panel.traces, ends, middles, strict=True):
        if middle is not None:
            _paint_name(painter, sheet, trace, end, middle, at_s)
    hidden = middles.count(None)
    if hidden:
        y = box.top - sheet.letters.height / 2
        sheet.letters.draw_to(painter, sheet.layout.names.left - 4.0, y, f"+{hidden}", theme.QUIET)


def _end(sheet: Sheet, trace: Trace, box: Box, upright: Upright) -> float:
    """The height at which a line leaves the view."""
    value = trace.last_before(sheet.view.end_s)
    return box.bottom if value is None else upright.y(min(max(value, upright.low), upright.high))


def _paint_name(
    painter: QPainter, sheet: Sheet, trace: Trace, end: float, middle: float, at_s: float | None
) -> None:
    names = sheet.layout.names
    painter.setPen(dash_pen(trace, WIDTH_PX))
    painter.drawLine(QLineF(names.left + 1.0, end, names.left + LEADER_PX - 2.0, middle))
    left, right = names.left + LEADER_PX + 2.0, names.right - 2.0
    room = right - left
    if at_s is not None:
        text = _value(trace, at_s)
        sheet.letters.draw_to(painter, right, middle, text, theme.INK)
        room -= sheet.letters.width(text) + _VALUE_GAP_PX
    name = sheet.letters.shortened(trace.curve.name, room)
    sheet.letters.draw(painter, left, middle, name, readable(trace.curve.colour))


def _value(trace: Trace, at_s: float) -> str:
    found = trace.at(at_s)
    return MISSING if found is None else number(found[1], trace.curve.decimals)


def readable(colour: str) -> QColor:
    """A colour dark enough to read on white."""
    shown = QColor(colour)
    while shown.lightnessF() > 0.45:
        shown = shown.darker(112)
    return shown
