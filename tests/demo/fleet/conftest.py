"""A library with the fleet's own tables, on each of the two databases, and cars of two designs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text
from tests.refdata.conftest import made_file, made_schema, postgres, server, store

from knowngood_fleet.rows import UNIT
from knowngood_fleet.tables import PREFIX, first_tables, repairs_and_checks
from knowngood_refdata import plugin_tables
from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from knowngood_refdata.store import Store

__all__ = ["made_file", "made_schema", "postgres", "server", "store"]


def make_tables(opened: Store) -> None:
    """The plugin's two steps, as the program takes them when the plugin is enabled."""
    with opened.engine.begin() as connection:
        UNIT.metadata.drop_all(connection)
        connection.execute(text("DELETE FROM plugin_schema"))
    plugin_tables.make(opened, "fleet", PREFIX, (first_tables, repairs_and_checks))


@pytest.fixture
def fleet_store(store: Store) -> Store:
    """An empty library with the fleet's tables."""
    make_tables(store)
    return store


def add_cars(opened: Store) -> int:
    """Enter four cars of one design, HL-901 to HL-904, and HL-951 of another; the number of the first."""
    charge = SpecDraft("charge", 5.0, "5.0 kg", SourceKind.UNDER_HOOD_LABEL, "label", tolerance=0.1)
    gas = SpecDraft("refrigerant", None, "R-134a", SourceKind.UNDER_HOOD_LABEL, "label")
    wherry = VehicleDraft("Tarn", "Wherry", "city bus", 2022, family="Wherry roof unit", specs=(gas, charge))
    first = vehicles.add_vehicle(opened, wherry)
    for number in range(901, 905):
        vehicles.add_unit(opened, first, fleet_number=f"HL-{number}")
    second = vehicles.add_vehicle(opened, VehicleDraft("Fen", "Punt", "van", 2022))
    vehicles.add_unit(opened, second, fleet_number="HL-951")
    return first


@pytest.fixture
def wherries(fleet_store: Store) -> int:
    """The number of the design of the cars HL-901 to HL-904."""
    return add_cars(fleet_store)
