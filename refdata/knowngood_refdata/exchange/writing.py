"""Write the library, or a part of it, as an exchange file."""

from __future__ import annotations

import json
from collections import Counter
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import IO, TYPE_CHECKING, Any

from sqlalchemy import func, inspect, select

from knowngood_refdata.exchange.atomic import whole_file
from knowngood_refdata.exchange.kinds import BY_TABLE, KINDS, Field, Kind
from knowngood_refdata.exchange.session_kinds import SESSION_KINDS
from knowngood_refdata.models import Configuration, SessionRow
from knowngood_refdata.queries.bulk import slices, table_of

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
    from pathlib import Path

    from sqlalchemy import ColumnElement, RowMapping
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store

FORMAT = "knowngood library"
VERSION = 2
_AT_ONCE, _HEAVY_AT_ONCE = 1_000, 8
_TOLD_EVERY = 500

_SESSION_KINDS = frozenset(one.name for one in SESSION_KINDS)
_READING_KINDS = frozenset({"reading", "reading value"})
_HISTORY_KINDS = frozenset({"import", "change"})
_WHOLE_ONLY = frozenset({"column meaning", *_HISTORY_KINDS})


@dataclass(frozen=True, slots=True)
class What:
    """What an exchange file is to hold.

    Attributes
    ----------
    vehicle_ids
        The vehicles, with their makers, families, and all that belongs to them; None for the whole library.
    pictures, sessions, readings
        Whether these go with them.
    removed
        Whether records that are marked as removed go with them.
    history
        Whether every change ever made goes with them; of the whole library only.
    """

    vehicle_ids: frozenset[int] | None = None
    pictures: bool = True
    sessions: bool = True
    readings: bool = True
    removed: bool = False
    history: bool = False

    def holds(self, kind: Kind) -> bool:
        """Whether records of a kind go into the file at all."""
        if kind.name in _WHOLE_ONLY and self.vehicle_ids is not None:
            return False
        if kind.name in _HISTORY_KINDS:
            return self.history
        if kind.name in _SESSION_KINDS:
            return self.sessions
        if kind.name in _READING_KINDS:
            return self.readings
        return kind.name != "picture" or self.pictures


EVERYTHING = What(removed=True, history=True)
"""The library as it is, to the last removed record and the first change."""


def export_library(
    store: Store,
    path: Path,
    *,
    what: What = What(),
    progress: Callable[[float], None] = lambda _: None,
) -> Mapping[str, int]:
    """Write an exchange file; how many records of each kind it holds.

    The file shows one state of the library, and stands at ``path`` only once it is whole.

    Parameters
    ----------
    progress
        Told the fraction done, 0 to 1. Whatever it raises ends the export, and no file is left.

    Raises
    ------
    StoreError
        When the file cannot be written or the library not be read.
    """
    with whole_file(path) as file, store.reading() as session:
        counts = _Export(session, what, file, progress).write()
        progress(1.0)
    return counts


class _Export:
    """One export within one reading transaction."""

    def __init__(
        self, session: Session, what: What, file: IO[str], progress: Callable[[float], None]
    ) -> None:
        self._session = session
        self._what = what
        self._file = file
        self._progress = progress
        self._kinds = [kind for kind in KINDS if what.holds(kind)]
        self._written: dict[str, set[int]] = {kind.name: set() for kind in KINDS}
        self._counts: Counter[str] = Counter()
        self._only = {} if what.vehicle_ids is None else self._needed(sorted(what.vehicle_ids))
        self._expected = max(1, sum(self._rows_held(kind) for kind in self._kinds))
        self._looked_at = 0

    def write(self) -> Mapping[str, int]:
        head = {"format": FORMAT, "version": VERSION, "written_at": datetime.now(UTC).isoformat()}
        self._file.write(json.dumps(head)[:-1] + ', "records": [')
        separator = "\n"
        for kind in self._kinds:
            with closing(self._records(kind)) as records:
                for record in records:
                    self._file.write(separator + json.dumps(record, ensure_ascii=False, allow_nan=False))
                    separator = ",\n"
        self._file.write(f'\n], "counts": {json.dumps(self._counts)}}}\n')
        return self._counts

    def _records(self, kind: Kind) -> Generator[dict[str, Any]]:
        with closing(self._rows(kind)) as rows:
            for row in rows:
                self._looked_at += 1
                if self._looked_at % (_HEAVY_AT_ONCE if kind.heavy else _TOLD_EVERY) == 0:
                    self._progress(min(0.99, self._looked_at / self._expected))
                record = self._record(kind, row)
                if record is not None:
                    self._counts[kind.name] += 1
                    yield record

    def _record(self, kind: Kind, row: RowMapping) -> dict[str, Any] | None:
        record: dict[str, Any] = {"record": kind.name}
        if kind.has_id:
            record["id"] = row["id"]
        for field in kind.all_fields:
            value = row[field.column]
            if field.to and value is not None and value not in self._written[field.to]:
                if field.owner or field.needed or not field.optional:
                    return None
                value = None
            if value is not None and (field.optional or value != field.form.empty):
                record[field.name] = field.form.write(value)
        if kind.name == "change":
            self._point_to_kind(record)
        elif kind.has_id:
            self._written[kind.name].add(row["id"])
        return record

    def _point_to_kind(self, record: dict[str, Any]) -> None:
        """Name the kind whose record was changed; a record that is no more has no id in the file."""
        kind = BY_TABLE.get(record["table"])
        if kind is None or record["row"] not in self._written[kind.name]:
            record["row"] = 0
        record["table"] = kind.name if kind else record["table"]

    def _rows(self, kind: Kind) -> Generator[RowMapping]:
        owners = [one for one in kind.fields if one.owner]
        if self._what.vehicle_ids is None or (not owners and kind.name not in self._only):
            return self._select(kind)
        if kind.name in self._only:
            return self._among(kind, table_of(kind.model).c.id, self._only[kind.name])
        return self._owned(kind, owners)

    def _owned(self, kind: Kind, owners: list[Field]) -> Generator[RowMapping]:
        table = table_of(kind.model)
        for owner in owners:
            yield from self._among(kind, table.c[owner.column], self._written[owner.to])

    def _among(self, kind: Kind, column: ColumnElement[int], ids: Iterable[int]) -> Generator[RowMapping]:
        for part in slices(sorted(ids)):
            yield from self._select(kind, column.in_(part))

    def _select(self, kind: Kind, *where: ColumnElement[bool]) -> Generator[RowMapping]:
        table = table_of(kind.model)
        columns = [table.c[one.column] for one in kind.all_fields]
        key = inspect(kind.model).primary_key
        query = select(*({column.name: column for column in (*key, *columns)}.values())).where(*where)
        if not self._what.removed:
            query = query.where(*_not_removed(kind))
        size = _HEAVY_AT_ONCE if kind.heavy else _AT_ONCE
        # Whoever stops reading half way leaves no cursor open on the server.
        with self._session.execute(query.order_by(*key).execution_options(yield_per=size)) as rows:
            yield from rows.mappings()

    def _needed(self, vehicle_ids: list[int]) -> dict[str, set[int]]:
        """The ids of what the chosen vehicles stand on, by kind."""
        only: dict[str, set[int]] = {name: set() for name in ("maker", "family", "log file")}
        for part in slices(vehicle_ids):
            query = select(Configuration.maker_id, Configuration.family_id)
            for maker, family in self._session.execute(query.where(Configuration.id.in_(part))):
                only["maker"].add(maker)
                if family is not None:
                    only["family"].add(family)
            files = select(SessionRow.source_file_id).where(SessionRow.configuration_id.in_(part))
            only["log file"].update(self._session.scalars(files))
        return {**only, "vehicle": set(vehicle_ids)}

    def _rows_held(self, kind: Kind) -> int:
        if kind.name in self._only:
            return len(self._only[kind.name])
        return self._session.scalar(select(func.count()).select_from(table_of(kind.model))) or 0


def _not_removed(kind: Kind) -> Iterator[ColumnElement[bool]]:
    if kind.name == "log file":
        used = select(SessionRow.source_file_id).where(SessionRow.deleted_at.is_(None))
        yield table_of(kind.model).c.id.in_(used)
    elif kind.name == "session":
        # A cut has its samples from its original, be that removed or not.
        table = table_of(kind.model)
        cut = select(SessionRow.parent_id).where(
            SessionRow.deleted_at.is_(None), SessionRow.parent_id.is_not(None)
        )
        yield table.c.deleted_at.is_(None) | table.c.id.in_(cut)
    elif kind.stamped and kind.name != "maker":
        # A maker is but a name, and what is left out with it would be all its vehicles.
        yield table_of(kind.model).c.deleted_at.is_(None)
