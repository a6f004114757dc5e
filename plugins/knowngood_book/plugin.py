"""The hooks of the book: its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import Group, Host, Page, hookimpl

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget


def _page(host: Host) -> QWidget:
    from knowngood_book.panels.page import BookPage

    return BookPage(host)


@hookimpl
def pages() -> Sequence[Page]:
    """The page of the book."""
    return [Page("book", "Known-good book", Group.LIBRARY, 20, _page)]
