"""The seam between a file of vehicles and the library: open, try, store; no Qt."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from knowngood_refdata.import_plan import ImportEntry, ImportSource, VehicleFill
from knowngood_refdata.queries import imports, sessions, whole
from knowngood_specs.core.importing.decided import NEW, Decided, decide
from knowngood_specs.core.importing.existing import ExistingIndex
from knowngood_specs.core.importing.identity import folded
from knowngood_specs.core.importing.mapping import as_json, from_json, signature
from knowngood_specs.core.importing.near import NearNames
from knowngood_specs.core.importing.plan import Outcome
from knowngood_specs.core.importing.planning import plan
from knowngood_specs.core.importing.proposal import propose
from knowngood_specs.core.importing.reader import read_rows
from knowngood_specs.core.importing.recognise import Words
from knowngood_specs.core.importing.row_reader import RowReader
from knowngood_specs.core.importing.table import LARGEST_BYTES, TableUnreadable
from knowngood_specs.core.importing.targets import Target
from knowngood_specs.reading import read_quantity
from knowngood_specs.record_data import all_fields

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping
    from pathlib import Path

    from knowngood.api import SpecField
    from knowngood_refdata.drafts import SpecDraft
    from knowngood_refdata.import_plan import ImportInfo
    from knowngood_refdata.records import Vehicle
    from knowngood_refdata.store import Store
    from knowngood_specs.core.fields import Field
    from knowngood_specs.core.importing.mapping import ColumnMapping
    from knowngood_specs.core.importing.plan import Addition, Plan
    from knowngood_specs.core.importing.proposal import Proposal
    from knowngood_specs.core.importing.table import Table

    Told = Callable[[float], None]

_KEY = "specs"
_MARK = b"\xef\xbb\xbf"
LEFT_OUT = "left out"


@dataclass(frozen=True, slots=True)
class OpenedTable:
    """A file that holds a table, with what its columns probably are.

    ``remembered`` says whether they are so because an earlier file of this layout was imported;
    ``before`` is the import of this very file that still stands.
    """

    path: Path
    sha256: str
    table: Table
    proposal: Proposal
    fields: tuple[Field, ...]
    remembered: bool
    before: ImportInfo | None


@dataclass(frozen=True, slots=True)
class OpenedExchange:
    """An exchange file; it is looked through when it is imported, all of it or nothing."""

    path: Path
    size: int


@dataclass(frozen=True, slots=True)
class DryRun:
    """What an import would do, with the vehicles on record that its doubted rows may mean."""

    opened: OpenedTable
    mapping: ColumnMapping
    plan: Plan
    vehicles: Mapping[int, Vehicle]


def open_file(
    store: Store,
    path: Path,
    told: Told = lambda _: None,
    *,
    sheet: str = "",
    brought: Iterable[SpecField] = (),
) -> OpenedTable | OpenedExchange:
    """Read a file, of a workbook one sheet, and propose what its columns are.

    ``brought`` are the fields that plugins bring.

    Raises
    ------
    TableUnreadable
        When it cannot be opened or holds no table, in words.
    """
    told(0.0)
    data = _read(path)
    if isinstance(data, OpenedExchange):
        return data
    table = read_rows(data, path.name, lambda part: told(0.8 * part), sheet=sheet)
    digest, fields = hashlib.sha256(data).hexdigest(), all_fields(store, brought)
    kept = sessions.remembered_mapping(store, signature(table)) or {}
    remembered = from_json(kept.get(_KEY, {}))
    held = frozenset(map(str.casefold, whole.makes(store)))
    proposal = propose(table, fields, makes=held, remembered=remembered)
    told(1.0)
    return OpenedTable(
        path, digest, table, proposal, fields, remembered is not None, imports.made_from(store, digest)
    )


def try_out(store: Store, opened: OpenedTable, mapping: ColumnMapping, told: Told = lambda _: None) -> DryRun:
    """Work out what an import would do; nothing is stored."""
    table = opened.table
    vehicles = whole.vehicles(
        store, makes=_makes_like(store, table, mapping), progress=lambda part: told(0.3 * part)
    )
    planned = plan(
        table,
        mapping,
        ExistingIndex(vehicles, whole.cars(store)),
        read_quantity,
        this_year=datetime.now(UTC).year,
        fields=opened.fields,
        progress=lambda part: told(0.3 + 0.7 * part),
    )
    meant = {number for row in planned.rows for number in (row.vehicle_id, *row.candidates)}
    return DryRun(opened, mapping, planned, {one.id: one for one in vehicles if one.id in meant})


def decided(tried: DryRun, decisions: Mapping[int, int]) -> Decided:
    """What is to be stored once the doubted rows are decided."""
    return decide(tried.plan, decisions, tried.vehicles, lambda numbers: _specs_of(tried, numbers))


def store_plan(
    store: Store, tried: DryRun, decisions: Mapping[int, int], told: Told = lambda _: None
) -> ImportInfo:
    """Store what a dry run said, all of it or nothing, and remember what the columns mean.

    Raises
    ------
    StoreError
        When the library changed in the meantime or cannot be written; nothing is stored then.
    """
    todo = decided(tried, decisions)
    told(0.05)
    source = ImportSource(tried.opened.path.name, tried.opened.sha256, _counts(tried.plan, todo.left_out))
    entries = list(_entries(todo.additions))
    batch = imports.apply(store, entries, source, lambda part: told(0.05 + 0.95 * part))
    remember(store, tried.opened.table, tried.mapping)
    return next(one for one in imports.imports(store) if one.id == batch)


def remember(store: Store, table: Table, mapping: ColumnMapping) -> None:
    """Keep what the columns of files of this layout mean."""
    sessions.remember_mapping(store, signature(table), {_KEY: as_json(mapping)})


def _counts(planned: Plan, left_out: int) -> dict[str, int]:
    counts = {str(one): count for one, count in planned.counts.items() if one is not Outcome.DOUBTED}
    taken = planned.counts[Outcome.DOUBTED] - left_out
    return {**counts, "doubted and taken": taken, f"doubted and {LEFT_OUT}": left_out}


def _entries(additions: Iterable[Addition]) -> Iterator[ImportEntry]:
    place = 0
    for one in additions:
        row = one.rows[0]
        entries: list[ImportEntry] = []
        if one.vehicle is not None:
            notes = "\n".join(filter(None, (one.vehicle.notes, *one.notes)))
            entries.append(ImportEntry.vehicle(replace(one.vehicle, notes=notes), row))
            entries += (ImportEntry.following(car, row, place) for car in one.units)
        elif one.vehicle_id is not None:
            of = one.vehicle_id
            entries += (ImportEntry.belonging(spec, row, of) for spec in one.specs)
            entries += (ImportEntry.belonging(car, row, of) for car in one.units)
            if one.details or one.notes:
                entries.append(ImportEntry.belonging(VehicleFill(one.details, one.notes), row, of))
        yield from entries
        place += len(entries)


def _specs_of(tried: DryRun, numbers: Iterable[int]) -> dict[int, tuple[SpecDraft, ...]]:
    wanted = set(numbers)
    words = Words(tried.opened.fields)
    reader = RowReader(tried.mapping, read_quantity, words, datetime.now(UTC).year)
    found = {}
    # Every row is read: names that count for the rows below them are remembered on the way.
    for row in tried.opened.table.rows:
        if not row.fault:
            understood = reader.understood(row)
            if row.number in wanted:
                found[row.number] = understood.specs
    return found


def _makes_like(store: Store, table: Table, mapping: ColumnMapping) -> set[str]:
    """The library's makes that a file names, or may name: the others need not be compared."""
    named = {folded(cell) for use in mapping.columns(Target.MAKE) for cell in set(table.column(use.column))}
    near = NearNames()
    for one in named:
        near.add(one)
    return {one for one in whole.makes(store) if folded(one) in named or near.near(folded(one))}


def _read(path: Path) -> bytes | OpenedExchange:
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            start = file.read(64)
            if start.removeprefix(_MARK).lstrip().startswith(b"{"):
                return OpenedExchange(path, size)
            if size > LARGEST_BYTES:
                raise TableUnreadable(
                    f"The file has {size / 1e6:,.0f} MB; at most {LARGEST_BYTES / 1e6:,.0f} MB can be read. "
                    "Nothing was imported; split the file and import the parts one after the other."
                )
            return start + file.read()
    except OSError as error:
        reason = error.strerror or str(error)
        raise TableUnreadable(f"{path} cannot be opened: {reason}. Nothing was imported.") from None


__all__ = [
    "LEFT_OUT", "NEW", "DryRun", "OpenedExchange", "OpenedTable", "decided", "open_file", "remember",
    "store_plan", "try_out",
]  # fmt: skip
