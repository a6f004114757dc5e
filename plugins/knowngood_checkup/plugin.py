"""The hooks of the check-up: its page, its command, its part of the report."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import Command, Group, Host, Page, ReportSection, hookimpl

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Desk, Explanation, Measurement, Program
    from knowngood.formatting import System
    from knowngood_refdata.store import Store


def _page(host: Host) -> QWidget:
    from knowngood_checkup.panels.page import CheckupPage

    return CheckupPage(host)


def _configure(parser: ArgumentParser) -> None:
    from knowngood_checkup.command import configure

    configure(parser)


def _run(desk: Desk, arguments: Namespace) -> int:
    from knowngood_checkup.command import run

    return run(desk, arguments)


@hookimpl
def pages() -> Sequence[Page]:
    """The check-up page."""
    return [Page("checkup", "Check-up", Group.BENCH, 20, _page)]


@hookimpl
def commands() -> Sequence[Command]:
    """The ``check`` command."""
    return [
        Command(
            "check", "compare a recorded log with the known-good readings of its vehicle", _configure, _run
        )
    ]


@hookimpl
def report_sections(
    store: Store, session_id: int, system: System, program: Program
) -> Sequence[ReportSection]:
    """The table of ranges of every steady window, and the response to engine speed."""
    from knowngood_checkup.section import sections

    return sections(store, session_id, system, program)


@hookimpl
def explanations() -> Sequence[Explanation]:
    """The explanations that are weighed; they come from our own tables, and their names are taken."""
    from knowngood_checkup.core.explain.brought import own_explanations

    return own_explanations()


@hookimpl
def measurements() -> Sequence[Measurement]:
    """The measurements that tell our own explanations apart."""
    from knowngood_checkup.core.explain.measurements import MEASUREMENTS

    return MEASUREMENTS
