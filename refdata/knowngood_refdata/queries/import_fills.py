"""What an import writes into vehicles on record: names that were empty, and notes below those there."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.import_plan import Kept
from knowngood_refdata.models import Audit, Configuration
from knowngood_refdata.queries.audited import row_of, stands, write_back

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.import_plan import VehicleFill
    from knowngood_refdata.queries.import_rows import Makers

_NAMES = ("generation", "body", "vin_pattern")


def fill(session: Session, makers: Makers, vehicle_id: int, filling: VehicleFill) -> None:
    """Fill in what a vehicle does not say yet; what it says stays, whoever wrote it in the meantime."""
    row = session.get_one(Configuration, vehicle_id)
    for name in _NAMES:
        text = filling.details.get(name, "").strip()
        if text and not getattr(row, name):
            setattr(row, name, text)
    family = filling.details.get("family", "").strip()
    if family and row.family_id is None:
        row.family_id = makers.family_id(row.maker_id, family)
    row.notes = "\n".join(part for part in (row.notes, *filling.notes) if part)


def take_back(session: Session, batch_id: int) -> tuple[list[int], list[Kept]]:
    """Have vehicles say what they said before an import; their numbers, and those that changed since."""
    query = select(Audit).where(
        Audit.batch_id == batch_id,
        Audit.action == "changed",
        Audit.table_name == Configuration.__tablename__,
    )
    done: list[int] = []
    kept: list[Kept] = []
    for change in session.scalars(query.order_by(Audit.id.desc())).all():
        row = row_of(session, change)
        if row is None or row.deleted_at is not None:
            continue
        if stands(row, change):
            write_back(row, change.before)
            done.append(change.row_id)
        else:
            kept.append(Kept(Configuration.__tablename__, change.row_id, "changed since"))
    session.flush()
    return done, kept
