"""Shared widgets. The plot is loaded at first use: it brings pyqtgraph, which costs a quarter of a second."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from knowngood.widgets.card import Card
from knowngood.widgets.empty import EmptyState
from knowngood.widgets.quantity_edit import QuantityEdit
from knowngood.widgets.range_strip import RangeStrip, RangeStripList, StripRow
from knowngood.widgets.response_plane import PlaneEllipse, PlaneView, ResponsePlane

if TYPE_CHECKING:
    from knowngood.widgets.time_plot import Curve, PlotPanel, TimePlot

__all__ = [
    "Card",
    "Curve",
    "EmptyState",
    "PlaneEllipse",
    "PlaneView",
    "PlotPanel",
    "QuantityEdit",
    "RangeStrip",
    "RangeStripList",
    "ResponsePlane",
    "StripRow",
    "TimePlot",
]

_LATE = ("Curve", "PlotPanel", "TimePlot")


def __getattr__(name: str) -> Any:
    if name in _LATE:
        from knowngood.widgets import time_plot

        return getattr(time_plot, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
