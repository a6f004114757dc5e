"""Recorded sessions: save, list, read back; the mapping of columns that was confirmed before."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import zstandard
from sqlalchemy import func, select

from knowngood_refdata.errors import Conflict, NotFound
from knowngood_refdata.models import ImportMapping, SessionRow, SourceFile
from knowngood_refdata.plain_errors import damaged
from knowngood_refdata.queries.conditions import (
    columns_of,
    conditions_of,
    instruments_from_json,
    instruments_to_json,
)
from knowngood_refdata.queries.findings import findings, first_findings, save_findings
from knowngood_refdata.queries.session_samples import pack_all, read_samples, write_channels
from knowngood_refdata.records import SessionInfo

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from knowngood_refdata.drafts import SessionDraft
    from knowngood_refdata.records import Conditions, Instruments, Recording
    from knowngood_refdata.store import Store

__all__ = [
    "count",
    "find_by_hash",
    "findings",
    "info",
    "info_of",
    "list_sessions",
    "recording",
    "remember_mapping",
    "remembered_mapping",
    "remove",
    "save",
    "save_findings",
    "session_row",
    "source",
    "update_conditions",
]


def save(store: Store, draft: SessionDraft, recorded: Recording, content: bytes) -> int:
    """Save a session with its samples, its source file and its findings, all or nothing; its id.

    The same file may stand behind several sessions; it is stored once.

    Raises
    ------
    UnfitValue
        When a channel has not a sample at each time, or a text or number cannot be stored.
    """
    # Everything that takes time is done before the library is locked for writing.
    packed = pack_all(recorded)
    digest = hashlib.sha256(content).hexdigest()
    compressed = zstandard.ZstdCompressor(level=3, write_checksum=True).compress(content)
    with store.writing("session saved") as session:
        row = SessionRow(
            **columns_of(draft.conditions),
            configuration_id=draft.vehicle_id,
            unit_id=draft.unit_id,
            source=_source_file(session, digest, draft.source_name, len(content), compressed),
            title=draft.title,
            started_at=draft.started_at,
            refrigerant=draft.refrigerant,
            instruments=instruments_to_json(draft.instruments),
            duration_s=float(recorded.time_s[-1] - recorded.time_s[0]) if len(recorded.time_s) else 0.0,
            sample_count=len(recorded.time_s),
            technician=draft.technician or store.user,
            note=draft.note,
        )
        session.add(row)
        session.flush()
        write_channels(session, row.id, recorded, packed)
        if draft.findings is not None:
            first_findings(session, row.id, draft.findings)
        return row.id


def info(store: Store, session_id: int) -> SessionInfo:
    """A session without its samples.

    Raises
    ------
    NotFound
        When there is none of this number.
    """
    with store.reading() as session:
        return info_of(session_row(session, session_id))


def list_sessions(store: Store, vehicle_id: int | None = None, limit: int = 200) -> tuple[SessionInfo, ...]:
    """The latest sessions, of one vehicle or of all."""
    query = select(SessionRow).where(SessionRow.deleted_at.is_(None))
    if vehicle_id is not None:
        query = query.where(SessionRow.configuration_id == vehicle_id)
    with store.reading() as session:
        rows = session.scalars(query.order_by(SessionRow.id.desc()).limit(limit))
        return tuple(info_of(row) for row in rows)


def count(store: Store, vehicle_id: int) -> int:
    """How many sessions of a vehicle configuration were recorded, cuts not counted."""
    query = select(func.count()).where(
        SessionRow.configuration_id == vehicle_id,
        SessionRow.deleted_at.is_(None),
        SessionRow.parent_id.is_(None),
    )
    with store.reading() as session:
        return session.scalar(query) or 0


def find_by_hash(store: Store, sha256: str) -> SessionInfo | None:
    """The latest session made from a file of this SHA-256, cuts left aside; None when the file is new."""
    query = (
        select(SessionRow)
        .join(SessionRow.source)
        .where(SourceFile.sha256 == sha256, SessionRow.deleted_at.is_(None), SessionRow.parent_id.is_(None))
        .order_by(SessionRow.id.desc())
        .limit(1)
    )
    with store.reading() as session:
        row = session.scalar(query)
        return None if row is None else info_of(row)


def recording(store: Store, session_id: int) -> Recording:
    """The samples of a session, as the file gave them; of a cut those of its parent within it.

    Raises
    ------
    LibraryDamaged
        When the samples are no longer what was stored.
    """
    with store.reading() as session:
        stored = read_samples(session, session_row(session, session_id))
    return stored.unpacked(store.place)


def source(store: Store, session_id: int) -> bytes:
    """The log file of a session, byte for byte.

    Raises
    ------
    LibraryDamaged
        When the file is no longer what was stored.
    """
    with store.reading() as session:
        content = session_row(session, session_id).source.content
    try:
        return zstandard.ZstdDecompressor().decompress(content)
    except zstandard.ZstdError as error:
        raise damaged(store.place, f"the log file of session {session_id}") from error


def update_conditions(
    store: Store, session_id: int, version: int, conditions: Conditions, instruments: Instruments
) -> None:
    """Correct how a session was run and measured.

    Raises
    ------
    Conflict
        When the session is no longer at the version that was shown.
    """
    with store.writing("conditions corrected") as session:
        row = session_row(session, session_id)
        if row.version != version:
            raise Conflict(
                "Someone else changed the conditions of this session since they were shown. Theirs were kept "
                "and yours were not stored. Look at the new ones and enter your change again."
            )
        for name, value in columns_of(conditions).items():
            setattr(row, name, value)
        row.instruments = instruments_to_json(instruments)


def remove(store: Store, session_id: int, version: int, why: str) -> None:
    """Mark a session as deleted. Samples, file and findings stay in the library; no list shows it any more.

    Raises
    ------
    Conflict
        When the session is no longer at the version that was shown.
    """
    with store.writing(why) as session:
        row = session_row(session, session_id)
        if row.version != version:
            raise Conflict(
                "Someone else changed this session since it was shown. It was kept with their changes. "
                "Look at it and decide again."
            )
        row.deleted_at = datetime.now(UTC)


def remember_mapping(store: Store, signature: str, mapping: Mapping[str, Mapping[str, object]]) -> None:
    """Keep what the columns of logs with this header mean."""
    plain: dict[str, Any] = {name: dict(meaning) for name, meaning in mapping.items()}
    with store.writing("mapping confirmed") as session:
        row = session.scalar(select(ImportMapping).where(ImportMapping.signature == signature))
        if row is None:
            session.add(ImportMapping(signature=signature, mapping=plain))
        else:
            row.mapping = plain


def remembered_mapping(store: Store, signature: str) -> Mapping[str, Mapping[str, object]] | None:
    """What the columns of logs with this header meant when last confirmed, None when never."""
    with store.reading() as session:
        return session.scalar(select(ImportMapping.mapping).where(ImportMapping.signature == signature))


def _source_file(session: Session, digest: str, name: str, size: int, compressed: bytes) -> SourceFile:
    found = session.scalar(select(SourceFile).where(SourceFile.sha256 == digest))
    if found is not None:
        return found
    # A file's name may hold bytes that are no text; the file is no worse for it.
    readable = name.replace("\0", "").encode(errors="backslashreplace").decode()
    return SourceFile(sha256=digest, name=readable, size=size, content=compressed)


def session_row(session: Session, session_id: int) -> SessionRow:
    """The row of a session that is not deleted.

    Raises
    ------
    NotFound
        When there is none.
    """
    row = session.get(SessionRow, session_id)
    if row is None or row.deleted_at is not None:
        raise NotFound(f"The library holds no session number {session_id}. It may have been deleted.")
    return row


def info_of(row: SessionRow) -> SessionInfo:
    """The session in a row."""
    return SessionInfo(
        id=row.id,
        vehicle_id=row.configuration_id,
        unit_id=row.unit_id,
        title=row.title,
        started_at=row.started_at,
        refrigerant=row.refrigerant,
        conditions=conditions_of(row),
        instruments=instruments_from_json(row.instruments),
        duration_s=row.duration_s,
        sample_count=row.sample_count,
        source_name=row.source.name,
        source_sha256=row.source.sha256,
        technician=row.technician,
        note=row.note,
        version=row.version,
        parent_id=row.parent_id,
        from_s=row.from_s,
        until_s=row.until_s,
    )
