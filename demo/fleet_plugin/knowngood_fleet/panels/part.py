"""What the three sections of the fleet have in common."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets.form import named
from knowngood.widgets.sectioned_page import PageSection

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood.api import Host
    from knowngood_fleet.gather import Fleet
    from knowngood_fleet.panels.page import FleetSections


class FleetPart(PageSection):
    """A section with a row of choices and buttons above its cards."""

    sections: FleetSections

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        bar = self.side_by_side()
        self._choices, self._buttons = QHBoxLayout(), QHBoxLayout()
        for part in (self._choices, self._buttons):
            bar.addLayout(part)
        bar.addStretch(1)
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(20, 12, 20, 18)
        self.column.setSpacing(12)
        self.column.addLayout(bar)

    def show_fleet(self, fleet: Fleet) -> None:
        """Show a look at the fleet."""
        raise NotImplementedError

    def html(self) -> str:
        """What is shown, for paper."""
        raise NotImplementedError

    def add_choice(self, name: str) -> QComboBox:
        """A named choice at the left of the row."""
        box = QComboBox()
        box.setMinimumWidth(220)
        self._choices.addWidget(named(name, box))
        self._choices.addWidget(box)
        return box

    def set_narrow(self, narrow: bool) -> None:
        """Put columns below one another; the buttons stay at the left."""
        super().set_narrow(narrow)
        self._buttons.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self._choices.setAlignment(Qt.AlignmentFlag.AlignLeft)

    def add_button(self, title: str, slot: Callable[[], None]) -> QPushButton:
        """A button in the row."""
        button = QPushButton(title)
        button.clicked.connect(slot)
        self._buttons.addWidget(button)
        return button


def fill(box: QComboBox, entries: Sequence[tuple[str, object]], chosen: object) -> None:
    """Offer other entries without telling of it; the chosen one stays chosen where it is still there."""
    blocked = box.blockSignals(True)
    box.clear()
    for text, key in entries:
        box.addItem(text, key)
    box.setCurrentIndex(max(0, next((row for row, (_, key) in enumerate(entries) if key == chosen), 0)))
    box.blockSignals(blocked)
