"""How the dialogs of this plugin open, and the order in which Tab goes through them."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence

_EDGE = 24


def open_at(dialog: QWidget, width: int, height: int) -> None:
    """Open a dialog at a size [px], or as large as the screen allows."""
    screen = dialog.screen().availableSize()
    dialog.resize(min(width, screen.width() - _EDGE), min(height, screen.height() - _EDGE))


def chain(widgets: Sequence[QWidget]) -> None:
    """Let Tab go through widgets of one window in this order."""
    for first, second in pairwise(widgets):
        QWidget.setTabOrder(first, second)
