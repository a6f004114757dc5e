"""Shared widgets. The plots are loaded at first use: pyqtgraph costs a quarter of a second."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from knowngood.widgets.card import Card
from knowngood.widgets.empty import EmptyState
from knowngood.widgets.page_frame import PageFrame
from knowngood.widgets.quantity_edit import QuantityEdit
from knowngood.widgets.range_strip import RangeStrip, RangeStripList, StripRow
from knowngood.widgets.response_plane import PlaneEllipse, PlaneView, ResponsePlane

if TYPE_CHECKING:
    from knowngood.widgets.curve_plot import CurvePlot, PlottedCurve, PlottedPoints
    from knowngood.widgets.cycle_diagram import CycleDiagram, DrawnCycle
    from knowngood.widgets.time_plot import (
        Annotation,
        Band,
        CursorReading,
        Curve,
        CurveDifference,
        CurveReading,
        Line,
        Measurement,
        PlotPanel,
        TimePlot,
    )

__all__ = [
    "Annotation",
    "Band",
    "Card",
    "CursorReading",
    "Curve",
    "CurveDifference",
    "CurvePlot",
    "CurveReading",
    "CycleDiagram",
    "DrawnCycle",
    "EmptyState",
    "Line",
    "Measurement",
    "PageFrame",
    "PlaneEllipse",
    "PlaneView",
    "PlotPanel",
    "PlottedCurve",
    "PlottedPoints",
    "QuantityEdit",
    "RangeStrip",
    "RangeStripList",
    "ResponsePlane",
    "StripRow",
    "TimePlot",
]

_TIME_PLOT = (
    "Annotation",
    "Band",
    "Curve",
    "CurveDifference",
    "CurveReading",
    "CursorReading",
    "Line",
    "Measurement",
    "PlotPanel",
    "TimePlot",
)
_LATE = {
    **dict.fromkeys(_TIME_PLOT, "time_plot"),
    **dict.fromkeys(("CurvePlot", "PlottedCurve", "PlottedPoints"), "curve_plot"),
    **dict.fromkeys(("CycleDiagram", "DrawnCycle"), "cycle_diagram"),
}


def __getattr__(name: str) -> Any:
    if name in _LATE:
        return getattr(importlib.import_module(f"{__name__}.{_LATE[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
