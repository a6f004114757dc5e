"""The head of a record: who the vehicle is, its charge weight, and what can be done with the record."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QByteArray, QSize, Qt, Signal
from PySide6.QtGui import QIcon, QPixmap
from PySide6.QtWidgets import QHBoxLayout, QMenu, QPushButton, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood_specs.core.fields import CHARGE
from knowngood_specs.panels.labels import clear, plain
from knowngood_specs.words import (
    DOT,
    NO_CHARGE,
    build_line,
    evidence_text,
    field_lines,
    origin_line,
    sentence,
)

if TYPE_CHECKING:
    from PySide6.QtGui import QResizeEvent

    from knowngood.units import System
    from knowngood_refdata.queries.pictures import Picture
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.gather import Evidence
    from knowngood_specs.words import FieldLines

LARGE = "font-size: 24pt; font-weight: 600;"
BESIDE = "font-size: 13pt;"
LABEL_PX = 96
NARROW_PX = 480
NO_REFRIGERANT = "refrigerant not on record"


class RecordHead(Card):
    """Tells the charge weight before anything else.

    Attributes
    ----------
    show_label, take, edit, add_value, find_duplicates, delete, print_it, save_pdf
        Signals without arguments: what the reader asked for.
    """

    show_label = Signal()
    take = Signal()
    edit = Signal()
    add_value = Signal()
    find_duplicates = Signal()
    delete = Signal()
    print_it = Signal()
    save_pdf = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._charge = QVBoxLayout()
        self._charge.setSpacing(2)
        self._evidence = plain("", "quiet")
        self.take_button = QPushButton("Take in hand")
        self.take_button.setObjectName("main")
        self.edit_button = QPushButton("Edit...")
        self.value_button = QPushButton("Add value...")
        self.more_button = QPushButton("More")
        self.label_button = QPushButton()
        self._buttons = QHBoxLayout()
        self._lay_out()
        self._connect()

    def show_vehicle(
        self,
        vehicle: Vehicle,
        evidence: Evidence,
        system: System,
        *,
        in_hand: bool,
        label: Picture | None = None,
    ) -> None:
        """Show a vehicle; ``label`` is the picture of its under-hood label."""
        lines = [one for one in (origin_line(vehicle), build_line(vehicle)) if one]
        self.set_title(vehicle.name, "\n".join(lines))
        clear(self._charge)
        self._show_charge(field_lines(vehicle, CHARGE.name, system), vehicle.refrigerant)
        self._evidence.setText(evidence_text(evidence))
        self._show_label(label)
        self.take_button.setText("In hand" if in_hand else "Take in hand")
        self.take_button.setEnabled(not in_hand)

    def say_unsaved(self, *, value: bool, edit: bool) -> None:
        """Tell on the buttons that something of this vehicle was typed and not saved."""
        self.value_button.setText("Go on adding the value..." if value else "Add value...")
        self.edit_button.setText("Go on editing..." if edit else "Edit...")

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Put the buttons in two rows where there is not room for one."""
        super().resizeEvent(event)
        side, below = QHBoxLayout.Direction.LeftToRight, QHBoxLayout.Direction.TopToBottom
        self._buttons.setDirection(below if self.width() < NARROW_PX else side)

    def _lay_out(self) -> None:
        for pair in ((self.take_button, self.edit_button), (self.value_button, self.more_button)):
            row = QHBoxLayout()
            for button in pair:
                row.addWidget(button)
            self._buttons.addLayout(row)
        self._buttons.addStretch(1)
        self.label_button.setAccessibleName("picture of the under-hood label")
        self.label_button.setIconSize(QSize(LABEL_PX, LABEL_PX))
        self.label_button.setObjectName("link")
        self.label_button.setToolTip("The under-hood label, photographed")
        row = QHBoxLayout()
        row.addLayout(self._charge, stretch=1)
        row.addWidget(self.label_button, alignment=Qt.AlignmentFlag.AlignTop)
        self.body.addLayout(row)
        self.body.addWidget(self._evidence)
        self.body.addLayout(self._buttons)

    def _connect(self) -> None:
        self.label_button.clicked.connect(self.show_label)
        self.take_button.clicked.connect(self.take)
        self.edit_button.clicked.connect(self.edit)
        self.value_button.clicked.connect(self.add_value)
        menu = QMenu(self)
        menu.addAction("Find &duplicates...", self.find_duplicates.emit)
        menu.addAction("&Print...", self.print_it.emit)
        menu.addAction("Save as P&DF...", self.save_pdf.emit)
        menu.addSeparator()
        menu.addAction("De&lete...", self.delete.emit)
        self.more_button.setMenu(menu)

    def _show_label(self, label: Picture | None) -> None:
        self.label_button.setVisible(label is not None)
        if label is not None:
            pixmap = QPixmap()
            pixmap.loadFromData(QByteArray(label.thumbnail))
            self.label_button.setIcon(QIcon(pixmap))

    def _show_charge(self, lines: FieldLines, refrigerant: str | None) -> None:
        self._charge.addWidget(plain(lines.title, "quiet"))
        if not lines.values:
            self._charge.addWidget(plain(NO_CHARGE, "problem"))
            self._charge.addWidget(plain(refrigerant or NO_REFRIGERANT, bold=True))
            return
        first = lines.values[0]
        printed = plain(first.as_printed)
        printed.setStyleSheet(LARGE)
        self._charge.addWidget(printed)
        converted = f"= {first.converted}" if first.converted else ""
        beside = plain(DOT.join(part for part in (converted, refrigerant or NO_REFRIGERANT) if part))
        beside.setStyleSheet(BESIDE)
        self._charge.addWidget(beside)
        self._charge.addWidget(plain(first.source, "quiet"))
        if lines.conflict:
            self._charge.addWidget(plain(sentence(lines.conflict), "problem"))
