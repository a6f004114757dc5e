"""Short answers that share a row, and words that take no room while there are none."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout

from knowngood.widgets.answer_line import sentence

if TYPE_CHECKING:
    from PySide6.QtWidgets import QLabel, QWidget


def side_by_side(*widgets: QWidget) -> QHBoxLayout:
    """A row of answers, each with an equal part of it."""
    row = QHBoxLayout()
    row.setSpacing(8)
    for widget in widgets:
        row.addWidget(widget, stretch=1)
    return row


def tell(label: QLabel, text: str) -> None:
    """Let a label say a sentence across the whole card, or nothing."""
    ended = text if not text or text.endswith(".") else f"{text}."
    label.setText(sentence(ended))
    label.setVisible(bool(text))
