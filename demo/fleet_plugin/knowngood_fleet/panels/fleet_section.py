"""The whole fleet: its depots, what each design loses, and the losses over the odometer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from knowngood.formatting import MISSING
from knowngood.widgets import Card, CurvePlot
from knowngood.widgets.form import words
from knowngood_fleet.core.due import State
from knowngood_fleet.core.leaks import together
from knowngood_fleet.core.refill import LAW, Refill
from knowngood_fleet.export import save
from knowngood_fleet.panels.part import FleetPart
from knowngood_fleet.panels.plots import losses
from knowngood_fleet.panels.table_card import TableCard
from knowngood_fleet.words import rate_text, short_drift

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_fleet.gather import Fleet, UnitFound

DEPOT_HEADS = ("Depot", "Units", "Overdue", "Due now", "Repair first", "Drifting")
DESIGN_HEADS = ("Design", "Units", "Loss, mean of a unit (95 %)", "")
HOLLOW = (
    "Hollow: not distinguishable from zero. Point at a unit, or step with the arrow keys, to read it here."
)


class FleetSection(FleetPart):
    """Depots and designs beside the plot of losses."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._fleet: Fleet | None = None
        self.depots = TableCard("Depots", "Enter or a double click opens one.", words_last=False)
        self.designs = TableCard("Refrigerant lost, by design")
        self.plot = CurvePlot("Loss of refrigerant over the odometer")
        self._pointed = words("quiet", HOLLOW)
        self._lay_out()
        self.depots.opened.connect(lambda depot: self.sections.open_depot(str(depot)))
        self.plot.pointed.connect(lambda text: self._pointed.setText(text or HOLLOW))

    def show_fleet(self, fleet: Fleet) -> None:
        """Show the depots, the designs and the losses."""
        self._fleet = fleet
        system = self.host.units.system
        self.depots.write(
            DEPOT_HEADS,
            [_depot_row(name, members) for name, members in fleet.depots.items()],
            _sum_lines(fleet),
            tuple(fleet.depots),
        )
        rows = []
        for design, members in fleet.designs.items():
            pooled = together([one.leak for one in members])
            rows.append((design, str(len(members)), rate_text(pooled, system), str(pooled.verdict)))
        self.designs.write(DESIGN_HEADS, rows)
        self.plot.show_content(*losses(fleet.designs, self.host.units))

    def html(self) -> str:
        """Both tables."""
        return self.depots.html() + self.designs.html()

    def export(self) -> None:
        """Ask for a place and write the fleet there as a table."""
        name, _ = QFileDialog.getSaveFileName(self, "Export the fleet", "fleet.csv", "Tables (*.csv)")
        if not name or self._fleet is None:
            return
        try:
            save(self._fleet, Path(name))
        except OSError as error:
            self.host.say(f"The fleet cannot be written to {name}: {error.strerror}. Choose another place.")
        else:
            self.host.say(f"Saved {name}.")

    def _lay_out(self) -> None:
        self.add_button("Add units...", lambda: self.sections.page.add_units())
        self.add_button("Counters from telematics files...", self._read_counters)
        self.add_button("Export as a table...", self.export)
        card = Card("Loss of refrigerant over the odometer")
        card.body.addWidget(self.plot, stretch=1)
        card.body.addWidget(self._pointed)
        self.plot.setMinimumHeight(220)
        row = self.side_by_side()
        row.addWidget(self.depots, stretch=1)
        row.addWidget(card, stretch=1)
        self.column.addLayout(row, stretch=1)
        self.column.addWidget(self.designs)
        self.column.addWidget(words("quiet", LAW))

    def _read_counters(self) -> None:
        from knowngood_fleet.panels.counter_files import ask_and_read

        ask_and_read(self.host, self, self.sections.page.refresh)


def _depot_row(name: str, members: tuple[UnitFound, ...]) -> tuple[str, ...]:
    return (
        name,
        str(len(members)),
        str(sum(one.pressing(State.OVERDUE) for one in members)),
        str(sum(one.pressing(State.DUE) for one in members)),
        str(sum(one.flag.refill is Refill.REPAIR_FIRST for one in members)),
        _drifting(members),
    )


def _drifting(members: tuple[UnitFound, ...]) -> str:
    """How many units drift; a dash while no reading was compared."""
    if not any(one.drifts for one in members):
        return MISSING
    return str(sum(short_drift(one) not in ("no drift seen", MISSING) for one in members))


def _sum_lines(fleet: Fleet) -> list[str]:
    first = [one.unit.name for one in fleet.units if one.flag.refill is Refill.REPAIR_FIRST]
    head = f"{len(fleet.units)} units at {len(fleet.depots)} depots."
    return [head, f"Repair before refill: {', '.join(first)}."] if first else [head]
