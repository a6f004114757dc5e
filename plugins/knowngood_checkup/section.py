"""The check-up's part of the report: a table of ranges for each steady window, and the responses."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from knowngood.api import ReportSection
from knowngood.formatting import clock
from knowngood_checkup.gather import SessionCheck, check_session
from knowngood_checkup.svg import strip_svg
from knowngood_checkup.words import range_text, response_text, sheet_text, value_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood.formatting import System
    from knowngood_checkup.core.compare import WindowComparison
    from knowngood_refdata.store import Store

HEADINGS = ("Quantity", "This session (95 %)", "", "Outcome", "90 % range of known-good readings")


def sections(store: Store, session_id: int, system: System) -> Sequence[ReportSection]:
    """The sections for a session; an empty sequence when nothing steady was found."""
    check = check_session(store, session_id)
    if not check.checkup.windows:
        return []
    return [ReportSection("Against known-good readings", 30, "".join(_html(check, system)))]


def _html(check: SessionCheck, system: System) -> Iterator[str]:
    yield f"<p class='outcome'>{escape(check.checkup.outcome)}</p>"
    for window in check.checkup.windows:
        yield from _window(window, check.barometer_pa, system)
    if check.checkup.responses:
        yield "<h3>Response to engine speed</h3><ul>"
        for one in check.checkup.responses:
            yield f"<li>{escape(response_text(one.response, system))}</li>"
        yield "</ul>"


def _window(comparison: WindowComparison, barometer_pa: float, system: System) -> Iterator[str]:
    window = comparison.window
    stage = "fan stage not recorded" if window.fan_stage is None else f"fan stage {window.fan_stage}"
    span = f"{clock(window.start_s)} to {clock(window.end_s)}"
    yield f"<h3>{escape(window.label)}, {stage}, {span}</h3>"
    head = "".join(f"<th align='left'>{escape(one)}</th>" for one in HEADINGS)
    yield f"<table width='100%' cellspacing='0' cellpadding='2'><tr>{head}</tr>"
    for strip in comparison.strips:
        cells = (
            escape(strip.quantity),
            escape(value_text(strip.quantity, strip.reading, system, barometer_pa)),
            strip_svg(strip),
            f"<b>{escape(strip.outcome)}</b>",
            "" if comparison.reason else escape(range_text(strip, system, barometer_pa)),
        )
        yield "<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>"
    yield f"</table><p class='sheet'>{escape(sheet_text(comparison))}</p>"
