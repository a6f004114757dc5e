"""Take an import back: everything it added is marked as deleted, unless something later stands on it."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import exists, false, func, not_, or_, select, update
from sqlalchemy.orm import aliased

from knowngood_refdata import auditing
from knowngood_refdata.errors import Conflict, NotFound, UnfitValue
from knowngood_refdata.import_plan import Kept, Undone
from knowngood_refdata.models import Audit, Base, Configuration, ImportBatch, SpecValueRow, UnitRow
from knowngood_refdata.queries.bulk import slices
from knowngood_refdata.queries.import_fills import take_back
from knowngood_refdata.queries.vehicle_words import refresh

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from sqlalchemy import ColumnElement, Select, Table
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store

_CHANGED = "changed since"
_WORDS = {"configuration": "vehicle", "unit": "car", "spec_decision": "decision"}
"""Names of tables for people where the table has another."""


def undo_import(
    store: Store, batch_id: int, why: str, progress: Callable[[float], None] = lambda _: None
) -> Undone:
    """Mark everything that an import added as deleted, in one transaction; what was kept and why.

    A row that was changed since, or on which something later stands (a reading of a vehicle, a decision
    for a value), is kept.

    Raises
    ------
    UnfitValue
        Without a reason.
    NotFound, Conflict
        When there is no such import, or it was taken back already.
    """
    if not why.strip():
        raise UnfitValue("An import is taken back only with a reason. Nothing was changed.")
    with store.writing(why) as session:
        batch = session.get(ImportBatch, batch_id)
        if batch is None:
            raise NotFound(f"The library knows no import number {batch_id}. Nothing was changed.")
        if batch.undone_at is not None:
            raise Conflict("This import was taken back already. Nothing was changed.")
        batch.undone_at = datetime.now(UTC)
        session.flush()
        undone = _Undoing(session, batch_id, batch.undone_at, progress).make()
        progress(1.0)
        return undone


class _Undoing:
    """Taking back one import within one transaction."""

    def __init__(
        self, session: Session, batch_id: int, at: datetime, progress: Callable[[float], None]
    ) -> None:
        self._session = session
        self._batch_id = batch_id
        self._at = at
        self._progress = progress
        self._taken: Counter[str] = Counter()
        self._kept: list[Kept] = []
        self._added_rows = self._count()
        self._last = session.scalar(select(func.max(Audit.id)).where(Audit.batch_id == batch_id)) or 0

    def make(self) -> Undone:
        filled, self._kept = take_back(self._session, self._batch_id)
        if filled:
            self._taken[f"{Configuration.__tablename__} filled in"] = len(filled)
        for table in _leaves_first():
            for only in _generations(table):
                self._take_back(table, only)
        self._renew(filled)
        return Undone(dict(self._taken), tuple(self._kept))

    def _take_back(self, table: Table, only: ColumnElement[bool]) -> None:
        added = set(self._session.scalars(self._added(table).where(only)))
        if not added:
            return
        reasons: dict[int, str] = dict.fromkeys(self._session.scalars(self._changed(table)), _CHANGED)
        for below, link in _standing_on(table):
            words = f"a {_WORDS.get(below.name, below.name.replace('_', ' '))} stands on it"
            query = self._added(table).where(_exists_on(table, below, link))
            for number in self._session.scalars(query):
                reasons.setdefault(number, words)
        self._kept += [Kept(table.name, number, reasons[number]) for number in sorted(added & reasons.keys())]
        self._mark(table, sorted(added - reasons.keys()))

    def _added(self, table: Table) -> Select[int]:
        """The rows of a table that the import added and that are not deleted."""
        return (
            select(table.c.id)
            .join(Audit, Audit.row_id == table.c.id)
            .where(*self._by_import(Audit, table), table.c.deleted_at.is_(None))
        )

    def _changed(self, table: Table) -> Select[int]:
        """The rows of a table that the import added and that someone changed since.

        Whoever writes holds the library alone: what follows the import's last entry in the trail came later.
        """
        added, later = aliased(Audit), aliased(Audit)
        return (
            select(added.row_id)
            .join(later, (later.table_name == added.table_name) & (later.row_id == added.row_id))
            .where(*self._by_import(added, table), later.id > self._last)
        )

    def _count(self) -> int:
        """How many rows the import added."""
        added = (Audit.batch_id == self._batch_id, Audit.action == "added")
        return self._session.scalar(select(func.count()).select_from(Audit).where(*added)) or 0

    def _by_import(self, audit: type[Audit], table: Table) -> tuple[ColumnElement[bool], ...]:
        return (
            audit.batch_id == self._batch_id,
            audit.action == "added",
            audit.table_name == table.name,
        )

    def _mark(self, table: Table, ids: list[int]) -> None:
        who = self._session.info["who"]
        for part in slices(ids):
            self._session.execute(
                update(table)
                .where(table.c.id.in_(part))
                .values(deleted_at=self._at, changed_at=self._at, changed_by=who, version=table.c.version + 1)
            )
            auditing.note_deleted(self._session, table.name, part, self._at)
            self._taken[table.name] += len(part)
            self._progress(min(0.95, self._taken.total() / max(1, self._added_rows)))

    def _renew(self, filled: list[int]) -> None:
        """Have the vehicles that stay found by what they still hold."""
        refresh(self._session, filled)
        for below in (SpecValueRow, UnitRow):
            query = (
                select(below.configuration_id)
                .distinct()
                .join(Configuration, Configuration.id == below.configuration_id)
                .where(below.deleted_at == self._at, Configuration.deleted_at.is_(None))
            )
            refresh(self._session, self._session.scalars(query).all())


def _leaves_first() -> Iterator[Table]:
    """The tables that people edit, each before those it stands on."""
    for table in reversed(Base.metadata.sorted_tables):
        if "deleted_at" in table.c:
            yield table


def _standing_on(table: Table) -> Iterator[tuple[Table, str]]:
    """The tables whose rows can stand on rows of a table, with the column that says on which."""
    for below in _leaves_first():
        for key in below.foreign_keys:
            if key.column.table is table:
                yield below, key.parent.name


def _generations(table: Table) -> Iterator[ColumnElement[bool]]:
    """The rows of a table in turn, first those that stand on others of the same table (a session's cuts)."""
    links = [key.parent for key in table.foreign_keys if key.column.table is table]
    stands = or_(false(), *(link.is_not(None) for link in links))
    if links:
        yield stands
    yield not_(stands)


def _exists_on(table: Table, below: Table, link: str) -> ColumnElement[bool]:
    standing = below.alias()
    return exists().where(standing.c[link] == table.c.id, standing.c.deleted_at.is_(None))
