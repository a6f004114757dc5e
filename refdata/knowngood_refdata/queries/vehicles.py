"""The spec library: find, read and add vehicles, their spec values and their units."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import func, select

from knowngood_refdata.drafts import UnitDraft
from knowngood_refdata.models import Configuration, UnitRow
from knowngood_refdata.queries import finding, vehicle_entry
from knowngood_refdata.queries.vehicle_records import unit_of, vehicle_of
from knowngood_refdata.queries.vehicle_words import refresh

if TYPE_CHECKING:
    from knowngood_refdata.drafts import SpecDraft, VehicleDraft
    from knowngood_refdata.records import Unit, Vehicle
    from knowngood_refdata.store import Store


def count(store: Store) -> int:
    """How many vehicle configurations the library holds."""
    # The deleted ones have an index of their own, and all together are counted in the smallest there is.
    every = select(func.count()).select_from(Configuration)
    deleted = every.where(Configuration.deleted_at.is_not(None))
    with store.reading() as session:
        return (session.scalar(every) or 0) - (session.scalar(deleted) or 0)


def search(store: Store, text: str = "", limit: int = 500) -> tuple[Vehicle, ...]:
    """Whole records of the vehicles that hold every word of a text, see `finding.find` for a quick list."""
    with store.reading() as session:
        found = finding.ids(session, text, limit=limit)
        rows = session.scalars(select(Configuration).where(Configuration.id.in_(found)))
        by_id = {row.id: vehicle_of(session, row) for row in rows}
        return tuple(by_id[one] for one in found)


def vehicle(store: Store, vehicle_id: int) -> Vehicle:
    """One vehicle configuration.

    Raises
    ------
    NotFound
        When there is none, or it was deleted.
    """
    with store.reading() as session:
        return vehicle_of(session, vehicle_entry.configuration(session, vehicle_id))


def add_vehicle(store: Store, draft: VehicleDraft) -> int:
    """Add a vehicle configuration with its spec values; its id.

    Raises
    ------
    ValueError
        When make or model is missing or the years make no range.
    """
    vehicle_entry.check_draft(draft)
    with store.writing("vehicle added") as session:
        row = Configuration(search_text="", sort_key="")
        vehicle_entry.describe(session, row, draft)
        row.specs = [vehicle_entry.spec_row(one) for one in draft.specs]
        session.add(row)
        session.flush()
        refresh(session, [row.id])
        return row.id


def add_spec(store: Store, vehicle_id: int, draft: SpecDraft) -> int:
    """Add a spec value beside those on record; its id. Nothing is overwritten."""
    with store.writing("spec value added") as session:
        configuration = vehicle_entry.configuration(session, vehicle_id)
        row = vehicle_entry.spec_row(draft)
        configuration.specs.append(row)
        refresh(session, [vehicle_id])
        return row.id


def units(store: Store, vehicle_id: int) -> tuple[Unit, ...]:
    """The real cars of a configuration."""
    query = select(UnitRow).where(UnitRow.configuration_id == vehicle_id, UnitRow.deleted_at.is_(None))
    with store.reading() as session:
        return tuple(unit_of(row) for row in session.scalars(query.order_by(UnitRow.id)))


def add_unit(store: Store, vehicle_id: int, *, vin: str = "", fleet_number: str = "", note: str = "") -> int:
    """Add a real car of a configuration; its id."""
    with store.writing("unit added") as session:
        vehicle_entry.configuration(session, vehicle_id)
        row = UnitRow(configuration_id=vehicle_id)
        session.add(vehicle_entry.fill_unit(row, UnitDraft(vin, fleet_number, note)))
        refresh(session, [vehicle_id])
        return row.id
