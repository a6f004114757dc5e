"""How fields are laid out: names of one width, one or several fields a row."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

if TYPE_CHECKING:
    from collections.abc import Sequence

NAME_WIDTH = 156
"""Room for the longest name of an answer."""


def form(rows: Sequence[Sequence[tuple[str, QWidget]]], name_width: int = NAME_WIDTH) -> QGridLayout:
    """Rows of named fields; ``&`` marks the letter that, with Alt, leads to the field."""
    grid = QGridLayout()
    grid.setHorizontalSpacing(8)
    grid.setColumnMinimumWidth(0, name_width)
    columns = 2 * max(len(row) for row in rows)
    for number, row in enumerate(rows):
        for place, (name, field) in enumerate(row):
            last = place == len(row) - 1
            grid.addWidget(named(name, field), number, 2 * place)
            grid.addWidget(field, number, 2 * place + 1, 1, columns - 2 * place - 1 if last else 1)
    for column in range(1, columns, 2):
        grid.setColumnStretch(column, 1)
    return grid


def named(name: str, field: QWidget) -> QLabel:
    """The label of a field; the field carries the name for those who cannot see it."""
    label = QLabel(name)
    label.setBuddy(field)
    field.setAccessibleName(name.replace("&", ""))
    return label


def words(kind: str, text: str = "") -> QLabel:
    """A line of words in one of the theme's ways, ``quiet`` or ``problem``."""
    label = QLabel(text)
    label.setObjectName(kind)
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    return label
