"""The program without a window: the library, the plugins, and what a command can ask of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood.program import RunningProgram

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood.api import LogRequest
    from knowngood.scales import System


@dataclass(slots=True)
class CommandDesk(RunningProgram):
    """What a command of the command line is given: see `knowngood.api.Desk`.

    Parameters
    ----------
    store
        The open library; who opened it closes it.
    shop
        The shop's name and address for the head of a report.
    """

    system: System
    shop: str = ""

    def import_log(self, request: LogRequest) -> int:
        """Import and analyse a log with the first plugin that reads it; return the session's id.

        Raises
        ------
        knowngood.api.LogRefused
            When no plugin reads it or one refuses it; nothing is stored then.
        """
        return self.plugins.import_log(self.store, request)

    def report_html(self, session_id: int) -> str:
        """The report on a session as one self-contained HTML page."""
        from knowngood.report import report_html

        return report_html(self.store, self.plugins, session_id, self.system, shop=self.shop)

    def print_report(self, session_id: int, path: Path) -> None:
        """Write the report on a session to ``path`` as PDF."""
        from knowngood.report import print_report

        print_report(self.store, self.plugins, session_id, self.system, path, shop=self.shop)
