"""Undo any change in the history of a vehicle; the undoing is a change itself and can be undone, too."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.errors import Conflict, NotFound
from knowngood_refdata.models import Audit, Configuration, Maker, SystemFamily
from knowngood_refdata.queries.audited import row_of, stands, vehicles_of, write_back
from knowngood_refdata.queries.reasons import bind_together, need_reason
from knowngood_refdata.queries.vehicle_words import refresh

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.models.base import Stamped
    from knowngood_refdata.store import Store


def undo(store: Store, change_id: int, why: str) -> None:
    """Take a change back, with all that was done together with it (a correction, a merging).

    Parameters
    ----------
    change_id
        `knowngood_refdata.queries.history.Change.id`.

    Raises
    ------
    Conflict
        When later changes stand on it; they are named, and nothing is changed.
    NotFound, WhyMissing
        When there is no such change, or no reason.
    """
    with store.writing(need_reason(why)) as session:
        change = session.get(Audit, change_id)
        if change is None:
            raise NotFound(f"The history holds no change number {change_id}. Nothing was changed.")
        changes = _done_together(session, change)
        if len(changes) > 1:
            bind_together(session)
        touched: set[int] = set()
        for one in changes:
            touched |= _take_back(session, one)
        refresh(session, touched)


def _done_together(session: Session, change: Audit) -> list[Audit]:
    """The changes to be taken back, the last first. An import is taken back by its own means."""
    if change.batch_id is None or change.batch_id > 0:
        return [change]
    query = select(Audit).where(Audit.batch_id == change.batch_id).order_by(Audit.id.desc())
    return list(session.scalars(query))


def _take_back(session: Session, change: Audit) -> set[int]:
    row = row_of(session, change)
    if row is None or not stands(row, change):
        raise Conflict(_stood_upon(session, change))
    if change.action == "added":
        _see_that_nothing_belongs_to(session, row)
        row.deleted_at = datetime.now(UTC)
    else:
        write_back(row, change.before)
    session.flush()
    session.expire(row)
    return vehicles_of(row, (change.before, change.after))


def _stood_upon(session: Session, change: Audit) -> str:
    later = session.scalar(
        select(Audit)
        .where(Audit.table_name == change.table_name, Audit.row_id == change.row_id, Audit.id > change.id)
        .order_by(Audit.id.desc())
        .limit(1)
    )
    if later is None:
        return "This change cannot be undone: what it wrote is no longer there. Nothing was changed."
    return (
        f"This change was followed by another, made by {later.who or 'someone'} on {later.at:%Y-%m-%d} "
        f"({later.why}). Nothing was changed. Undo that one first."
    )


def _see_that_nothing_belongs_to(session: Session, row: Stamped) -> None:
    if isinstance(row, Maker):
        belongs = Configuration.maker_id == row.id
    elif isinstance(row, SystemFamily):
        belongs = Configuration.family_id == row.id
    else:
        return
    query = select(Configuration.id).where(belongs, Configuration.deleted_at.is_(None)).limit(1)
    if session.scalar(query) is not None:
        raise Conflict(f"Vehicles belong to {row.name}. Nothing was changed. Move them first.")
