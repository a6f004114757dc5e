"""How large a dialog opens, and how its tips are written."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

_EDGE = 40


def open_at(dialog: QWidget, width: int, height: int) -> None:
    """Open a dialog at a size [px], or as large as the screen allows."""
    screen = dialog.screen().availableSize()
    dialog.resize(min(width, screen.width() - _EDGE), min(height, screen.height() - _EDGE))


def tip(text: str) -> str:
    """A text as a tool tip that shows markup as it was typed.

    >>> tip("Tarn <b>Skerry</b>")
    '<qt>Tarn &lt;b&gt;Skerry&lt;/b&gt;</qt>'
    >>> tip("Tarn Skerry")
    'Tarn Skerry'
    """
    # Qt takes every tip with a tag in it for rich text.
    return f"<qt>{escape(text).replace(chr(10), '<br>')}</qt>" if "<" in text else text
