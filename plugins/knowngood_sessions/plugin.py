"""The hooks of the session plotter: its page, the log import, its part of the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import (
    CheckNote,
    DerivedChannel,
    Group,
    Host,
    LogReader,
    LogRequest,
    Page,
    ReportSection,
    Setting,
    SettingKind,
    hookimpl,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.formatting import System
    from knowngood_refdata.logs import LogTable
    from knowngood_refdata.store import Store

    Proceed = Callable[[float], None]


def _page(host: Host) -> QWidget:
    from knowngood_sessions.panels.plotter import PlotterPage

    return PlotterPage(host)


def _claims_text(_head: bytes, _name: str) -> bool:
    # What is no table is refused in words by the reader that comes last.
    return True


def _read_text(data: bytes, name: str, proceed: Proceed) -> LogTable:
    from knowngood_sessions.core.reading.reader import read_log

    return read_log(data, name, proceed)


def _claims_workbook(head: bytes, name: str) -> bool:
    from knowngood_sessions.core.reading.workbook import claims_workbook

    return claims_workbook(head, name)


def _read_workbook(data: bytes, name: str, proceed: Proceed) -> LogTable:
    from knowngood_sessions.core.reading.workbook import read_workbook

    return read_workbook(data, name, proceed)


def _read_sheet(data: bytes, name: str, proceed: Proceed, part: str) -> LogTable:
    from knowngood_sessions.core.reading.workbook import read_sheet

    return read_sheet(data, name, proceed, part)


@hookimpl
def pages() -> Sequence[Page]:
    """The session plotter."""
    return [Page("sessions", "Session plotter", Group.BENCH, 10, _page)]


@hookimpl
def log_readers() -> Sequence[LogReader]:
    """Workbooks, and tables in text of any logger."""
    text = (".csv", ".tsv", ".txt", ".log", ".dat", ".asc")
    books = (".xlsx", ".xls", ".ods")
    return [
        LogReader("Workbook", books, _claims_workbook, _read_workbook, _read_sheet, general=True),
        LogReader("Text table", text, _claims_text, _read_text, general=True),
    ]


@hookimpl
def import_log(store: Store, request: LogRequest) -> int | None:
    """Import a log of any reader whose columns are clear; refuse with the questions otherwise."""
    from knowngood_sessions.library import import_request

    return import_request(store, request)


@hookimpl
def report_sections(store: Store, session_id: int, system: System) -> Sequence[ReportSection]:
    """The plot of the session, and its steady windows with their settled values."""
    from knowngood_sessions.section import sections

    return sections(store, session_id, system)


@hookimpl
def derived_channels(refrigerant: str) -> Sequence[DerivedChannel]:
    """Saturation temperatures, superheat, subcooling, and how far each side is from the air around it."""
    from knowngood_sessions.own_channels import own_channels

    return own_channels(refrigerant)


@hookimpl
def session_checks(store: Store, session_id: int) -> Sequence[CheckNote]:
    """What a session lacks: conditions that a comparison needs, instruments, line temperatures."""
    from knowngood_sessions.session_notes import session_notes

    return session_notes(store, session_id)


@hookimpl
def settings() -> Sequence[Setting]:
    """How numbers stand in exported tables."""
    return [
        Setting(
            "csv_numbers",
            "Numbers in exported tables",
            SettingKind.CHOICE,
            "1234.5, cells parted by commas",
            ("1234.5, cells parted by commas", "1234,5, cells parted by semicolons"),
            "The second is what spreadsheets expect where the comma is the decimal mark.",
        )
    ]
