"""System families of the makers: rename, split, merge, and move vehicles between them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QDialog, QHBoxLayout, QVBoxLayout

from knowngood.widgets import Card
from knowngood.widgets.room import open_at
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import families, finding
from knowngood_refdata.queries.filters import Filters
from knowngood_specs.families import move_vehicles
from knowngood_specs.panels.families_actions import FamilyActions
from knowngood_specs.panels.labels import close_button, plain
from knowngood_specs.panels.marked_list import MarkedList
from knowngood_specs.panels.row_list import RowList

if TYPE_CHECKING:
    from collections.abc import Callable

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_refdata.queries.families import Family

MOST_MEMBERS = 1000
NO_FAMILY = (
    "No system family is on record. A family is named where a vehicle is added or edited: vehicles of one "
    "maker that share one design of the A/C system."
)
WHAT_STAYS = "Readings, sessions and history go along with their vehicles."


class FamiliesDialog(QDialog):
    """The families at the left, the vehicles of the one chosen at the right, what can be done below."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("System families")
        self._host = host
        self._families: tuple[Family, ...] = ()
        self.list, self.members = RowList("system families"), MarkedList("vehicles of the family")
        self.can = FamilyActions()
        self._words, self._trouble = plain(), plain(name="problem")
        self._lay_out()
        self._connect()
        self._load()
        open_at(self, 960, 620)

    @property
    def family(self) -> Family | None:
        """The family chosen."""
        row = self.list.current
        return self._families[row] if 0 <= row < len(self._families) else None

    def _lay_out(self) -> None:
        self.list.setFixedWidth(280)
        box = Card("Vehicles of the family", "mark those that are to be moved")
        box.body.addWidget(self.members, stretch=1)
        beside = QHBoxLayout()
        beside.setSpacing(16)
        beside.addWidget(self.list)
        beside.addWidget(box, stretch=1)
        below = QHBoxLayout()
        below.addWidget(self._trouble, stretch=1)
        below.addWidget(close_button(self))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(18, 16, 18, 16)
        layout.setSpacing(12)
        layout.addWidget(self._words)
        layout.addLayout(beside, stretch=1)
        layout.addWidget(self.can)
        layout.addLayout(below)

    def _connect(self) -> None:
        self.list.chosen.connect(self._show)
        self.members.marked.connect(lambda: self.can.set_marked(len(self.members.marked_ids)))
        self.can.rename.connect(self._rename)
        self.can.merge.connect(self._merge)
        self.can.move_on.connect(self._move)

    def _load(self, choose: int | None = None) -> None:
        before = self.family.id if self.family and choose is None else choose
        try:
            self._families = families.families(self._host.store)
        except StoreError as error:
            self._trouble.setText(str(error))
            return
        ids = [one.id for one in self._families]
        rows = [(one.name, f"{one.maker}, {_counted(one.vehicles)}") for one in self._families]
        self._words.setText(WHAT_STAYS if rows else NO_FAMILY)
        self.list.show_rows(rows, ids.index(before) if before in ids else 0)

    def _show(self, _row: int) -> None:
        family = self.family
        self.can.show_family(family, self._families)
        if family is None:
            self.members.show_rows([])
            return
        try:
            found = finding.find(
                self._host.store,
                filters=Filters(maker=family.maker, family=family.name),
                limit=MOST_MEMBERS,
            )
        except StoreError as error:
            self._trouble.setText(str(error))
            return
        self.members.show_rows([(one.id, one.name) for one in found.lines])

    def _rename(self, name: str, why: str) -> None:
        family = self.family
        if family is not None:
            self._do(
                lambda: families.rename_family(self._host.store, family.id, family.version, name, why),
                f"The family is now called {name}.",
            )

    def _merge(self, other: Family, why: str) -> None:
        family = self.family
        if family is not None:
            self._do(
                lambda: families.merge_families(self._host.store, other.id, family.id, why),
                f"{family.name} was merged into {other.name}.",
                choose=other.id,
            )

    def _move(self, maker: str, name: str, why: str) -> None:
        family, marked = self.family, self.members.marked_ids
        if family is not None:
            self._do(
                lambda: move_vehicles(self._host.store, family, marked, maker, name, why),
                f"{_counted(len(marked))} moved.",
            )

    def _do(self, act: Callable[[], object], done: str, choose: int | None = None) -> None:
        try:
            act()
        except (StoreError, ValueError) as error:
            self._trouble.setText(str(error))
            self._load()
            return
        self._trouble.clear()
        self.can.clear_reason()
        self._host.say(done)
        self._load(choose)


def _counted(count: int) -> str:
    return f"{count} vehicle{'' if count == 1 else 's'}"
