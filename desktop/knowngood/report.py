"""The report on a session: gathered from the library and the plugins, as HTML or as PDF."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from knowngood.reporting.content import Content, Subject, compose
from knowngood.reporting.page import render
from knowngood.scales import System
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.records import Standing

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood.loader import Plugins
    from knowngood_refdata.store import Store


def report_html(store: Store, plugins: Plugins, session_id: int, system: System, *, shop: str = "") -> str:
    """The report on a session as one self-contained HTML page.

    Raises
    ------
    knowngood_refdata.errors.StoreError
        When the library cannot be read.
    """
    return render(gather(store, plugins, session_id, system, shop=shop))


def print_report(
    store: Store, plugins: Plugins, session_id: int, system: System, path: Path, *, shop: str = ""
) -> int:
    """Write the report on a session as PDF, US Letter or A4 by unit system; return the sheets.

    Raises
    ------
    knowngood_refdata.errors.StoreError
        When the library cannot be read.
    knowngood.reporting.pdf.ReportNotWritten
        When the file cannot be written.
    """
    from knowngood.reporting.pdf import write_pdf

    content = gather(store, plugins, session_id, system, shop=shop)
    return write_pdf(
        render(content, for_print=True),
        path,
        title=f"{content.title}: {content.vehicle_name}",
        letter=system is System.US,
    )


def gather(store: Store, plugins: Plugins, session_id: int, system: System, *, shop: str = "") -> Content:
    """Everything that the report says."""
    sections = plugins.report_sections(store, session_id, system)
    return compose(
        _subject(store, session_id), sections, system, shop=shop, printed_at=datetime.now(UTC).astimezone()
    )


def _subject(store: Store, session_id: int) -> Subject:
    info = sessions.info(store, session_id)
    roles = frozenset(channel.role for channel in sessions.recording(store, session_id).channels)
    if info.vehicle_id is None:
        return Subject(info, None, None, roles, ())
    unit = next((one for one in vehicles.units(store, info.vehicle_id) if one.id == info.unit_id), None)
    known_good = readings.readings(store, info.vehicle_id, Standing.KNOWN_GOOD)
    return Subject(info, vehicles.vehicle(store, info.vehicle_id), unit, roles, known_good)
