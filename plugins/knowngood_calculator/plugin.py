"""The hook of the calculator: its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import Group, Host, Page, hookimpl

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget


def _page(host: Host) -> QWidget:
    from knowngood_calculator.panels.page import CalculatorPage

    return CalculatorPage(host)


@hookimpl
def pages() -> Sequence[Page]:
    """The refrigerant calculator."""
    return [Page("calculator", "Refrigerant calculator", Group.REFERENCE, 10, _page)]
