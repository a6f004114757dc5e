"""The hook of the comparison: its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import Group, Host, Page, hookimpl

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget


def _page(host: Host) -> QWidget:
    from knowngood_comparison.panels.page import ComparisonPage

    return ComparisonPage(host)


@hookimpl
def pages() -> Sequence[Page]:
    """The comparison of R-134a and R-1234yf."""
    return [Page("comparison", "Refrigerant comparison", Group.REFERENCE, 20, _page)]
