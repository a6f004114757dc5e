"""Choose which cars of the library become units of the fleet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLineEdit, QListWidget, QListWidgetItem

from knowngood.widgets import QuantityEdit
from knowngood.widgets.form import named
from knowngood_fleet import library
from knowngood_fleet.core.leaks import USUAL_LOSS_KG
from knowngood_fleet.library import Car, Refused
from knowngood_fleet.panels.entry_dialog import EntryDialog
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_fleet.gather import Fleet

HINT = (
    "A loss that is surely larger asks for a repair before the next refill. At type approval in the EU a "
    "circuit may lose 40 g a year with one evaporator and 60 g with two (Directive 2006/40/EC); buses with "
    "long lines lose more. Take what your law and the maker allow."
)


class AddUnitsDialog(EntryDialog):
    """The cars that are no units yet, each to be ticked, and what they have in common."""

    def __init__(
        self,
        host: Host,
        cars: tuple[Car, ...],
        fleet: Fleet | None,
        parent: QWidget,
        stored: Callable[[], None],
    ) -> None:
        super().__init__(host, "Add units to the fleet", "fleet units", parent, stored)
        self.cars = QListWidget()
        for one in cars:
            item = QListWidgetItem(f"{one.name}   {one.design}")
            item.setData(Qt.ItemDataRole.UserRole, one)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Unchecked)
            self.cars.addItem(item)
        self.cars.setMinimumHeight(180)
        label = named("&Cars of the library, Space ticks one", self.cars)
        self.column.addWidget(label)
        self.column.addWidget(self.cars, stretch=1)
        self.depot, self.body = QComboBox(), QLineEdit()
        self.depot.setEditable(True)
        self.depot.addItems(list(fleet.depots) if fleet else [])
        self.usual = QuantityEdit(Kind.MASS, host.units)
        self.usual.set_si(USUAL_LOSS_KG)
        self.lay_out([("&Depot", self.depot), ("&Body", self.body), ("&Usual loss a year", self.usual)], HINT)

    @classmethod
    def ask(cls, host: Host, fleet: Fleet | None, parent: QWidget, stored: Callable[[], None]) -> None:
        """Look for the cars off the GUI thread, then open the dialog, or say that there is none."""

        def show(cars: tuple[Car, ...]) -> None:
            if cars:
                cls(host, cars, fleet, parent, stored).open()
            else:
                host.say("Every car of the library is a unit of the fleet already.")

        store = host.store
        host.tasks.run("Looking for cars", lambda _progress: library.cars(store), done=show)

    def store(self) -> None:
        """Make the ticked cars units of the fleet."""
        items = [self.cars.item(row) for row in range(self.cars.count())]
        ticked = [
            item.data(Qt.ItemDataRole.UserRole)
            for item in items
            if item.checkState() is Qt.CheckState.Checked
        ]
        if not ticked:
            raise Refused("No car is ticked. Nothing was stored.")
        if self.usual.problem:
            raise Refused(f"Usual loss: {self.usual.problem}. Nothing was stored.")
        usual = self.usual.si()
        library.add_units(
            self.host.store,
            ticked,
            self.depot.currentText(),
            self.body.text(),
            USUAL_LOSS_KG if usual is None else usual,
        )
