"""What a VIN tells by itself: answers, what is wrong with it, and what to look at again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QPushButton

from knowngood.widgets import Card
from knowngood_specs.core.vin_search import told
from knowngood_specs.panels.labels import clear, plain

if TYPE_CHECKING:
    from knowngood_refdata.vin import Vin

NOTHING_YET = "Type or paste the 17 characters, the first eight or more, or the last eight."


class VinFacts(Card):
    """Shows a VIN.

    Attributes
    ----------
    meant
        Signal with the VIN that was probably meant, when the reader accepts it.
    """

    meant = Signal(str)

    def __init__(self) -> None:
        super().__init__("What the VIN tells")
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(14)
        self._grid.setVerticalSpacing(6)
        self._grid.setColumnStretch(1, 1)
        self._words, self._warnings = plain(name="problem"), plain()
        self._suggestion, self._accept = "", QPushButton()
        self._accept.setAutoDefault(False)
        self._accept.clicked.connect(lambda: self.meant.emit(self._suggestion))
        self.body.addLayout(self._grid)
        for widget in (self._words, self._accept, self._warnings):
            self.body.addWidget(widget)
        self.body.addStretch(1)

    def show_vin(self, vin: Vin) -> None:
        """Show what a VIN tells."""
        clear(self._grid)
        rows = [(title, text) for title, text in told(vin) if text]
        for row, (title, text) in enumerate(rows):
            self._grid.addWidget(plain(title, "quiet", top=True), row, 0)
            self._grid.addWidget(plain(text, top=True, bold=True), row, 1)
        self._words.setText("\n".join(vin.problems) if vin.typed else "")
        self._words.setVisible(bool(self._words.text()))
        warnings = "\n".join(f"\N{BULLET} {one}" for one in vin.warnings)
        self._warnings.setText(warnings if vin.typed else NOTHING_YET)
        self._warnings.setVisible(bool(self._warnings.text()))
        self._suggestion = vin.suggestion
        self._accept.setText(f"&Use {vin.suggestion}")
        self._accept.setVisible(bool(vin.suggestion))
