"""Saturation: one value as one types, and the whole table beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QSizePolicy

from knowngood.units import System
from knowngood.widgets import Card
from knowngood.widgets.grid import Grid
from knowngood_calculator.core.saturation_table import (
    SaturationTable,
    round_temperatures_k,
    saturation_table,
)
from knowngood_calculator.panels.saturation_card import SaturationCard
from knowngood_calculator.panels.section import Section
from knowngood_refdata.quantities import Kind, unit

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood.units import Units
    from knowngood_calculator.panels.section import Given

COLDEST_K, WARMEST_K = 233.15, 373.15
STEP = {System.US: 5.0, System.SI: 2.0}
"""Between the rows of the table, in the degrees shown."""


class SaturationSection(Section):
    """The card that answers, and the table for this refrigerant and this air pressure."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self.card = SaturationCard(host.units)
        self.table = SaturationTableCard(host.units)
        self.columns((9, (self.card,)), (11, (self.table,)))

    def refresh(self, given: Given) -> None:
        """Answer for another refrigerant or air pressure, or in other units."""
        self.card.refresh(given.curve, given.barometer_pa)
        self.table.refresh(given)


class SaturationTableCard(Card):
    """The saturation table in the units shown, gauge pressures counting from the local air."""

    def __init__(self, units: Units, parent: QWidget | None = None) -> None:
        super().__init__("Table", parent=parent)
        self._units = units
        self._shown: tuple[str, float, System] | None = None
        self.grid = Grid("saturation table")
        self.body.addWidget(self.grid)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)

    def refresh(self, given: Given) -> None:
        """Write the table anew when it has become another one."""
        shown = given.refrigerant, given.barometer_pa, self._units.system
        if shown == self._shown:
            return
        self._shown = shown
        self.set_title(f"Saturation table of {given.refrigerant}", f"gauge counts from {given.air.origin}")
        degree = unit("°F" if self._units.system is System.US else "°C", Kind.TEMPERATURE)
        temperatures = round_temperatures_k(
            given.curve, STEP[self._units.system] * degree.factor, degree.offset, COLDEST_K, WARMEST_K
        )
        table = saturation_table(given.fluid, temperatures)
        self.grid.write(
            self._headings(),
            [self._row(table, place, given.barometer_pa) for place in range(len(temperatures))],
        )

    def _headings(self) -> tuple[str, ...]:
        label = self._units.label
        return (
            label(Kind.TEMPERATURE),
            label(Kind.PRESSURE),
            label(Kind.PRESSURE, absolute=True),
            f"liquid\n{label(Kind.DENSITY)}",
            f"vapour\n{label(Kind.DENSITY)}",
            f"latent heat\n{label(Kind.SPECIFIC_ENERGY)}",
        )

    def _row(self, table: SaturationTable, place: int, barometer_pa: float) -> tuple[str, ...]:
        value = self._units.value
        pressure = float(table.pressure_pa[place])
        numbers = (
            (value(float(table.temperature_k[place]), Kind.TEMPERATURE), 0),
            (value(pressure, Kind.PRESSURE, barometer_pa=barometer_pa), 2),
            (value(pressure, Kind.PRESSURE, absolute=True), 2),
            (value(float(table.liquid_density_kg_m3[place]), Kind.DENSITY), 1),
            (value(float(table.vapour_density_kg_m3[place]), Kind.DENSITY), 2),
            (value(float(table.latent_heat_j_kg[place]), Kind.SPECIFIC_ENERGY), 1),
        )
        return tuple(
            f"{number + 0.0:.{decimals}f}".replace("-", "\N{MINUS SIGN}") for number, decimals in numbers
        )
