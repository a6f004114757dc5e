"""The hook of the spec library: its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import Group, Host, Page, hookimpl

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget


def _page(host: Host) -> QWidget:
    from knowngood_specs.panels.page import SpecsPage

    return SpecsPage(host)


@hookimpl
def pages() -> Sequence[Page]:
    """The page of the spec library."""
    return [Page("specs", "Vehicle specs", Group.LIBRARY, 10, _page)]
