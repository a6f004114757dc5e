"""The fields of a record by section, each value as printed, converted, and with its source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood_refdata.queries.vehicles import units
from knowngood_specs.panels.labels import LabelPool, column, plain
from knowngood_specs.panels.vehicle_tab import VehicleTab
from knowngood_specs.record_data import all_fields
from knowngood_specs.words import NOT_ON_RECORD, cars_line, cautions, record_sections, sentence

if TYPE_CHECKING:
    from PySide6.QtGui import QResizeEvent

    from knowngood.api import Host
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.words import FieldLines, SectionLines, ValueLine

NARROW_PX = 540
"""With less room than this a source stands below its value instead of beside it."""


class RecordTab(VehicleTab):
    """Shows what is on record; nothing is changed here."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._card = Card("", "as printed, converted to the units shown, and who says so")
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(18)
        self._grid.setVerticalSpacing(8)
        self._narrow = False
        self._labels = LabelPool()
        self._others, self._notes, self._cars = plain("", "quiet"), plain(), plain("", "quiet")
        self._prevails = plain("", "quiet")
        self._lay_out()

    def show_vehicle(self, vehicle: Vehicle) -> None:
        """Show a vehicle's record."""
        self._vehicle, self._narrow = vehicle, self.width() < NARROW_PX
        for place, stretch in enumerate((1, 2, 0) if self._narrow else (2, 3, 4)):
            self._grid.setColumnStretch(place, stretch)
        sections = record_sections(
            vehicle, self._host.units.system, all_fields(self._host.store, self._host.spec_fields())
        )
        self._labels.take_back(self._grid)
        row = 0
        for section in sections:
            if section.fields:
                row = self._show_section(section, row)
        self._labels.hide_idle()
        others = [title for section in sections for title in section.others]
        self._others.setText(f"Can be entered, too: {', '.join(others)}." if others else "")
        self._others.setVisible(bool(others))
        self._notes.setText(f"Notes: {vehicle.notes}")
        self._notes.setVisible(bool(vehicle.notes))
        self._cars.setText(cars_line(units(self._host.store, vehicle.id)))
        self._cars.setVisible(bool(self._cars.text()))
        self._prevails.setText(cautions(vehicle))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Lay the fields out anew when there is more or less room beside them."""
        super().resizeEvent(event)
        if self._vehicle is not None and (self.width() < NARROW_PX) != self._narrow:
            self.show_vehicle(self._vehicle)

    def _lay_out(self) -> None:
        body: QVBoxLayout = self._card.body
        body.addLayout(self._grid)
        body.addWidget(self._notes)
        body.addWidget(self._cars)
        body.addWidget(self._others)
        layout = column(self, 10)
        layout.addWidget(self._card)
        layout.addWidget(self._prevails)

    def _show_section(self, section: SectionLines, row: int) -> int:
        self._grid.addWidget(self._labels.label(section.title, "quiet", bold=True), row, 0, 1, 3)
        row += 1
        for lines in section.fields:
            row = self._show_field(lines, row)
        return row

    def _show_field(self, lines: FieldLines, row: int) -> int:
        label = self._labels.label
        self._grid.addWidget(label(lines.title), row, 0)
        if not lines.values:
            self._grid.addWidget(label(NOT_ON_RECORD, "quiet"), row, 1)
            return row + 1
        for value in lines.values:
            row = self._show_value(value, row)
        if lines.conflict:
            self._grid.addWidget(label(sentence(lines.conflict), "problem"), row, 1, 1, 2)
            row += 1
        return row

    def _show_value(self, value: ValueLine, row: int) -> int:
        label = self._labels.label
        stacked = QVBoxLayout()
        stacked.setSpacing(0)
        stacked.addWidget(label(value.as_printed, bold=True))
        if value.converted:
            stacked.addWidget(label(f"= {value.converted}"))
        self._grid.addLayout(stacked, row, 1, Qt.AlignmentFlag.AlignTop)
        if self._narrow:
            stacked.addWidget(label(value.source, "quiet"))
        else:
            self._grid.addWidget(label(value.source, "quiet"), row, 2)
        return row + 1
