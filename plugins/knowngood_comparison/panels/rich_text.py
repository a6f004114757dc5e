"""Pieces of the rich text that the comparison's cards and sheets are made of."""

from __future__ import annotations

from html import escape

from knowngood.widgets import theme

TABLE = '<table class="grid" width="100%" cellspacing="0" cellpadding="3">'
"""The opening of a table; ``</table>`` closes it."""


def quiet(text: str) -> str:
    """A text that stands back, escaped."""
    return f'<span style="color:{theme.QUIET}">{escape(text)}</span>'
