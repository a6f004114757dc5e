"""Enter what was weighed at a service."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit

from knowngood.widgets import QuantityEdit
from knowngood_fleet import library
from knowngood_fleet.core.leaks import LEFT_SHARE, SCALE_LIMIT_KG, Service, Work
from knowngood_fleet.core.refill import LAW
from knowngood_fleet.library import Refused
from knowngood_fleet.panels.entry_dialog import EntryDialog, date_field, day, number
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_fleet.core.fleet import FleetUnit

HINT = (
    "Charge by weight, never to a pressure. Leave the recovered weight empty where it was not weighed: the "
    f"loss is then counted from this charge on. {LAW}"
)


class ServiceDialog(EntryDialog):
    """A service of one unit."""

    def __init__(self, host: Host, unit: FleetUnit, parent: QWidget, stored: Callable[[], None]) -> None:
        super().__init__(host, f"Service of {unit.name}", f"fleet service {unit.unit_id}", parent, stored)
        self._unit = unit
        self.at, self.work = date_field(), QComboBox()
        self.work.addItems([one.value for one in Work])
        self.recovered, self.charged, self.limit = (QuantityEdit(Kind.MASS, host.units) for _ in range(3))
        self.limit.set_si(SCALE_LIMIT_KG)
        self.left = QLineEdit(f"{100.0 * LEFT_SHARE:g}")
        self.repaired = QCheckBox("a leak was repaired and checked before charging")
        self.note = QLineEdit()
        self.lay_out(
            [
                ("&Date", self.at),
                ("&Work", self.work),
                ("&Recovered", self.recovered),
                ("&Charged", self.charged),
                ("Scale, &limit of error ±", self.limit),
                ("Recovery lea&ves at most, %", self.left),
                ("Repa&ir", self.repaired),
                ("&Note", self.note),
            ],
            HINT,
        )
        self.work.currentIndexChanged.connect(self._fit)

    def store(self) -> None:
        """Store the service."""
        for name, field in (("Recovered", self.recovered), ("Charged", self.charged), ("Scale", self.limit)):
            if field.problem:
                raise Refused(f"{name}: {field.problem}. Nothing was stored.")
        charged, limit = self.charged.si(), self.limit.si()
        if charged is None:
            raise Refused("How much was charged is missing; 0 where nothing was. Nothing was stored.")
        left = number(self.left, "What recovery leaves")
        service = Service(
            day(self.at),
            Work(self.work.currentText()),
            charged,
            self.recovered.si() if self.recovered.isEnabled() else None,
            SCALE_LIMIT_KG if limit is None else limit,
            LEFT_SHARE if left is None else left / 100.0,
            self.repaired.isChecked(),
            self.note.text().strip(),
        )
        library.add_service(self.host.store, self._unit.unit_id, service)

    def _fit(self) -> None:
        """Nothing is recovered at a top-up."""
        full = self.work.currentText() == Work.WEIGHED_IN.value
        for field in (self.recovered, self.left):
            field.setEnabled(full)
