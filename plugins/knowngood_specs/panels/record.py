"""The record of one vehicle: charge weight first and large, then the rest with every source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QPushButton, QScrollArea, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood_specs.words import (
    NO_CHARGE,
    NOT_ON_RECORD,
    cautions,
    evidence_text,
    origin_line,
    record_lines,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QLayout

    from knowngood.units import System
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.gather import Evidence
    from knowngood_specs.words import FieldLines, ValueLine

LARGE = "font-size: 24pt; font-weight: 600;"
CONVERTED = "font-size: 14pt;"


class RecordView(QScrollArea):
    """Shows a vehicle's record and offers what can be done with it.

    Attributes
    ----------
    take, add_value
        Signals without arguments of the two buttons.
    """

    take = Signal()
    add_value = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self._head, self._system = Card(), Card("System", "as printed, converted, and who says so")
        self._charge, self._evidence = QVBoxLayout(), _label("", "quiet")
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(18)
        self._grid.setVerticalSpacing(10)
        self._notes, self._cautions = _label(), _label("", "quiet")
        self.take_button = QPushButton("Take in hand")
        self.take_button.setObjectName("main")
        self.value_button = QPushButton("Add value...")
        self.take_button.clicked.connect(self.take)
        self.value_button.clicked.connect(self.add_value)
        self._lay_out()

    def show_record(self, vehicle: Vehicle, evidence: Evidence, system: System, *, in_hand: bool) -> None:
        """Show a vehicle."""
        self._head.set_title(vehicle.name, origin_line(vehicle))
        charge, *others = record_lines(vehicle, system)
        _empty(self._charge)
        self._show_charge(charge)
        self._evidence.setText(evidence_text(evidence))
        _empty(self._grid)
        self._show_fields(others)
        self._notes.setText(vehicle.notes)
        self._notes.setVisible(bool(vehicle.notes))
        self._cautions.setText(cautions(vehicle))
        self.take_button.setText("In hand" if in_hand else "Take in hand")
        self.take_button.setEnabled(not in_hand)

    def say_unsaved(self, *, unsaved: bool) -> None:
        """Tell on the button that a value of this vehicle was typed and not saved."""
        self.value_button.setText("Go on adding the value..." if unsaved else "Add value...")

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        buttons.addWidget(self.take_button)
        buttons.addWidget(self.value_button)
        buttons.addStretch(1)
        self._head.body.addSpacing(4)
        self._head.body.addLayout(self._charge)
        self._head.body.addWidget(self._evidence)
        self._head.body.addLayout(buttons)
        self._grid.setColumnStretch(1, 2)
        self._grid.setColumnStretch(2, 3)
        self._system.body.addLayout(self._grid)
        self._system.body.addWidget(self._notes)
        page = QWidget()
        page.setObjectName("page")
        layout = QVBoxLayout(page)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(14)
        layout.addWidget(self._head)
        layout.addWidget(self._system)
        layout.addWidget(self._cautions)
        layout.addStretch(1)
        self.setWidget(page)

    def _show_charge(self, lines: FieldLines) -> None:
        self._charge.addWidget(_label(lines.title, "quiet"))
        if not lines.values:
            self._charge.addWidget(_label(NO_CHARGE, "problem"))
        for value, style in zip(lines.values, (LARGE, *[CONVERTED] * len(lines.values)), strict=False):
            self._charge.addLayout(_amount(value, style))
            self._charge.addWidget(_label(value.source, "quiet"))
        if lines.conflict:
            self._charge.addWidget(_label(_sentence(lines.conflict), "problem"))

    def _show_fields(self, fields: Sequence[FieldLines]) -> None:
        row = 0
        for lines in fields:
            self._grid.addWidget(_label(lines.title, top=True), row, 0)
            if not lines.values:
                self._grid.addWidget(_label(NOT_ON_RECORD, "quiet", top=True), row, 1)
                row += 1
            for value in lines.values:
                self._grid.addLayout(_stacked(value), row, 1)
                self._grid.addWidget(_label(value.source, "quiet", top=True), row, 2)
                row += 1
            if lines.conflict:
                self._grid.addWidget(_label(_sentence(lines.conflict), "problem"), row, 1, 1, 2)
                row += 1


def _amount(value: ValueLine, style: str) -> QHBoxLayout:
    layout = QHBoxLayout()
    layout.setSpacing(14)
    printed = _label(value.as_printed)
    printed.setStyleSheet(style)
    printed.setWordWrap(False)
    layout.addWidget(printed)
    if value.converted:
        converted = _label(f"= {value.converted}")
        converted.setStyleSheet(CONVERTED)
        converted.setWordWrap(False)
        layout.addWidget(converted, alignment=Qt.AlignmentFlag.AlignBottom)
    layout.addStretch(1)
    return layout


def _stacked(value: ValueLine) -> QVBoxLayout:
    layout = QVBoxLayout()
    layout.setSpacing(0)
    layout.addWidget(_label(value.as_printed, top=True, bold=True))
    if value.converted:
        layout.addWidget(_label(f"= {value.converted}", top=True))
    layout.addStretch(1)
    return layout


def _label(text: str = "", name: str = "", *, top: bool = False, bold: bool = False) -> QLabel:
    label = QLabel(text)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    label.setWordWrap(True)
    label.setObjectName(name)
    if top:
        label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
    if bold:
        label.setStyleSheet("font-weight: 600;")
    return label


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]


def _empty(layout: QLayout) -> None:
    while (item := layout.takeAt(0)) is not None:
        if (widget := item.widget()) is not None:
            widget.hide()
            widget.deleteLater()
        elif (inner := item.layout()) is not None:
            _empty(inner)
