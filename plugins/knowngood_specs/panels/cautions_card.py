"""What to look at again before working by a record, each with what it rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood_specs.core.cautions import cautions
from knowngood_specs.panels.labels import clear, link, plain
from knowngood_specs.words import sentence

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.records import Vehicle

DEFERS = "The vehicle maker's procedure prevails."


class CautionsCard(Card):
    """Stands between head and tabs when the record gives rise to a caution, and is hidden when not.

    Attributes
    ----------
    choose_field
        Signal with the name of the field whose sources the reader wants to see.
    """

    choose_field = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Look at this first", parent=parent)
        self._lines = QVBoxLayout()
        self._lines.setSpacing(8)
        self.body.addLayout(self._lines)
        self.hide()

    def show_vehicle(self, vehicle: Vehicle, sisters: Sequence[Vehicle]) -> None:
        """Show what the record of a vehicle gives rise to."""
        found = cautions(vehicle, sisters)
        clear(self._lines)
        for one in found:
            self._lines.addWidget(plain(f"{sentence(one.words)}.", "problem"))
            self._lines.addWidget(plain(f"Basis: {one.basis}. {DEFERS}", "quiet"))
        if found:
            fields = dict.fromkeys(one.field for one in found)
            button = link("See the sources", lambda: self.choose_field.emit(next(iter(fields))))
            self._lines.addWidget(button, alignment=Qt.AlignmentFlag.AlignLeft)
        self.setVisible(bool(found))
