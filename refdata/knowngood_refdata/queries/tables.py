"""Published performance tables of a vehicle, or of a system family and so of all its vehicles."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import or_, select

from knowngood_refdata.errors import Conflict, NotFound, UnfitValue
from knowngood_refdata.models import Configuration, PerformanceTableRow, SystemFamily
from knowngood_refdata.published.reading import from_document
from knowngood_refdata.published.terms import BadTable
from knowngood_refdata.published.writing import to_document
from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from typing import Any

    from sqlalchemy.orm import Session

    from knowngood_refdata.published.table import PerformanceTable
    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class TableDraft:
    """A published table to be kept, with the publication it stands in."""

    table: PerformanceTable
    source_kind: SourceKind
    citation: str
    revision: str = ""
    page: str = ""
    reviewed_by: str = ""


@dataclass(frozen=True, slots=True)
class StoredTable:
    """A published table on record: of one vehicle, or of a family (then ``vehicle_id`` is None).

    ``table`` is None where the library holds a form that this program cannot read; ``unreadable`` says why.
    """

    id: int
    vehicle_id: int | None
    family_id: int | None
    title: str
    generic: bool
    table: PerformanceTable | None
    source_kind: SourceKind
    citation: str
    revision: str
    page: str
    reviewed_by: str
    entered_by: str
    entered_at: datetime
    version: int
    unreadable: str = ""


def add(
    store: Store, draft: TableDraft, *, vehicle_id: int | None = None, family_id: int | None = None
) -> int:
    """Keep a published table for a vehicle or for a whole family, one of the two; its id.

    Raises
    ------
    UnfitValue
        Without a citation, or when it is for both or neither.
    NotFound
        When there is no such vehicle or family.
    """
    if (vehicle_id is None) == (family_id is None):
        raise UnfitValue("A table belongs to a vehicle or to a family, to one of them. Nothing was stored.")
    _see_that_cited(draft)
    with store.writing("performance table added") as session:
        _see_that_there(session, vehicle_id, family_id)
        row = PerformanceTableRow(configuration_id=vehicle_id, family_id=family_id, **_columns(draft))
        session.add(row)
        session.flush()
        return row.id


def edit(store: Store, table_id: int, version: int, draft: TableDraft) -> None:
    """Correct a table; what stood before stays in the audit trail.

    Raises
    ------
    UnfitValue
        Without a citation.
    Conflict
        When the table is no longer at the version that was shown.
    """
    _see_that_cited(draft)
    with store.writing("performance table corrected") as session:
        row = _at_version(session, table_id, version)
        for name, value in _columns(draft).items():
            setattr(row, name, value)


def retire(store: Store, table_id: int, version: int, why: str) -> None:
    """Take a table out of use with a reason; `restore` brings it back.

    Raises
    ------
    UnfitValue
        Without a reason.
    Conflict
        When the table is no longer at the version that was shown.
    """
    if not why.strip():
        raise UnfitValue("A table is taken out of use only with a reason. Nothing was changed.")
    with store.writing(why) as session:
        _at_version(session, table_id, version).deleted_at = datetime.now(UTC)


def restore(store: Store, table_id: int, version: int) -> None:
    """Bring a table back into use.

    Raises
    ------
    Conflict
        When the table is no longer at the version that was shown.
    """
    with store.writing("performance table brought back") as session:
        _at_version(session, table_id, version).deleted_at = None


def table(store: Store, table_id: int) -> StoredTable:
    """One table, in use or not.

    Raises
    ------
    NotFound
        When there is none of this number.
    """
    with store.reading() as session:
        return _stored(_row(session, table_id))


def tables(store: Store, vehicle_id: int, *, retired: bool = False) -> tuple[StoredTable, ...]:
    """The tables of a vehicle, its own before those of its family; those out of use when ``retired``."""
    family = select(Configuration.family_id).where(Configuration.id == vehicle_id).scalar_subquery()
    deleted = PerformanceTableRow.deleted_at
    query = select(PerformanceTableRow).where(
        or_(PerformanceTableRow.configuration_id == vehicle_id, PerformanceTableRow.family_id == family),
        deleted.is_not(None) if retired else deleted.is_(None),
    )
    own_first = PerformanceTableRow.configuration_id.is_(None)
    with store.reading() as session:
        rows = session.scalars(query.order_by(own_first, PerformanceTableRow.id))
        return tuple(_stored(row) for row in rows)


def _see_that_cited(draft: TableDraft) -> None:
    if not draft.citation.strip():
        raise UnfitValue("A published table needs the publication it stands in. Nothing was stored.")


def _see_that_there(session: Session, vehicle_id: int | None, family_id: int | None) -> None:
    owner = session.get(Configuration, vehicle_id) if family_id is None else None
    if family_id is not None:
        kept = SystemFamily.deleted_at.is_(None)
        found = session.scalar(select(SystemFamily.id).where(SystemFamily.id == family_id, kept))
        if found is None:
            raise NotFound(f"The library holds no system family number {family_id}. Nothing was stored.")
    elif owner is None or owner.deleted_at is not None:
        raise NotFound(f"The library holds no vehicle number {vehicle_id}. Nothing was stored.")


def _columns(draft: TableDraft) -> dict[str, Any]:
    return {
        **to_document(draft.table),
        "source_kind": draft.source_kind.value,
        "citation": draft.citation.strip(),
        "revision": draft.revision.strip(),
        "page": draft.page.strip(),
        "reviewed_by": draft.reviewed_by.strip(),
    }


def _row(session: Session, table_id: int) -> PerformanceTableRow:
    row = session.get(PerformanceTableRow, table_id)
    if row is None:
        raise NotFound(f"The library holds no performance table number {table_id}. Nothing was changed.")
    return row


def _at_version(session: Session, table_id: int, version: int) -> PerformanceTableRow:
    row = _row(session, table_id)
    if row.version != version:
        raise Conflict(
            "Someone else changed this table since it was shown. Their version was kept and yours was not "
            "stored. Look at the new version and enter your change again."
        )
    return row


def _stored(row: PerformanceTableRow) -> StoredTable:
    found, unreadable = None, ""
    try:
        found = from_document(document_of(row))
    except BadTable as error:
        unreadable = str(error)
    return StoredTable(
        id=row.id,
        vehicle_id=row.configuration_id,
        family_id=row.family_id,
        title=row.title,
        generic=row.generic,
        table=found,
        source_kind=SourceKind(row.source_kind),
        citation=row.citation,
        revision=row.revision,
        page=row.page,
        reviewed_by=row.reviewed_by,
        entered_by=row.created_by,
        entered_at=row.created_at,
        version=row.version,
        unreadable=unreadable,
    )


def document_of(row: PerformanceTableRow) -> dict[str, Any]:
    """The document of a stored table, as `knowngood_refdata.published.reading.from_document` reads it."""
    return {name: getattr(row, name) for name in ("title", "circuit", "generic", "setup", "content")}
