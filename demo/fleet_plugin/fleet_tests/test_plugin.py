"""The plugin as the program sees it: what it brings, and its page on a library with its tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_fleet import library, plugin
from knowngood_fleet.panels.page import FleetPage
from knowngood_fleet.tables import PREFIX
from knowngood_refdata import plugin_tables
from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.queries import vehicles

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.api import Host


def test_it_brings_a_page_tables_a_reader_a_command_and_a_part_of_the_report() -> None:
    """Each under its name, which a library or a user may know by now."""
    assert [page.key for page in plugin.pages()] == ["fleet"]
    assert [one.name for one in plugin.log_readers()] == ["Fleet telematics"]
    assert [one.name for one in plugin.commands()] == ["fleet-lists"]
    tables = plugin.tables()
    assert (tables.prefix, [step.number for step in tables.steps]) == (PREFIX, [1, 2])


def test_its_page_shows_a_unit_after_its_tables_were_made(host: Host, settle: Callable[[], None]) -> None:
    """The tables are made as the program makes them when the plugin is enabled."""
    steps = [step.run for step in plugin.tables().steps]
    plugin_tables.make(host.store, "fleet", PREFIX, steps)
    design = vehicles.add_vehicle(host.store, VehicleDraft("Tarn", "Wherry", "city bus", 2022))
    vehicles.add_unit(host.store, design, fleet_number="HL-901")
    library.add_units(host.store, library.cars(host.store), "Quay", "city bus")
    page = FleetPage(host)
    page.refresh()
    settle()
    assert page.fleet is not None
    assert [one.unit.name for one in page.fleet.units] == ["HL-901"]
    page.show_section("unit")
    assert "HL-901" in page.sections.sheet().html
    page.deleteLater()
