"""The hooks of the fleet plugin: its page, its tables, its part of the report, the telematics reader."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import (
    Command,
    Desk,
    Group,
    Host,
    LogReader,
    Page,
    PluginTables,
    ReportSection,
    TableStep,
    hookimpl,
)

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Callable, Sequence

    from alembic.operations import Operations
    from PySide6.QtWidgets import QWidget

    from knowngood.formatting import System
    from knowngood_refdata.logs import LogTable
    from knowngood_refdata.store import Store

API_VERSION = 1


def _page(host: Host) -> QWidget:
    from knowngood_fleet.panels.page import FleetPage

    return FleetPage(host)


def _claims(head: bytes, name: str) -> bool:
    from knowngood_fleet.core.telematics import claims

    return claims(head, name)


def _read(data: bytes, name: str, _proceed: Callable[[float], None]) -> LogTable:
    from knowngood_fleet.core.telematics import read

    return read(data, name)


def _configure(parser: ArgumentParser) -> None:
    parser.add_argument("folder", help="with units.csv, services.csv, counters.csv, checks.csv")


def _run(desk: Desk, options: Namespace) -> int:
    from knowngood_fleet.command import run

    return run(desk, options)


def _first_tables(op: Operations) -> None:
    from knowngood_fleet.tables import first_tables

    first_tables(op)


def _repairs_and_checks(op: Operations) -> None:
    from knowngood_fleet.tables import repairs_and_checks

    repairs_and_checks(op)


@hookimpl
def commands() -> Sequence[Command]:
    """Enter whole lists at once."""
    return [Command("fleet-lists", "enter lists of units, services, counters and checks", _configure, _run)]


@hookimpl
def pages() -> Sequence[Page]:
    """The fleet, its depots and its units."""
    return [Page("fleet", "Fleet", Group.SHOP, 20, _page)]


@hookimpl
def tables() -> PluginTables:
    """Units, services, counters and checks; a step, once released, is never changed."""
    return PluginTables("fleet_", (TableStep(1, _first_tables), TableStep(2, _repairs_and_checks)))


@hookimpl
def log_readers() -> Sequence[LogReader]:
    """The files of the fleet's telematics boxes."""
    return [LogReader("Fleet telematics", (".csv",), _claims, _read)]


@hookimpl
def report_sections(store: Store, session_id: int, system: System) -> Sequence[ReportSection]:
    """What is due, what leaks and what drifts on the session's unit."""
    from knowngood_fleet.section import sections

    return sections(store, session_id, system)
