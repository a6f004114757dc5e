"""One depot: what is due there, and its units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_fleet.core.due import State
from knowngood_fleet.panels.part import FleetPart, fill
from knowngood_fleet.panels.table_card import TableCard
from knowngood_fleet.words import (
    counters_text,
    due_words,
    first_due,
    rate_text,
    short_check,
    short_drift,
)

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_fleet.gather import Fleet, UnitFound

DUE_HEADS = ("Unit", "Check", "State", "When")
UNIT_HEADS = ("Unit", "Body", "Counters", "Loss (95 %)", "Before refill", "Next check", "Against its sisters")
NOTHING = "Nothing is due here within a month."


class DepotSection(FleetPart):
    """The due list above the units of a depot."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._fleet: Fleet | None = None
        self.depot = self.add_choice("&Depot")
        self.due = TableCard("Due at this depot", words_at=(1, 2), most_rows=8)
        self.units = TableCard("Units", "Enter or a double click opens one.", words_at=(1, 4, 5))
        self.add_button("Check done...", self._done)
        self.column.addWidget(self.due)
        self.column.addWidget(self.units)
        self.column.addStretch(1)
        self.depot.currentIndexChanged.connect(self._choose)
        for card in (self.due, self.units):
            card.opened.connect(lambda key: self.sections.open_unit(key[0]))

    def show_fleet(self, fleet: Fleet) -> None:
        """Show the chosen depot."""
        self._fleet = fleet
        names = list(fleet.depots)
        if self.sections.depot not in names:
            self.sections.depot = names[0] if names else ""
        fill(self.depot, [(name, name) for name in names], self.sections.depot)
        self._show()

    def html(self) -> str:
        """Both tables."""
        return self.due.html() + self.units.html()

    def _choose(self, _index: int) -> None:
        self.sections.depot = str(self.depot.currentData())
        self._show()

    def _show(self) -> None:
        assert self._fleet is not None
        members = self._fleet.depots.get(self.sections.depot, ())
        system = self.host.units.system
        rows = sorted(_pressing(members), key=lambda row: row[0])
        self.due.write(
            DUE_HEADS, [row for _, row, _ in rows], [] if rows else [NOTHING], [key for _, _, key in rows]
        )
        self.units.write(
            UNIT_HEADS,
            [
                (
                    one.unit.name,
                    one.unit.body,
                    counters_text(one.unit, system),
                    rate_text(one.leak, system),
                    str(one.flag.refill) or "no flag",
                    first_due(one),
                    short_drift(one),
                )
                for one in members
            ],
            keys=[(one.unit.unit_id, "") for one in members],
        )

    def _done(self) -> None:
        from knowngood_fleet.panels.done_dialog import DoneDialog

        assert self._fleet is not None
        members = self._fleet.depots.get(self.sections.depot, ())
        chosen = self.due.chosen() or self.units.chosen()
        unit_id, check = chosen if isinstance(chosen, tuple) else (members[0].unit.unit_id, "")
        unit = next(one.unit for one in members if one.unit.unit_id == unit_id)
        DoneDialog(self.host, unit, check, self, self.sections.page.refresh).open()


def _pressing(members: tuple[UnitFound, ...]) -> list[tuple[tuple[int, str, str], tuple[str, ...], object]]:
    order = list(State)
    return [
        (
            (order.index(due.state), due.on.isoformat(), one.unit.name),
            (one.unit.name, short_check(due.check.name), str(due.state), due_words(due)),
            (one.unit.unit_id, due.check.name),
        )
        for one in members
        for due in one.due
        if due.state is not State.LATER
    ]
