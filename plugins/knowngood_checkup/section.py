"""The check-up's part of the report: a table of ranges for each steady window, and the responses."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from knowngood.api import ReportSection
from knowngood.formatting import clock
from knowngood_checkup.gather import SessionCheck, check_session
from knowngood_checkup.published_words import published_lines
from knowngood_checkup.svg import strip_svg
from knowngood_checkup.words import range_text, response_text, sheet_text, value_text
from knowngood_refdata.expected.outcome import Outcome

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood.api import Program
    from knowngood.formatting import System
    from knowngood_refdata.expected.comparison import QuantityComparison, WindowComparison
    from knowngood_refdata.store import Store

HEADINGS = ("Quantity", "This session (95 %)", "", "Outcome", "90 % range of known-good readings")


def sections(
    store: Store, session_id: int, system: System, program: Program | None = None
) -> Sequence[ReportSection]:
    """The sections for a session; an empty sequence when nothing steady was found and nothing is noted."""
    check = check_session(store, session_id, program)
    if not check.checkup.windows and not check.notes:
        return []
    return [ReportSection("Against known-good readings", 30, ranges_html(check, system))]


def ranges_html(check: SessionCheck, system: System) -> str:
    """The outcome, the ranges of one steady window, the others in a line each, and the responses."""
    return "".join(_html(check, system))


def _html(check: SessionCheck, system: System) -> Iterator[str]:
    yield f"<p class='outcome'>{escape(check.checkup.outcome)}</p>"
    yield from _notes(check)
    windows = check.checkup.windows
    if not windows:
        return
    # One sheet has room for one table: the first window that could be compared; the others take a line.
    shown = next((one for one in windows if one.comparable), windows[0])
    yield from _window(shown, check.barometer_pa, system)
    for line in published_lines(check.published[windows.index(shown)], system, check.barometer_pa):
        yield f"<p class='sheet'>{escape(line)}</p>"
    others = [one for one in windows if one is not shown]
    if others:
        yield "<p class='sheet'>"
        yield "<br/>".join(_line(one, check.barometer_pa, system) for one in others)
        yield "</p>"
    if check.checkup.responses:
        yield "<p><b>Response to engine speed</b><br/>"
        yield "<br/>".join(escape(response_text(one.response, system)) for one in check.checkup.responses)
        yield "</p>"


def _notes(check: SessionCheck) -> Iterator[str]:
    """What the checks of all plugins found, with the plugin that says it."""
    if check.notes:
        yield "<p class='sheet'>"
        yield "<br/>".join(
            f"<b>{escape(one.level.capitalize())}:</b> {escape(one.text)}"
            + (f" (plugin {escape(one.source)})" if one.source else "")
            for one in check.notes
        )
        yield "</p>"


def _line(comparison: WindowComparison, barometer_pa: float, system: System) -> str:
    head = f"<b>{escape(_name(comparison))}:</b> "
    if comparison.reason:
        return head + escape(f"not comparable, {comparison.reason}")
    parts = []
    for outcome in Outcome:
        strips = [one for one in comparison.strips if one.outcome is outcome]
        if strips:
            told = outcome in (Outcome.BELOW, Outcome.ABOVE)
            names = ", ".join(_named(one, barometer_pa, system) if told else one.quantity for one in strips)
            parts.append(f"{escape(outcome)}: {escape(names)}")
    return head + "; ".join(parts)


def _named(strip: QuantityComparison, barometer_pa: float, system: System) -> str:
    return f"{strip.quantity} (range {range_text(strip, system, barometer_pa)})"


def _name(comparison: WindowComparison) -> str:
    window = comparison.window
    stage = "fan stage not recorded" if window.fan_stage is None else f"fan stage {window.fan_stage}"
    return f"{window.label}, {stage}, {clock(window.start_s)} to {clock(window.end_s)}"


def _window(comparison: WindowComparison, barometer_pa: float, system: System) -> Iterator[str]:
    yield f"<h3>{escape(_name(comparison))}</h3>"
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
    yield f"</table><p class='sheet'>{escape(sheet_text(comparison, system))}</p>"
