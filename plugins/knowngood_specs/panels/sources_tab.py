"""The view of sources: all values of each field side by side, and which of them counts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from knowngood.widgets import Card
from knowngood_specs.core.sides import Sides, sides_of
from knowngood_specs.panels.labels import clear, column, plain
from knowngood_specs.panels.value_tile import TILE_STYLE, ValueTile
from knowngood_specs.panels.vehicle_tab import VehicleTab
from knowngood_specs.record_data import all_fields
from knowngood_specs.words import sentence, sides_sentence

if TYPE_CHECKING:
    from PySide6.QtGui import QResizeEvent

    from knowngood.api import Host
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.panels.record_forms import RecordForms

TILE_PX = 205
MOST_BESIDE = 4
RULE = (
    "The label on the car wins, then bulletin, service information, measured and generic values, until "
    "someone decides otherwise with a reason. Nothing is overwritten: what is corrected or retired stays in "
    "the history."
)
NOTHING = "No value is on record yet. Add the first one with its source: Add value... above."


class SourcesTab(VehicleTab):
    """Fields whose sources differ come first, then those that agree, then those told by one source."""

    def __init__(self, host: Host, forms: RecordForms, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._forms = forms
        self._beside = 0
        self.setStyleSheet(TILE_STYLE)
        self._cards = QVBoxLayout()
        self._cards.setSpacing(10)
        layout = column(self, 10)
        layout.addWidget(plain(RULE, "quiet"))
        layout.addLayout(self._cards)

    def show_vehicle(self, vehicle: Vehicle) -> None:
        """Show the values of a vehicle."""
        self._vehicle = vehicle
        self._beside = self._fitting()
        clear(self._cards)
        found = sides_of(vehicle, all_fields(self._host.store, self._host.spec_fields()))
        several, alone = [one for one in found if not one.alone], [one for one in found if one.alone]
        for sides in several:
            self._cards.addWidget(self._card(vehicle, sides.field.title, sides_sentence(sides), [sides]))
        if alone:
            words = "nothing stands beside these values"
            self._cards.addWidget(self._card(vehicle, "Told by one source", words, alone))
        if not found:
            self._cards.addWidget(plain(NOTHING))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Lay the values out anew when more or fewer of them fit beside one another."""
        super().resizeEvent(event)
        if self._vehicle is not None and self._fitting() != self._beside:
            self.show_vehicle(self._vehicle)

    def _fitting(self) -> int:
        return min(max((self.width() - 36) // TILE_PX, 1), MOST_BESIDE)

    def _card(self, vehicle: Vehicle, title: str, words: str, shown: list[Sides]) -> Card:
        card, grid = Card(title, sentence(words)), QGridLayout()
        grid.setSpacing(8)
        tiles = [
            (sides, ValueTile(vehicle, sides, spec, self._host.units.system, self._forms))
            for sides in shown
            for spec in sides.values
        ]
        for place, (sides, tile) in enumerate(tiles):
            row, across = divmod(place, self._beside)
            grid.addWidget(_titled(sides.field.title, tile) if sides.alone else tile, row, across)
        for across in range(self._beside):
            grid.setColumnStretch(across, 1)
        card.body.addLayout(grid)
        return card


def _titled(title: str, tile: ValueTile) -> QWidget:
    holder = QWidget()
    layout = QVBoxLayout(holder)
    layout.setContentsMargins(0, 0, 0, 0)
    layout.setSpacing(2)
    layout.addWidget(plain(title, bold=True))
    layout.addWidget(tile, stretch=1)
    return holder
