"""The book: readings, and the decisions about their standing."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import Select, func, select

from knowngood_refdata.errors import Conflict, NotFound
from knowngood_refdata.models import Configuration, ReadingRow, ReadingValue
from knowngood_refdata.queries.bulk import slices
from knowngood_refdata.queries.conditions import columns_of, conditions_of
from knowngood_refdata.queries.estimates import estimates_of, value_rows
from knowngood_refdata.records import Reading, Standing

if TYPE_CHECKING:
    from collections.abc import Collection

    from knowngood_refdata.drafts import ReadingDraft
    from knowngood_refdata.store import Store


class ReasonMissing(ValueError):  # noqa: N818 - reads as what it is
    """A reading changes its standing only with a reason and under a name."""


def add(store: Store, draft: ReadingDraft) -> int:
    """Add a reading to the book; its id.

    Raises
    ------
    ReasonMissing
        When it is to be more than a candidate without a reason or without a user's name.
    """
    return add_many(store, [draft])[0]


def add_many(store: Store, drafts: list[ReadingDraft]) -> list[int]:
    """Add readings to the book, all or none; their ids in the same order."""
    for draft in drafts:
        if draft.standing is not Standing.CANDIDATE:
            _need_reason(store, draft.decided_why)
    with store.writing("reading added") as session:
        rows = [_row_of(store, draft) for draft in drafts]
        session.add_all(rows)
        session.flush()
        return [row.id for row in rows]


def readings(store: Store, vehicle_id: int, standing: Standing | None = None) -> tuple[Reading, ...]:
    """The readings of a vehicle configuration, the oldest first."""
    return _readings(store, select(ReadingRow).where(ReadingRow.configuration_id == vehicle_id), standing)


def family_readings(store: Store, family_id: int, standing: Standing | None = None) -> tuple[Reading, ...]:
    """The readings of all configurations of a system family, the oldest first."""
    members = select(Configuration.id).where(
        Configuration.family_id == family_id, Configuration.deleted_at.is_(None)
    )
    query = select(ReadingRow).where(ReadingRow.configuration_id.in_(members))
    return _readings(store, query, standing)


def of_standing(store: Store, standing: Standing, ids: Collection[int] | None = None) -> tuple[Reading, ...]:
    """All readings of a standing on vehicles on record, or some of them by number; the oldest first."""
    on_record = select(Configuration.id).where(Configuration.deleted_at.is_(None))
    query = select(ReadingRow).where(ReadingRow.configuration_id.in_(on_record))
    if ids is None:
        return _readings(store, query, standing)
    found = [
        one
        for part in slices(sorted(ids))
        for one in _readings(store, query.where(ReadingRow.id.in_(part)), standing)
    ]
    return tuple(found)


def count(store: Store, vehicle_id: int, standing: Standing) -> tuple[int, int]:
    """How many readings of a standing a vehicle configuration has, and of how many named cars."""
    query = select(func.count(), func.count(ReadingRow.unit_id.distinct())).where(
        ReadingRow.configuration_id == vehicle_id,
        ReadingRow.standing == standing.value,
        ReadingRow.deleted_at.is_(None),
    )
    with store.reading() as session:
        readings_held, cars = session.execute(query).one()
        return readings_held, cars


def decide(store: Store, reading_id: int, version: int, standing: Standing, why: str) -> None:
    """Change the standing of a reading, under the user's name and with a reason.

    Raises
    ------
    ReasonMissing
        Without a reason or a user's name.
    Conflict
        When the reading is no longer at the version that was shown.
    """
    _need_reason(store, why)
    with store.writing(why) as session:
        row = session.get(ReadingRow, reading_id)
        if row is None or row.deleted_at is not None:
            raise NotFound(f"The book holds no reading number {reading_id}. Nothing was changed.")
        if row.version != version:
            raise Conflict(
                "Someone else decided about this reading since it was shown. Their decision was kept. "
                "Look at it and decide again."
            )
        row.standing = standing.value
        row.decided_by, row.decided_at, row.decided_why = store.user, datetime.now(UTC), why


def _need_reason(store: Store, why: str) -> None:
    if not why.strip():
        raise ReasonMissing("A reading changes its standing only with a reason. Nothing was changed.")
    if not store.user.strip():
        raise ReasonMissing(
            "A reading changes its standing only under a name. Nothing was changed. Enter yours in Settings."
        )


def _readings(store: Store, query: Select[ReadingRow], standing: Standing | None) -> tuple[Reading, ...]:
    query = query.where(ReadingRow.deleted_at.is_(None))
    if standing is not None:
        query = query.where(ReadingRow.standing == standing.value)
    with store.reading() as session:
        rows = session.scalars(query.order_by(ReadingRow.taken_at, ReadingRow.id))
        return tuple(_reading(row) for row in rows)


def _row_of(store: Store, draft: ReadingDraft) -> ReadingRow:
    decided = draft.standing is not Standing.CANDIDATE
    return ReadingRow(
        **columns_of(draft.conditions),
        configuration_id=draft.vehicle_id,
        unit_id=draft.unit_id,
        session_id=draft.session_id,
        taken_at=draft.taken_at,
        engine_rpm=draft.engine_rpm,
        fan_stage=draft.fan_stage,
        standing=draft.standing.value,
        decided_by=store.user if decided else "",
        decided_at=datetime.now(UTC) if decided else None,
        decided_why=draft.decided_why,
        values=value_rows(ReadingValue, draft.values),
    )


def _reading(row: ReadingRow) -> Reading:
    unit = row.unit
    return Reading(
        id=row.id,
        vehicle_id=row.configuration_id,
        unit_id=row.unit_id,
        session_id=row.session_id,
        taken_at=row.taken_at,
        conditions=conditions_of(row),
        engine_rpm=row.engine_rpm,
        fan_stage=row.fan_stage,
        values=estimates_of(row.values),
        standing=Standing(row.standing),
        decided_by=row.decided_by,
        decided_why=row.decided_why,
        unit_name="" if unit is None else unit.fleet_number or unit.vin or unit.note,
        version=row.version,
    )
