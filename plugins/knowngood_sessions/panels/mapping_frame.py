"""How the dialogs on a log's columns are laid out, and how Tab goes through them."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from knowngood.widgets.room import open_at

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_sessions.panels.mapping_sheet import MappingSheet

_BESIDE_PX = 440
_WIDTH_PX, _HEIGHT_PX = 1220, 740


def lay_around(
    dialog: QWidget, sheet: MappingSheet, card: QWidget, shares: tuple[int, int], foot: QHBoxLayout
) -> None:
    """Lay a dialog out around its sheet of columns, and open it as large as both need.

    Beside the sheet stand its questions and a card, which share the height as told; below all is the foot.
    """
    beside = QWidget()
    right = QVBoxLayout(beside)
    right.setContentsMargins(0, 0, 0, 0)
    for part, share in zip((sheet.questions_card, card), shares, strict=True):
        right.addWidget(part, stretch=share)
    beside.setMaximumWidth(_BESIDE_PX)
    upper = QHBoxLayout()
    upper.addWidget(sheet, stretch=7)
    upper.addWidget(beside, stretch=4)
    layout = QVBoxLayout(dialog)
    layout.addLayout(upper, stretch=1)
    layout.addLayout(foot)
    open_at(dialog, _WIDTH_PX, _HEIGHT_PX)


def chain(widgets: Sequence[QWidget]) -> None:
    """Let Tab go through widgets of one window in this order."""
    for first, second in pairwise(widgets):
        QWidget.setTabOrder(first, second)
