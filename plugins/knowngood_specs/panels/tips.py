"""Tool tips of plain text."""

from __future__ import annotations

from html import escape


def tip(text: str) -> str:
    """A text as a tool tip that shows markup as it was typed.

    >>> tip("Tarn <b>Skerry</b>")
    '<qt>Tarn &lt;b&gt;Skerry&lt;/b&gt;</qt>'
    >>> tip("Tarn Skerry")
    'Tarn Skerry'
    """
    # Qt takes every tip with a tag in it for rich text.
    return f"<qt>{escape(text).replace(chr(10), '<br>')}</qt>" if "<" in text else text
