"""How large a dialog opens."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

_EDGE = 40


def open_at(dialog: QWidget, width: int, height: int) -> None:
    """Open a dialog at a size [px], or as large as the screen allows."""
    screen = dialog.screen().availableSize()
    dialog.resize(min(width, screen.width() - _EDGE), min(height, screen.height() - _EDGE))
