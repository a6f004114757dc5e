"""The record of one vehicle: its head with the charge weight, what to be careful about, and its tabs."""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFileDialog, QScrollArea, QVBoxLayout, QWidget

from knowngood.widgets.section_bar import SectionBar
from knowngood_refdata.errors import StoreError
from knowngood_specs.gather import evidence
from knowngood_specs.panels.cautions_card import CautionsCard
from knowngood_specs.panels.labels import column
from knowngood_specs.panels.record_forms import RecordForms
from knowngood_specs.panels.record_head import RecordHead
from knowngood_specs.record_data import all_fields, label_picture, sisters
from knowngood_specs.record_paper import record_sheet

if TYPE_CHECKING:
    from knowngood.api import Host, Sheet
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.panels.unsaved import Unsaved
    from knowngood_specs.panels.vehicle_tab import VehicleTab

PACKAGE = "knowngood_specs.panels"


@dataclass(frozen=True, slots=True)
class Tab:
    """A tab: its title, and the module and class that make it at its first showing.

    One ``with_forms`` is given the `RecordForms` besides the host.
    """

    title: str
    module: str
    name: str
    with_forms: bool = False


TABS = (
    Tab("Record", "record_tab", "RecordTab"),
    Tab("Sources", "sources_tab", "SourcesTab", with_forms=True),
    Tab("Published tables", "tables_tab", "TablesTab"),
    Tab("Readings", "readings_tab", "ReadingsTab"),
    Tab("History", "history_tab", "HistoryTab", with_forms=True),
    Tab("Pictures", "pictures_tab", "PicturesTab", with_forms=True),
)


class RecordView(QScrollArea):
    """Shows a vehicle's record and offers what can be done with it.

    A tab, a `VehicleTab`, is made at its first showing.

    Attributes
    ----------
    take, find_duplicates, delete
        Signals without arguments: what the reader asked for with a button.
    changed
        Signal with the number of the vehicle when something of it was stored.
    """

    take = Signal()
    find_duplicates = Signal()
    delete = Signal()
    changed = Signal(int)

    def __init__(self, host: Host, unsaved: Unsaved, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAsNeeded)
        self._host = host
        self._vehicle: Vehicle | None = None
        self._tabs: dict[int, VehicleTab] = {}
        self._front = 0
        self.head, self.cautions = RecordHead(), CautionsCard()
        self.forms = RecordForms(host, unsaved, self)
        self.bar = SectionBar([one.title for one in TABS])
        self._place = QVBoxLayout()
        self._lay_out()
        self._connect()

    def show_vehicle(self, vehicle: Vehicle) -> None:
        """Show a vehicle: its head, its cautions and the tab in front."""
        moved = self._vehicle is None or self._vehicle.id != vehicle.id
        self._vehicle = vehicle
        in_hand = self._host.bench.vehicle
        try:
            known, others = evidence(self._host.store, vehicle.id), sisters(self._host.store, vehicle)
            label = label_picture(self._host.store, vehicle.id)
        except StoreError as error:
            self._host.say(str(error))
            return
        self.head.show_vehicle(
            vehicle,
            known,
            self._host.units.system,
            in_hand=in_hand is not None and in_hand.id == vehicle.id,
            label=label,
        )
        self.cautions.show_vehicle(vehicle, others)
        self.say_unsaved()
        self._refresh_front()
        if moved:
            self.verticalScrollBar().setValue(0)

    def show_tab(self, title: str) -> None:
        """Bring a tab to the front by its title."""
        self.bar.choose(next(number for number, one in enumerate(TABS) if one.title == title))

    def tab(self, title: str) -> Any:
        """A tab by its title, made at the first call."""
        return self._tab(next(number for number, one in enumerate(TABS) if one.title == title))

    def say_unsaved(self) -> None:
        """Tell on the buttons which forms of this vehicle were begun and not saved."""
        if self._vehicle is not None:
            self.head.say_unsaved(
                value=self.forms.waits_for_value(self._vehicle), edit=self.forms.waits_for_edit(self._vehicle)
            )

    def add_value(self) -> None:
        """Ask for a further value of the vehicle shown."""
        if self._vehicle is not None:
            self.forms.add_value(self._vehicle)

    def edit(self) -> None:
        """Ask for changes to the vehicle's own data."""
        if self._vehicle is not None:
            self.forms.edit(self._vehicle)

    def _lay_out(self) -> None:
        page = QWidget()
        layout = column(page)
        for part in (self.head, self.cautions, self.bar):
            layout.addWidget(part)
        self._place.setContentsMargins(0, 0, 0, 0)
        layout.addLayout(self._place)
        layout.addStretch(1)
        self.setWidget(page)

    def _connect(self) -> None:
        self.head.take.connect(self.take)
        self.head.show_label.connect(lambda: self.show_tab("Pictures"))
        self.head.edit.connect(self.edit)
        self.head.add_value.connect(self.add_value)
        self.head.find_duplicates.connect(self.find_duplicates)
        self.head.delete.connect(self.delete)
        self.head.print_it.connect(self._print)
        self.head.save_pdf.connect(self._save_pdf)
        self.cautions.choose_field.connect(lambda: self.show_tab("Sources"))
        self.forms.changed.connect(self.changed)
        self.forms.closed.connect(self.say_unsaved)
        self.bar.chosen.connect(self._bring)

    def sheet(self) -> Sheet | None:
        """The record shown as a sheet of paper."""
        if self._vehicle is None:
            return None
        store, vehicle = self._host.store, self._vehicle
        return record_sheet(
            vehicle,
            evidence(store, vehicle.id),
            self._host.units.system,
            all_fields(store, self._host.spec_fields()),
            sisters(store, vehicle),
        )

    def _print(self) -> None:
        if (sheet := self.sheet()) is not None:
            self._host.print_sheet(sheet)

    def _save_pdf(self) -> None:
        if (sheet := self.sheet()) is None:
            return
        name, _ = QFileDialog.getSaveFileName(
            self, "Save as PDF", f"{_file_name(sheet.title)}.pdf", "PDF (*.pdf)"
        )
        if not name:
            return
        try:
            self._host.sheet_pdf(sheet, Path(name))
        except OSError as error:
            self._host.say(str(error))
        else:
            self._host.say(f"Saved {name}.")

    def _bring(self, number: int) -> None:
        self._front = number
        for one, made in self._tabs.items():
            made.setVisible(one == number)
        self._refresh_front()

    def _refresh_front(self) -> None:
        if self._vehicle is not None:
            tab = self._tab(self._front)
            tab.setVisible(True)
            tab.show_vehicle(self._vehicle)

    def _tab(self, number: int) -> VehicleTab:
        if number not in self._tabs:
            entry = TABS[number]
            kind = getattr(importlib.import_module(f"{PACKAGE}.{entry.module}"), entry.name)
            made: VehicleTab = kind(self._host, self.forms) if entry.with_forms else kind(self._host)
            made.changed.connect(self.changed)
            self._place.addWidget(made)
            self._tabs[number] = made
        return self._tabs[number]


def _file_name(title: str) -> str:
    """A title without the characters that a file system would refuse."""
    return "".join(letter if letter.isalnum() or letter in " -." else "-" for letter in title)
