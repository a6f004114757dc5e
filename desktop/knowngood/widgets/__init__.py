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
    from knowngood.widgets.pressure_enthalpy import CyclePath, IsoFamily, IsoLine, PressureEnthalpyPlot
    from knowngood.widgets.time_plot import Curve, PlotPanel, TimePlot

__all__ = [
    "Card",
    "Curve",
    "CyclePath",
    "EmptyState",
    "IsoFamily",
    "IsoLine",
    "PageFrame",
    "PlaneEllipse",
    "PlaneView",
    "PlotPanel",
    "PressureEnthalpyPlot",
    "QuantityEdit",
    "RangeStrip",
    "RangeStripList",
    "ResponsePlane",
    "StripRow",
    "TimePlot",
]

_LATE = {
    **dict.fromkeys(("Curve", "PlotPanel", "TimePlot"), "time_plot"),
    **dict.fromkeys(("CyclePath", "IsoFamily", "IsoLine", "PressureEnthalpyPlot"), "pressure_enthalpy"),
}


def __getattr__(name: str) -> Any:
    if name in _LATE:
        return getattr(importlib.import_module(f"{__name__}.{_LATE[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
