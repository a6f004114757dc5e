"""Correct, retire and review spec values, and decide between those that differ. Nothing is overwritten.

A corrected value is a new one, entered by whoever corrects it and not yet reviewed; the old one is retired
and stays in the history. The two are bound together, so that undoing either undoes both.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.errors import NotFound, UnfitValue
from knowngood_refdata.models import Audit, SpecDecision, SpecValueRow
from knowngood_refdata.queries.reasons import bind_together, need_name, need_reason
from knowngood_refdata.queries.vehicle_entry import at_version, configuration, spec_row
from knowngood_refdata.queries.vehicle_words import refresh

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.drafts import SpecDraft
    from knowngood_refdata.store import Store


def correct_spec(store: Store, spec_id: int, version: int, draft: SpecDraft, why: str) -> int:
    """Put a new value of the same field in the place of one that was entered wrongly; the new one's id.

    A decision for the old value becomes one for the new.

    Raises
    ------
    UnfitValue
        When the draft is of another field, or there is no reason.
    NotFound, Conflict
        When there is no such value, or it is no longer at the version that was shown.
    """
    with store.writing(need_reason(why)) as session:
        old = at_version(_spec(session, spec_id), version)
        if draft.field != old.field:
            raise UnfitValue(
                f"A value of {old.field} cannot become one of {draft.field}. Nothing was changed. Retire it "
                "and add the other."
            )
        bind_together(session)
        new = spec_row(draft)
        new.configuration_id = old.configuration_id
        session.add(new)
        old.deleted_at = datetime.now(UTC)
        session.flush()
        decided = session.scalar(select(SpecDecision).where(SpecDecision.spec_value_id == spec_id))
        if decided is not None:
            decided.spec_value_id = new.id
        refresh(session, [old.configuration_id])
        return new.id


def retire_spec(store: Store, spec_id: int, version: int, why: str) -> None:
    """Mark a value as one that no longer counts; it stays in the history and can be brought back.

    Raises
    ------
    NotFound, Conflict, WhyMissing
        When there is no such value, it is no longer at the version that was shown, or there is no reason.
    """
    with store.writing(need_reason(why)) as session:
        row = at_version(_spec(session, spec_id), version)
        row.deleted_at = datetime.now(UTC)
        refresh(session, [row.configuration_id])


def restore_spec(store: Store, spec_id: int, why: str) -> None:
    """Bring a retired value back beside those on record.

    Raises
    ------
    NotFound, WhyMissing
        When there never was such a value, or there is no reason.
    """
    with store.writing(need_reason(why)) as session:
        row = _spec(session, spec_id, retired=True)
        row.deleted_at = None
        refresh(session, [row.configuration_id])


def review_spec(store: Store, spec_id: int, version: int) -> str:
    """Put the user's name to a value as its reviewer; a warning when it is stored but worth less, else "".

    Raises
    ------
    NotFound, Conflict, WhyMissing
        When there is no such value, it is no longer at the version that was shown, or the library was
        opened without a name.
    """
    name = need_name(store)
    with store.writing("reviewed") as session:
        row = at_version(_spec(session, spec_id), version)
        row.reviewed_by, row.reviewed_at = name, datetime.now(UTC)
        if row.created_by != name or not _others_work_here(session, name):
            return ""
        return (
            f"You entered {row.as_printed} yourself. Your review was stored. Have someone else compare it "
            "with the source, too."
        )


def decide(store: Store, vehicle_id: int, field: str, spec_id: int, why: str) -> None:
    """Decide which of several values of a field counts, under the user's name.

    Raises
    ------
    WhyMissing
        Without a reason or a name.
    NotFound
        When the vehicle holds no such value of the field.
    """
    need_name(store)
    with store.writing(need_reason(why)) as session:
        configuration(session, vehicle_id)
        value = _spec(session, spec_id)
        if (value.configuration_id, value.field) != (vehicle_id, field):
            raise NotFound(f"This vehicle holds no such value of {field}. Nothing was decided.")
        row = _decision(session, vehicle_id, field)
        if row is None:
            row = SpecDecision(configuration_id=vehicle_id, field=field)
            session.add(row)
        row.spec_value_id, row.why, row.deleted_at = spec_id, why.strip(), None


def undecide(store: Store, vehicle_id: int, field: str, why: str) -> None:
    """Take a decision back: the most trusted source counts again.

    Raises
    ------
    WhyMissing
        Without a reason.
    NotFound
        When nothing was decided.
    """
    with store.writing(need_reason(why)) as session:
        row = _decision(session, vehicle_id, field)
        if row is None or row.deleted_at is not None:
            raise NotFound(f"Nothing was decided about {field} of this vehicle. Nothing was changed.")
        row.deleted_at = datetime.now(UTC)


def _decision(session: Session, vehicle_id: int, field: str) -> SpecDecision | None:
    return session.scalar(
        select(SpecDecision).where(SpecDecision.configuration_id == vehicle_id, SpecDecision.field == field)
    )


def _others_work_here(session: Session, name: str) -> bool:
    return session.scalar(select(Audit.id).where(Audit.who.not_in((name, ""))).limit(1)) is not None


def _spec(session: Session, spec_id: int, *, retired: bool = False) -> SpecValueRow:
    row = session.get(SpecValueRow, spec_id)
    if row is None or (row.deleted_at is not None and not retired):
        raise NotFound(f"The library holds no spec value number {spec_id}. It may have been retired.")
    return row
