"""What the page shows while the library holds no vehicle: the two ways to begin."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card

ADD_FIRST = "&Add the first vehicle"
GO_ON = "Go on &adding the vehicle..."
BRING_IN = "&Import a spreadsheet..."
BY_HAND = (
    "Open the hood of a car, read the under-hood label, and enter what it says: refrigerant and charge "
    "weight, with the label as the source."
)
BY_FILE = (
    "Spreadsheets (CSV, XLSX) of any layout and exchange files are taken. You see what would be added "
    "before anything is stored, and one step undoes the whole import."
)


class EmptyLibrary(QWidget):
    """Says what to do first.

    Attributes
    ----------
    add, bring_in
        Signals without arguments of the two buttons.
    """

    add = Signal()
    bring_in = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        head = QLabel("The library holds no vehicle yet.")
        head.setObjectName("emptyText")
        head.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.add_button, self.import_button = QPushButton(ADD_FIRST), QPushButton(BRING_IN)
        self.add_button.setObjectName("main")
        self.add_button.clicked.connect(self.add)
        self.import_button.clicked.connect(self.bring_in)
        cards = QHBoxLayout()
        cards.setSpacing(16)
        cards.addStretch(1)
        cards.addWidget(_way("From a car", BY_HAND, self.add_button))
        cards.addWidget(_way("From what you have", BY_FILE, self.import_button))
        cards.addStretch(1)
        layout = QVBoxLayout(self)
        layout.addStretch(2)
        layout.addWidget(head)
        layout.addSpacing(12)
        layout.addLayout(cards)
        layout.addStretch(3)

    def say_unsaved(self, *, unsaved: bool) -> None:
        """Tell on the button that a vehicle was typed and not saved."""
        self.add_button.setText(GO_ON if unsaved else ADD_FIRST)


def _way(title: str, text: str, button: QPushButton) -> Card:
    card = Card(title)
    card.setFixedWidth(320)
    label = QLabel(text)
    label.setWordWrap(True)
    card.body.addWidget(label)
    card.body.addStretch(1)
    card.body.addWidget(button, alignment=Qt.AlignmentFlag.AlignLeft)
    return card
