"""The session's part of the report: the plot over time, and the steady windows with settled values."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.api import ReportSection
from knowngood.formatting import clock
from knowngood_refdata.records import Quantity
from knowngood_sessions.channel_layout import USUAL, plots
from knowngood_sessions.finding_details import moment_text, stage_text, threshold_text
from knowngood_sessions.findings_words import short_words
from knowngood_sessions.gather import load
from knowngood_sessions.svg import Curve, Mark, Panel, Shade, plot_svg

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood.formatting import System
    from knowngood_refdata.records import Findings, SteadyWindow
    from knowngood_refdata.store import Store
    from knowngood_sessions.gather import Session

_SHOWN = (Quantity.LOW_SIDE, Quantity.HIGH_SIDE, Quantity.SUPERHEAT, Quantity.SUBCOOLING, Quantity.VENT)
_IN_PLOT = (USUAL[0], USUAL[2])


def sections(store: Store, session_id: int, system: System) -> Sequence[ReportSection]:
    """The section for a session; an empty sequence when it has no samples."""
    session = load(store, session_id)
    if session.recording.time_s.size < 2:
        return []
    return [ReportSection("Session", 20, "".join(_html(session, system)))]


def session_svg(session: Session, system: System) -> str:
    """Pressures, superheat and subcooling over time, with windows and events."""
    panels = [
        Panel(
            f"{plot.title} ({plot.unit})",
            tuple(
                Curve(one.name, one.trace.colour, one.on_axis.array(one.trace.values)) for one in plot.placed
            ),
        )
        for plot in plots(session.traces, _IN_PLOT, system, session.barometer_pa)
    ]
    shades = [Shade(one.start_s, one.end_s, _named(one)) for one in session.findings.windows]
    marks = [Mark(one.at_s, short_words(one)) for one in session.findings.events]
    return plot_svg(session.derived.time_s, panels, shades, marks)


def _html(session: Session, system: System) -> Iterator[str]:
    yield session_svg(session, system)
    windows = session.findings.windows
    if windows:
        yield from _table(windows, system, session.barometer_pa)
    else:
        yield "<p>No steady window was found: the readings never settled for long enough.</p>"
    yield from _events(session.findings)
    yield from _further(session.findings, system, session.barometer_pa)


def _table(windows: Sequence[SteadyWindow], system: System, barometer_pa: float) -> Iterator[str]:
    heads = ("Steady window", "From, to", "Engine speed", "Fan stage", *(one.value for one in _SHOWN))
    yield "<table width='100%' cellspacing='0' cellpadding='2'><tr>"
    yield "".join(f"<th align='left'>{escape(one)}</th>" for one in heads) + "</tr>"
    for window in windows:
        cells = (
            _named(window),
            f"{clock(window.start_s)} to {clock(window.end_s)}",
            "not recorded" if window.engine_rpm is None else f"{window.engine_rpm:.0f} rpm",
            "not known" if window.fan_stage is None else stage_text(window),
            *(settled_text(window, one, system, barometer_pa) for one in _SHOWN),
        )
        yield "<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in cells) + "</tr>"
    yield "</table><p class='sheet'>Values are means over the window with their 95 % uncertainty.</p>"


def settled_text(window: SteadyWindow, quantity: Quantity, system: System, barometer_pa: float) -> str:
    """A settled value with its 95 % uncertainty, a dash when the window has none."""
    estimate = window.values.get(quantity)
    if estimate is None:
        return formatting.MISSING
    return formatting.estimate_text(estimate, quantity, system, barometer_pa=barometer_pa)


def _named(window: SteadyWindow) -> str:
    return f"{window.label}, by hand" if window.by_hand else window.label


def _events(found: Findings) -> Iterator[str]:
    for title, by_hand in (("Events", False), ("Noted by hand", True)):
        words = "; ".join(f"{moment_text(one)} {one.text}" for one in found.events if one.by_hand is by_hand)
        if words:
            yield f"<p>{title}: {escape(words)}.</p>"


def _further(found: Findings, system: System, barometer_pa: float) -> Iterator[str]:
    """Compressor, fan and settling times, a line each where there is something to tell."""
    if found.stroke is not None:
        why = f": {found.stroke.evidence[0]}" if found.stroke.evidence else ""
        yield f"<p>Compressor {escape(found.stroke.stroke.value + why)}.</p>"
    fan = "; ".join(threshold_text(one, system, barometer_pa) for one in found.fan)
    if fan:
        yield f"<p>Condenser fan: {escape(fan)}.</p>"
    settled = ", ".join(f"{one.seconds:.0f} s after {clock(one.at_s)}" for one in found.recoveries)
    if settled:
        yield f"<p>Settled again {escape(settled)}.</p>"
