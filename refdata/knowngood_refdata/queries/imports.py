"""Imports into the library: all or nothing, listed, and taken back as a whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata import auditing
from knowngood_refdata.drafts import SpecDraft, UnitDraft, VehicleDraft
from knowngood_refdata.errors import NotFound, UnfitValue
from knowngood_refdata.import_plan import ImportInfo, VehicleFill
from knowngood_refdata.models import Configuration, ImportBatch, SpecValueRow, UnitRow
from knowngood_refdata.queries.bulk import add_rows, slices
from knowngood_refdata.queries.import_fills import fill
from knowngood_refdata.queries.import_rows import Makers, spec_row, unit_row, vehicle_row
from knowngood_refdata.queries.undoing import undo_import
from knowngood_refdata.queries.vehicle_words import FOUND_BY_FIELDS, found_by, refresh

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from sqlalchemy.orm import Session

    from knowngood_refdata.import_plan import Draft, ImportEntry, ImportSource
    from knowngood_refdata.queries.bulk import Row
    from knowngood_refdata.store import Store

__all__ = ["apply", "imports", "made_from", "start", "undo_import"]


def apply(
    store: Store,
    entries: Sequence[ImportEntry],
    source: ImportSource,
    progress: Callable[[float], None] = lambda _: None,
) -> int:
    """Add everything of a plan in one transaction; the number of the import.

    Parameters
    ----------
    entries
        What to add; a value or a car comes after the vehicle of the plan it belongs to.
    progress
        Told the fraction done, 0 to 1. Whatever it raises ends the import, and nothing of it is stored;
        likewise when the program or the connection ends.

    Raises
    ------
    UnfitValue
        When an entry cannot be stored; the text names its row.
    NotFound
        When the vehicle that an entry belongs to is not in the library.
    """
    for place, entry in enumerate(entries):
        _check(place, entry, entries)
    with store.writing(f"imported from {source.name}") as session:
        batch = start(session, source)
        _Additions(session, entries, progress).make()
        progress(1.0)
        return batch


def start(session: Session, source: ImportSource) -> int:
    """Begin an import within a transaction: everything added from now on belongs to it; its number."""
    row = ImportBatch(
        source_name=source.name, sha256=source.sha256, counts=dict(source.counts), undone_at=None
    )
    session.add(row)
    session.flush()
    auditing.bind(session, row.id)
    return row.id


def imports(store: Store) -> tuple[ImportInfo, ...]:
    """Every import that was made, the latest first, those taken back among them."""
    with store.reading() as session:
        kept = ImportBatch.deleted_at.is_(None)
        rows = session.scalars(select(ImportBatch).where(kept).order_by(ImportBatch.id.desc()))
        return tuple(_info(row) for row in rows)


def made_from(store: Store, sha256: str) -> ImportInfo | None:
    """The latest import of the file of this SHA-256 that still stands, None when there is none."""
    standing = (
        ImportBatch.sha256 == sha256,
        ImportBatch.undone_at.is_(None),
        ImportBatch.deleted_at.is_(None),
    )
    query = select(ImportBatch).where(*standing).order_by(ImportBatch.id.desc()).limit(1)
    with store.reading() as session:
        row = session.scalar(query)
        return None if row is None else _info(row)


class _Additions:
    """The additions of one plan within one transaction."""

    def __init__(
        self, session: Session, entries: Sequence[ImportEntry], progress: Callable[[float], None]
    ) -> None:
        self._session = session
        self._entries = entries
        self._progress = progress
        self._makers = Makers(session)
        self._new: dict[int, int] = {}  # the place of an entry in the plan to the id of its vehicle
        self._words: dict[int, list[str]] = {}  # the place of an entry to what its vehicle is found by
        self._richer: set[int] = set()  # vehicles of the library that are found by more

    def make(self) -> None:
        self._see_that_vehicles_are_there()
        for place, entry in enumerate(self._entries):
            self._note_words(place, entry)
        for part in slices(range(len(self._entries))):
            self._add(part)
            self._progress(0.99 * (part[-1] + 1) / len(self._entries))
        refresh(self._session, self._richer)

    def _add(self, places: list[int]) -> None:
        entries = self._entries
        vehicles = [place for place in places if isinstance(entries[place].draft, VehicleDraft)]
        rows = [self._vehicle(place) for place in vehicles]
        self._new.update(zip(vehicles, add_rows(self._session, Configuration, rows), strict=True))
        add_rows(self._session, SpecValueRow, list(self._specs(places)))
        add_rows(self._session, UnitRow, list(self._units(places)))
        for place in places:
            entry = entries[place]
            if isinstance(entry.draft, VehicleFill):
                fill(self._session, self._makers, self._vehicle_of(entry), entry.draft)

    def _note_words(self, place: int, entry: ImportEntry) -> None:
        words = list(_found_by(entry.draft))
        if words and entry.vehicle_id is not None:
            self._richer.add(entry.vehicle_id)
        elif words:
            of = place if entry.new_vehicle is None else entry.new_vehicle
            self._words.setdefault(of, []).extend(words)

    def _vehicle(self, place: int) -> Row:
        entry = self._entries[place]
        assert isinstance(entry.draft, VehicleDraft)
        try:
            row = vehicle_row(self._makers, entry.draft)
        except ValueError as error:
            raise UnfitValue(f"Row {entry.row_number}: {error}. Nothing was imported.") from None
        return {**row, **found_by(row, self._words.get(place, ()))}

    def _specs(self, places: list[int]) -> Iterator[Row]:
        for place in places:
            entry = self._entries[place]
            if isinstance(entry.draft, VehicleDraft):
                yield from (spec_row(one, self._new[place]) for one in entry.draft.specs)
            elif isinstance(entry.draft, SpecDraft):
                yield spec_row(entry.draft, self._vehicle_of(entry))

    def _units(self, places: list[int]) -> Iterator[Row]:
        for place in places:
            entry = self._entries[place]
            if isinstance(entry.draft, UnitDraft):
                yield unit_row(entry.draft, self._vehicle_of(entry))

    def _vehicle_of(self, entry: ImportEntry) -> int:
        if entry.vehicle_id is not None:
            return entry.vehicle_id
        assert entry.new_vehicle is not None
        return self._new[entry.new_vehicle]

    def _see_that_vehicles_are_there(self) -> None:
        named = {one.vehicle_id: one.row_number for one in self._entries if one.vehicle_id is not None}
        for part in slices(named):
            query = select(Configuration.id).where(
                Configuration.id.in_(part), Configuration.deleted_at.is_(None)
            )
            for missing in set(part) - set(self._session.scalars(query)):
                raise NotFound(
                    f"Row {named[missing]} belongs to the vehicle number {missing}, which the library no "
                    "longer holds. Nothing was imported. Preview the file again."
                )


def _found_by(draft: Draft) -> Iterator[str]:
    """What a draft adds to the words by which its vehicle is found."""
    if isinstance(draft, UnitDraft):
        yield from (draft.fleet_number, draft.vin)
    elif isinstance(draft, VehicleFill):
        # Generation and body are words of the vehicle itself, which are read anew.
        yield from draft.details.values()
    else:
        specs = draft.specs if isinstance(draft, VehicleDraft) else (draft,)
        yield from (one.as_printed for one in specs if one.field in FOUND_BY_FIELDS)


def _check(place: int, entry: ImportEntry, entries: Sequence[ImportEntry]) -> None:
    """Refuse an entry that says what it adds but not to what."""
    draft, given = entry.draft, (entry.vehicle_id is not None) + (entry.new_vehicle is not None)
    if given != (0 if isinstance(draft, VehicleDraft) else 1):
        raise UnfitValue(
            f"Row {entry.row_number} does not say to which one vehicle it belongs. Nothing was imported."
        )
    if entry.new_vehicle is not None and not (
        0 <= entry.new_vehicle < place and isinstance(entries[entry.new_vehicle].draft, VehicleDraft)
    ):
        raise UnfitValue(
            f"Row {entry.row_number} belongs to a vehicle that no earlier row brings. Nothing was imported."
        )


def _info(row: ImportBatch) -> ImportInfo:
    return ImportInfo(
        id=row.id,
        source_name=row.source_name,
        sha256=row.sha256,
        counts=row.counts,
        imported_at=row.created_at,
        imported_by=row.created_by,
        undone_at=row.undone_at,
    )
