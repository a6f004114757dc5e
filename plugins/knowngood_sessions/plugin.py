"""The hooks of the session plotter: its page, the log import, its part of the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import Group, Host, LogRequest, Page, ReportSection, hookimpl

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.formatting import System
    from knowngood_refdata.store import Store


def _page(host: Host) -> QWidget:
    from knowngood_sessions.panels.plotter import PlotterPage

    return PlotterPage(host)


@hookimpl
def pages() -> Sequence[Page]:
    """The session plotter."""
    return [Page("sessions", "Session plotter", Group.BENCH, 10, _page)]


@hookimpl
def import_log(store: Store, request: LogRequest) -> int | None:
    """Import a CSV log of any logger whose columns are clear; refuse with the questions otherwise."""
    from knowngood_sessions.library import import_request

    return import_request(store, request)


@hookimpl
def report_sections(store: Store, session_id: int, system: System) -> Sequence[ReportSection]:
    """The plot of the session, and its steady windows with their settled values."""
    from knowngood_sessions.section import sections

    return sections(store, session_id, system)
