"""A session, and one laid over it, as the plot widget wants it: curves in display units, marks, bands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood.widgets import Band, Curve, Line, PlotPanel, TimePlot
from knowngood_sessions.channel_layout import plots
from knowngood_sessions.traces import measure_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from knowngood.formatting import System
    from knowngood.widgets.time_plot import Traces
    from knowngood_sessions.channel_layout import Layout, Placed, Plot
    from knowngood_sessions.expected_bands import ExpectedBand
    from knowngood_sessions.gather import Session

SLOW_SAMPLES = 400_000
"""Samples above which curves are made ready off the GUI thread."""


@dataclass(frozen=True, slots=True)
class Overlay:
    """Another session, and what its times are moved by."""

    session: Session
    shift_s: float


@dataclass(frozen=True, slots=True)
class Ready:
    """What is to be drawn: the plots in words, the panels made of them, and the moments (n,) they show.

    ``drawable`` is what `TimePlot.set_prepared` takes, once.
    """

    plots: tuple[Plot, ...]
    panels: tuple[PlotPanel, ...]
    time_s: NDArray[np.float64]
    drawable: Traces


def ready(session: Session, overlay: Overlay | None, layout: Layout, system: System) -> Ready:
    """Make the curves ready; this touches no widget and can be done on any thread."""
    found = plots(session.traces, layout, system, session.barometer_pa)
    panels = tuple(_panel(one, overlay, system) for one in found)
    time_s = session.recording.time_s
    return Ready(found, panels, time_s, TimePlot.prepared(time_s, panels))


def bands(plot: Plot, expected: Sequence[ExpectedBand]) -> tuple[Band, ...]:
    """The expected ranges of the curves on a plot."""
    by_key = {one.trace.key: one for one in plot.placed}
    return tuple(_band(by_key[one.key], one) for one in expected if one.key in by_key)


def _panel(plot: Plot, overlay: Overlay | None, system: System) -> PlotPanel:
    unit = f", {plot.unit}" if plot.unit else ""
    own = [_curve(one) for one in plot.placed]
    laid = [] if overlay is None else [*_laid_over(plot.placed, overlay, system)]
    return PlotPanel(f"{plot.title}{unit}", (*laid, *own), plot.share)


def _curve(placed: Placed) -> Curve:
    measure = placed.on_axis
    return Curve(
        _name(placed),
        placed.trace.values,
        placed.trace.colour,
        decimals=measure.decimals,
        key=placed.trace.key,
        factor=measure.factor,
        offset=measure.offset,
    )


def _name(placed: Placed) -> str:
    return f"{placed.name} ({placed.label})" if placed.power else placed.name


def _laid_over(placed: Sequence[Placed], overlay: Overlay, system: System) -> list[Curve]:
    """The same channels of the other session, in the same unit and on the same power of ten."""
    other = overlay.session
    by_key = {one.key: one for one in other.traces}
    curves = []
    for one in placed:
        trace = by_key.get(one.trace.key)
        if trace is None or trace.what != one.trace.what or trace.symbol != one.trace.symbol:
            continue
        measure = type(one)(trace, measure_of(trace, system, other.barometer_pa), one.power).on_axis
        curves.append(
            Curve(
                f"{trace.title}, other",
                trace.values,
                one.trace.colour,
                time_s=other.recording.time_s,
                shift_s=overlay.shift_s,
                line=Line.DASHED,
                pale=True,
                decimals=measure.decimals,
                key=f"other: {trace.key}",
                factor=measure.factor,
                offset=measure.offset,
            )
        )
    return curves


def _band(placed: Placed, expected: ExpectedBand) -> Band:
    measure = placed.on_axis
    (low, high), (inner_low, inner_high) = (
        (measure.of(one), measure.of(other)) for one, other in (expected.outer, expected.inner)
    )
    return Band(
        low,
        high,
        inner_low,
        inner_high,
        expected.start_s,
        expected.end_s,
        f"{placed.name}, {expected.whose}",
        placed.trace.colour,
    )
