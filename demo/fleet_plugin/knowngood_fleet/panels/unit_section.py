"""One unit: its losses, its course against its sisters, its checks and services."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QInputDialog

from knowngood.widgets import Card, CurvePlot, RangeStripList
from knowngood.widgets.form import words
from knowngood_fleet import library
from knowngood_fleet.panels.part import FleetPart, fill
from knowngood_fleet.panels.plots import drifts, losses_over_time
from knowngood_fleet.panels.strips import strip_rows
from knowngood_fleet.panels.table_card import TableCard
from knowngood_fleet.words import (
    counters_text,
    drift_text,
    due_words,
    flag_text,
    leak_text,
    mass_text,
    service_row,
    short_check,
)

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_fleet.gather import Fleet, UnitFound
    from knowngood_fleet.panels.entry_dialog import EntryDialog

SERVICE_HEADS = ("Date", "Service", "Out", "In", "Leak", "Note")
HINT = "Point at a mark to read it here."
CHECK_HEADS = ("Check", "State", "When")


class UnitSection(FleetPart):
    """Losses and drift side by side, then the last reading against the sisters, checks and services."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._fleet: Fleet | None = None
        self.unit = self.add_choice("&Unit")
        self.head = words("body")
        self.flag = words("problem")
        self.lost, self.drifted = words("body"), words("body")
        self.loss_plot = CurvePlot("Refrigerant lost over the years")
        self.drift_plot = CurvePlot("Against its sisters over the years")
        self._pointed = {plot: words("quiet") for plot in (self.loss_plot, self.drift_plot)}
        self.strips = RangeStripList()
        self.sisters = Card("Last reading against its sisters, under its own conditions")
        self.checks = TableCard("Checks", words_at=(1,))
        self.services = TableCard("Services", words_at=(1, 4))
        self._lay_out()
        self.unit.currentIndexChanged.connect(self._choose)

    def show_fleet(self, fleet: Fleet) -> None:
        """Show the chosen unit."""
        self._fleet = fleet
        ids = [one.unit.unit_id for one in fleet.units]
        if self.sections.unit_id not in ids:
            self.sections.unit_id = ids[0] if ids else None
        fill(
            self.unit,
            [(f"{one.unit.name}, {one.unit.depot}", one.unit.unit_id) for one in fleet.units],
            self.sections.unit_id,
        )
        self._show()

    def found(self) -> UnitFound:
        """The unit that is shown."""
        assert self._fleet is not None
        return next(one for one in self._fleet.units if one.unit.unit_id == self.sections.unit_id)

    def html(self) -> str:
        """What is on record of the unit."""
        from knowngood_fleet.section import html

        return html(self.found(), self.host.units.system) + self.checks.html() + self.services.html()

    def _choose(self, _index: int) -> None:
        self.sections.unit_id = int(self.unit.currentData())
        self._show()

    def _show(self) -> None:
        found, units = self.found(), self.host.units
        unit, system = found.unit, units.system
        charge = mass_text(unit.charge_kg, system)
        self.head.setText(
            f"{unit.design}; {unit.body}; {counters_text(unit, system)}; charge {charge}; "
            f"{mass_text(unit.usual_loss_kg, system)} a year taken as usual"
        )
        self.flag.setText(flag_text(found, system))
        self.flag.setVisible(bool(self.flag.text()))
        self.lost.setText(leak_text(found.leak, system))
        self.drifted.setText("\n".join(drift_text(one, system) for one in found.drifts))
        self.loss_plot.show_content(*losses_over_time(found.leak, units))
        self.loss_plot.setVisible(bool(found.leak.stretches))
        self.drift_plot.show_content(*drifts(found.drifts, units))
        self.drift_plot.setVisible(any(one.visits for one in found.drifts))
        for plot, told in self._pointed.items():
            told.setVisible(plot.isVisibleTo(self))
        for told in self._pointed.values():
            told.setText(HINT)
        self.strips.set_rows(strip_rows(found.against, units))
        self.sisters.setVisible(bool(found.against))
        self._write_tables(found)

    def _write_tables(self, found: UnitFound) -> None:
        self.checks.write(
            CHECK_HEADS,
            [(short_check(one.check.name), str(one.state), due_words(one)) for one in found.due],
            keys=[one.check.name for one in found.due],
        )
        entered = found.unit.services[::-1]
        self.services.write(
            SERVICE_HEADS,
            [service_row(one, self.host.units.system) for one in entered],
            [] if entered else ["No service was entered yet."],
            [one.id for one in entered],
        )

    def _lay_out(self) -> None:
        for title, slot in (
            ("Enter service...", self._enter_service),
            ("Enter counters...", self._enter_counters),
            ("Check done...", self._enter_done),
            ("Strike out service...", self._strike),
        ):
            self.add_button(title, slot)
        self.column.addWidget(self.head)
        self.column.addWidget(self.flag)
        row = self.side_by_side()
        for title, told, plot in (
            ("Refrigerant lost", self.lost, self.loss_plot),
            ("Against its sisters and its own past", self.drifted, self.drift_plot),
        ):
            row.addWidget(self._plot_card(title, told, plot), stretch=1)
        self.column.addLayout(row, stretch=1)
        self.sisters.body.addWidget(self.strips)
        self.column.addWidget(self.sisters)
        below = self.side_by_side()
        below.addWidget(self.checks, stretch=2)
        below.addWidget(self.services, stretch=3)
        self.column.addLayout(below)

    def _plot_card(self, title: str, told: QWidget, plot: CurvePlot) -> Card:
        card = Card(title)
        card.body.addWidget(told)
        card.body.addWidget(plot, stretch=1)
        card.body.addWidget(self._pointed[plot])
        card.body.addStretch(0)
        plot.setMinimumHeight(190)
        plot.pointed.connect(lambda text: self._pointed[plot].setText(text or HINT))
        return card

    def _open(self, dialog: EntryDialog) -> None:
        dialog.open()

    def _enter_service(self) -> None:
        from knowngood_fleet.panels.service_dialog import ServiceDialog

        self._open(ServiceDialog(self.host, self.found().unit, self, self.sections.page.refresh))

    def _enter_counters(self) -> None:
        from knowngood_fleet.panels.counters_dialog import CountersDialog

        self._open(CountersDialog(self.host, self.found().unit, self, self.sections.page.refresh))

    def _enter_done(self) -> None:
        from knowngood_fleet.panels.done_dialog import DoneDialog

        check = str(self.checks.chosen() or "")
        self._open(DoneDialog(self.host, self.found().unit, check, self, self.sections.page.refresh))

    def _strike(self) -> None:
        number = self.services.chosen()
        if not isinstance(number, int):
            self.host.say("Choose the service to be struck out in the table of services first.")
            return
        why, sure = QInputDialog.getText(self, "Strike out service", "Why does it count no longer?")
        if not sure:
            return
        try:
            library.strike_service(self.host.store, number, why)
        except library.Refused as refused:
            self.host.say(str(refused))
        self.sections.page.refresh()
