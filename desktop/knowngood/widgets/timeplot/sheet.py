"""All that one repaint needs: what is shown, where it lies, and how values lie across and up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood.plotting.layout import Layout, laid_out, lane_rows
from knowngood.plotting.scales import Across, Upright

if TYPE_CHECKING:
    from PySide6.QtCore import QSizeF

    from knowngood.plotting.marks import Marks
    from knowngood.plotting.traces import Traces
    from knowngood.plotting.view import View
    from knowngood.widgets.timeplot.lettering import Lettering

LEADER_PX = 14.0
"""From the end of a line to its name."""

_NARROW_PX = 440.0
_WIDEST_NAME_PX = 110.0


@dataclass(frozen=True, eq=False)
class Sheet:
    """One state of the plot on a canvas of one size."""

    traces: Traces
    view: View
    marks: Marks
    layout: Layout
    across: Across
    uprights: tuple[Upright, ...]
    letters: Lettering
    with_values: bool

    @classmethod
    def of(cls, traces: Traces, view: View, marks: Marks, size: QSizeF, letters: Lettering) -> Sheet:
        """Lay everything out."""
        width, height = size.width(), size.height()
        limits = [one.limits(view.start_s, view.end_s) for one in traces.panels]
        with_values = width >= _NARROW_PX
        names_width = _names_width(traces, letters, with_values=with_values)
        shares = [one.panel.share for one in traces.panels]
        rows = lane_rows(marks, height, len(shares))
        layout = laid_out(width, height, shares, rows, names_width)
        uprights = tuple(
            Upright(*both, box.bottom, box.height) for both, box in zip(limits, layout.panels, strict=True)
        )
        across = Across(view.start_s, view.end_s, layout.lane.left, layout.lane.width)
        return cls(traces, view, marks, layout, across, uprights, letters, with_values)


def _names_width(traces: Traces, letters: Lettering, *, with_values: bool) -> float:
    """Room for the longest name and for a value at the cursor [px]; the same whatever is in view."""
    names = [min(letters.width(trace.curve.name), _WIDEST_NAME_PX) for _, trace in traces]
    room = LEADER_PX + 6.0 + max(names, default=0.0)
    if not with_values or not names:
        return room
    return room + 10.0 + max(letters.width(_usual(trace.curve.decimals)) for _, trace in traces)


def _usual(decimals: int) -> str:
    """A text as wide as most values: four digits, or three before the point."""
    return f"888.{'8' * decimals}" if decimals else "8888"
