"""Edit vehicles and their cars, delete them and bring them back; each with a reason, kept in the history.

A deleted record is only marked: what hangs on it, sessions and readings above all, stays where it is.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from knowngood_refdata.errors import NotFound
from knowngood_refdata.models import Configuration, UnitRow
from knowngood_refdata.queries.reasons import need_reason
from knowngood_refdata.queries.vehicle_entry import (
    at_version,
    check_draft,
    configuration,
    describe,
    fill_unit,
)
from knowngood_refdata.queries.vehicle_words import refresh

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.drafts import UnitDraft, VehicleDraft
    from knowngood_refdata.store import Store


def edit_vehicle(store: Store, vehicle_id: int, version: int, draft: VehicleDraft, why: str) -> None:
    """Have a vehicle say what a draft says; the spec values of the draft are not looked at.

    Raises
    ------
    ValueError
        When make or model is missing, the years make no range, or there is no reason.
    NotFound, Conflict
        When there is no such vehicle, or it is no longer at the version that was shown.
    """
    check_draft(draft)
    with store.writing(need_reason(why)) as session:
        row = at_version(configuration(session, vehicle_id), version)
        describe(session, row, draft)
        refresh(session, [vehicle_id])


def delete_vehicle(store: Store, vehicle_id: int, version: int, why: str) -> None:
    """Mark a vehicle as deleted: no list shows it, and everything that hangs on it stays.

    Raises
    ------
    NotFound, Conflict, WhyMissing
        As for `edit_vehicle`.
    """
    with store.writing(need_reason(why)) as session:
        at_version(configuration(session, vehicle_id), version).deleted_at = datetime.now(UTC)


def restore_vehicle(store: Store, vehicle_id: int, why: str) -> None:
    """Bring a deleted vehicle back; nothing happens to one that is not deleted.

    Raises
    ------
    NotFound, WhyMissing
        As for `edit_vehicle`.
    """
    with store.writing(need_reason(why)) as session:
        row = session.get(Configuration, vehicle_id)
        if row is None:
            raise NotFound(f"The library never held a vehicle number {vehicle_id}. Nothing was changed.")
        row.deleted_at = None
        refresh(session, [vehicle_id])


def edit_unit(store: Store, unit_id: int, version: int, draft: UnitDraft, why: str) -> None:
    """Have a car say what a draft says.

    Raises
    ------
    NotFound, Conflict, WhyMissing
        When there is no such car, it is no longer at the version that was shown, or there is no reason.
    """
    with store.writing(need_reason(why)) as session:
        row = fill_unit(at_version(_unit(session, unit_id), version), draft)
        refresh(session, [row.configuration_id])


def delete_unit(store: Store, unit_id: int, version: int, why: str) -> None:
    """Mark a car as deleted; its sessions and readings stay.

    Raises
    ------
    NotFound, Conflict, WhyMissing
        As for `edit_unit`.
    """
    with store.writing(need_reason(why)) as session:
        row = at_version(_unit(session, unit_id), version)
        row.deleted_at = datetime.now(UTC)
        refresh(session, [row.configuration_id])


def restore_unit(store: Store, unit_id: int, why: str) -> None:
    """Bring a deleted car back; nothing happens to one that is not deleted.

    Raises
    ------
    NotFound, WhyMissing
        As for `edit_unit`.
    """
    with store.writing(need_reason(why)) as session:
        row = _unit(session, unit_id, deleted=True)
        row.deleted_at = None
        refresh(session, [row.configuration_id])


def _unit(session: Session, unit_id: int, *, deleted: bool = False) -> UnitRow:
    row = session.get(UnitRow, unit_id)
    if row is None or (row.deleted_at is not None and not deleted):
        raise NotFound(f"The library holds no car number {unit_id}. Nothing was changed.")
    return row
