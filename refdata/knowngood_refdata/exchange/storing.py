"""Take an exchange file into the library: all of it in one transaction, or nothing."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass
from typing import IO, TYPE_CHECKING

from sqlalchemy import select, tuple_

from knowngood_refdata.errors import StoreError
from knowngood_refdata.exchange.forms import Misfit, UnfitFile
from knowngood_refdata.exchange.kinds import KINDS, Kind
from knowngood_refdata.exchange.reading import records, unfit
from knowngood_refdata.exchange.recordings import Recordings
from knowngood_refdata.exchange.rows import Ids, change_row, id_of, kind_of, row_of, where
from knowngood_refdata.import_plan import ImportSource
from knowngood_refdata.models import ImportBatch, SpecDecision, SpecValueRow
from knowngood_refdata.queries import imports
from knowngood_refdata.queries.bulk import add_rows, table_of
from knowngood_refdata.queries.vehicle_words import refresh
from knowngood_refdata.records import Standing

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from pathlib import Path

    from sqlalchemy.orm import Session

    from knowngood_refdata.exchange.checks import Row
    from knowngood_refdata.exchange.reading import Record
    from knowngood_refdata.store import Store

_AT_ONCE, _HEAVY_AT_ONCE = 1_000, 8


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of an exchange file: the import's number, and by kind how many records were added.

    ``met`` counts records that the library had already under the same name (a maker, a log file): those of
    the library were kept.
    """

    batch_id: int
    added: Mapping[str, int]
    met: Mapping[str, int]


def import_library(
    store: Store,
    path: Path,
    *,
    ours: bool = False,
    progress: Callable[[float], None] = lambda _: None,
) -> Taken:
    """Add everything in an exchange file to the library.

    Each record keeps who entered it and when, and its source. Vehicles are added beside those the library
    has; doubles are merged by hand. `knowngood_refdata.queries.imports.undo_import` takes it all back.

    Parameters
    ----------
    ours
        Whether the file is this shop's own book. Otherwise readings that were known-good where they come
        from are *imported* ones here, and stand behind no expected range of this shop.
    progress
        Told the fraction done, 0 to 1. Whatever it raises ends the import, and nothing of it is stored.

    Raises
    ------
    UnfitFile
        When anything in the file does not fit; the text names the place. Nothing is stored then.
    StoreError
        When the file cannot be read.
    """
    try:
        with path.open("rb") as file:
            sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            _see_that_new(store, sha256)
            file.seek(0)
            size = max(1, path.stat().st_size)
            with store.writing(f"imported from {path.name}") as session:
                batch = imports.start(session, ImportSource(_readable(path.name), sha256))
                taking = _Taking(session, ours=ours)
                taking.take(file, size, progress)
                session.get_one(ImportBatch, batch).counts = dict(+taking.added)
                progress(1.0)
    except OSError as error:
        raise StoreError(
            f"The file {path} cannot be read: {error.strerror}. Nothing was imported. "
            "Check the place and try again."
        ) from error
    return Taken(batch, dict(+taking.added), dict(+taking.met))


def _see_that_new(store: Store, sha256: str) -> None:
    before = imports.made_from(store, sha256)
    if before is not None:
        who = before.imported_by or "someone"
        raise UnfitFile(
            f"This very file was imported on {before.imported_at:%Y-%m-%d} by {who}, and that import still "
            "stands. Nothing was imported. Take the earlier import back first."
        )


def _refers_to_its_own(kind: Kind, record: Record) -> bool:
    """Whether a record refers to one of its own kind, which then has to be stored first."""
    return any(one.to == kind.name and one.name in record.entries for one in kind.references)


def _readable(name: str) -> str:
    # A file's name may hold bytes that are no text; what is in the file is no worse for it.
    return name.encode(errors="backslashreplace").decode()


class _Taking:
    """Taking in one file within one transaction."""

    def __init__(self, session: Session, *, ours: bool) -> None:
        self.added: Counter[str] = Counter()
        self.met: Counter[str] = Counter()
        self._session = session
        self._ours = ours
        self._ids: Ids = {kind.name: {} for kind in KINDS}
        self._seen: set[tuple[object, ...]] = set()
        self._recordings = Recordings()
        self._waiting: list[tuple[int, Row]] = []
        self._kind = KINDS[0]
        self._new_vehicles: list[int] = []

    def take(self, file: IO[bytes], size: int, progress: Callable[[float], None]) -> None:
        for record in records(file, size):
            if self._take_in(record):
                progress(min(0.99, file.tell() / size))
        self._store_waiting()
        self._recordings.see_that_whole()
        self._see_that_decisions_fit()
        refresh(self._session, self._new_vehicles)

    def _take_in(self, record: Record) -> bool:
        """Take in a record; whether those that waited before it were stored."""
        kind = kind_of(record)
        full = len(self._waiting) >= (_HEAVY_AT_ONCE if self._kind.heavy else _AT_ONCE)
        stored = full or kind is not self._kind or _refers_to_its_own(kind, record)
        if stored:
            self._store_waiting()
            self._kind = kind
        row = row_of(kind, record, self._ids)
        self._see_that_single(kind, record, row)
        try:
            self._recordings.note(kind.name, record, row)
        except Misfit as error:
            raise unfit(where(kind, record), str(error)) from None
        number = id_of(kind, record) if kind.has_id else 0
        self._waiting.append((number, self._as_stored(kind, row)))
        return stored

    def _as_stored(self, kind: Kind, row: Row) -> Row:
        if kind.name == "vehicle":
            return {**row, "search_text": "", "sort_key": ""}
        if kind.name == "change":
            return change_row(row, self._ids)
        if kind.name == "reading" and not self._ours and row["standing"] == Standing.KNOWN_GOOD:
            return {**row, "standing": Standing.IMPORTED.value}
        return row

    def _see_that_single(self, kind: Kind, record: Record, row: Row) -> None:
        """Refuse an id that stands there twice, and two records of which there can be but one."""
        keys: list[tuple[object, ...]] = [("id", kind.name, id_of(kind, record))] if kind.has_id else []
        if kind.unique and not kind.met:
            keys.append((kind.name, *_key(kind, row)))
        for key in keys:
            if key in self._seen:
                what = f"the id {key[-1]}" if key[0] == "id" else f"the same {' and '.join(kind.unique)}"
                raise unfit(where(kind, record), f"{what} stands there a second time")
            self._seen.add(key)

    def _store_waiting(self) -> None:
        kind, waiting, self._waiting = self._kind, self._waiting, []
        if not waiting:
            return
        numbers = self._ids[kind.name]
        held = self._held(kind, [row for _, row in waiting]) if kind.met else {}
        fresh: dict[object, tuple[list[int], Row]] = {}
        for place, (number, row) in enumerate(waiting):
            key = _key(kind, row) if kind.met else place
            if key in held:
                numbers[number] = held[key]
                self.met[kind.name] += 1
                self._have_it_stand(kind, held[key], row)
            else:
                fresh.setdefault(key, ([], row))[0].append(number)
        new = add_rows(self._session, kind.model, [row for _, row in fresh.values()])
        self.added[kind.name] += len(fresh)
        if kind.has_id:
            for (names, _), number in zip(fresh.values(), new, strict=True):
                numbers.update(dict.fromkeys(names, number))
        if kind.name == "vehicle":
            self._new_vehicles += new

    def _held(self, kind: Kind, rows: list[Row]) -> dict[object, int]:
        """The ids of those records of the library that records of the file meet, by what they share."""
        table = table_of(kind.model)
        columns = [table.c[name] for name in _columns(kind)]
        query = select(table.c.id, *columns).where(tuple_(*columns).in_([_key(kind, row) for row in rows]))
        return {tuple(key): number for number, *key in self._session.execute(query)}

    def _have_it_stand(self, kind: Kind, number: int, row: Row) -> None:
        """Have a record that was removed here, and that the file uses, stand again."""
        if kind.stamped and row.get("deleted_at") is None:
            self._session.get_one(kind.model, number).deleted_at = None  # type: ignore[attr-defined]

    def _see_that_decisions_fit(self) -> None:
        """Refuse a decision for a value of another vehicle or field."""
        here, value = SpecDecision, SpecValueRow
        query = (
            select(here.id)
            .join(value, value.id == here.spec_value_id)
            .where((value.configuration_id != here.configuration_id) | (value.field != here.field))
        )
        wrong = set(self._session.scalars(query)) & set(self._ids["decision"].values())
        for name, number in self._ids["decision"].items():
            if number in wrong:
                raise unfit(f"Decision {name}", "it is for a value of another vehicle or another field")


def _columns(kind: Kind) -> list[str]:
    return [one.column for name in kind.unique for one in kind.fields if one.name == name]


def _key(kind: Kind, row: Row) -> tuple[object, ...]:
    return tuple(row[name] for name in _columns(kind))
