"""What the window hands to pages: the `knowngood.api.Host` of the running program."""

from __future__ import annotations

import getpass
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from knowngood.program import RunningProgram
from knowngood.scales import System

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from knowngood.api import Sheet
    from knowngood.bench import Bench
    from knowngood.drafts import Drafts
    from knowngood.settings import Settings, SettingsFile
    from knowngood.tasks import Tasks
    from knowngood.units import Units


@dataclass
class WindowHost(RunningProgram):
    """The host of the window's pages. ``show`` and ``say`` are the window's own ways to do so."""

    bench: Bench
    units: Units
    tasks: Tasks
    drafts: Drafts
    settings: SettingsFile
    show: Callable[[str], None]
    tell: Callable[[str], None]

    def show_page(self, key: str) -> None:
        """Bring the page with this key to the front."""
        self.show(key)

    def say(self, text: str) -> None:
        """Show a short sentence in the window's status line."""
        self.tell(text)

    def user(self) -> str:
        """The name under which work is recorded."""
        return user_name(self.settings.now)

    def rename(self, name: str) -> None:
        """Work under another name from now on; what was recorded before keeps the former one."""
        self.settings.change(user=name)
        self.store = replace(self.store, user=user_name(self.settings.now))
        self.plugins.use_library(self.store)

    def report_html(self, session_id: int) -> str:
        """The report on a session as one self-contained HTML page."""
        from knowngood.report import report_html

        shop = self.settings.now.shop
        return report_html(self.store, self.plugins, session_id, self.units.system, shop=shop)

    def print_report(self, session_id: int, path: Path) -> None:
        """Write the report on a session to ``path`` as PDF."""
        from knowngood.report import print_report

        shop = self.settings.now.shop
        print_report(self.store, self.plugins, session_id, self.units.system, path, shop=shop)

    def sheet_pdf(self, sheet: Sheet, path: Path) -> None:
        """Write a sheet to ``path`` as PDF."""
        from knowngood.reporting.pdf import write_pdf

        write_pdf(self._page(sheet), path, title=sheet.title, letter=self.units.system is System.US)

    def print_sheet(self, sheet: Sheet) -> None:
        """Ask for a printer and print a sheet on it."""
        from knowngood.sheets import print_page

        if print_page(self._page(sheet), sheet.title):
            self.say(f"Printed: {sheet.title}.")

    def _page(self, sheet: Sheet) -> str:
        from knowngood.sheets import sheet_page

        vehicle = self.bench.vehicle
        return sheet_page(sheet, shop=self.settings.now.shop, vehicle="" if vehicle is None else vehicle.name)


def user_name(settings: Settings) -> str:
    """The name in the settings, or else that of the computer's account."""
    if settings.user.strip():
        return settings.user.strip()
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return ""
