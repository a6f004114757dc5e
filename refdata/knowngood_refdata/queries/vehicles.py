"""The spec library: find, read and add vehicles, their spec values and their units."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from knowngood_refdata.errors import NotFound
from knowngood_refdata.models import Configuration, Maker, SpecValueRow, SystemFamily, UnitRow
from knowngood_refdata.records import SourceKind, SpecValue, Unit, Vehicle

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

    from knowngood_refdata.drafts import SpecDraft, VehicleDraft
    from knowngood_refdata.store import Store

_RANK = {kind: rank for rank, kind in enumerate(SourceKind)}
_EARLIEST, _LATEST = 1900, 2200
_FIRST_OF_LAST_CENTURY = 50
_MOST_WORDS, _LONGEST = 30, 500
"""No vehicle is described by more; the databases have limits of their own beyond."""


def count(store: Store) -> int:
    """How many vehicle configurations the library holds."""
    with store.reading() as session:
        kept = Configuration.deleted_at.is_(None)
        return session.scalar(select(func.count()).select_from(Configuration).where(kept)) or 0


def search(store: Store, text: str = "", limit: int = 500) -> tuple[Vehicle, ...]:
    """Vehicles that hold every word of a text in year, make, model, engine, market or refrigerant.

    A year is found within the range of years, in four digits or two: ``21 skerry 1.6``.
    """
    words = _folded(text).split()
    if len(words) > _MOST_WORDS or len(text) > _LONGEST:
        return ()
    query = select(Configuration).where(Configuration.deleted_at.is_(None), *map(_holds, words))
    query = query.order_by(
        func.lower(Configuration.make), func.lower(Configuration.model), Configuration.year_from,
        Configuration.id,
    ).limit(limit)  # fmt: skip
    with store.reading() as session:
        return tuple(_vehicle(row) for row in session.scalars(query))


def vehicle(store: Store, vehicle_id: int) -> Vehicle:
    """One vehicle configuration.

    Raises
    ------
    NotFound
        When there is none, or it was deleted.
    """
    with store.reading() as session:
        return _vehicle(_configuration(session, vehicle_id))


def add_vehicle(store: Store, draft: VehicleDraft) -> int:
    """Add a vehicle configuration with its spec values; its id.

    Raises
    ------
    ValueError
        When make or model is missing or the years make no range.
    """
    if not draft.make.strip() or not draft.model.strip():
        raise ValueError("a vehicle needs a make and a model")
    last = draft.year_from if draft.year_to is None else draft.year_to
    if not _EARLIEST <= draft.year_from <= last <= _LATEST:
        raise ValueError(f"the years {draft.year_from} to {last} make no range")
    with store.writing("vehicle added") as session:
        maker = _maker(session, draft.maker.strip() or draft.make.strip())
        row = Configuration(
            maker=maker,
            family=_family(session, maker, draft.family.strip()),
            make=draft.make.strip(),
            model=draft.model.strip(),
            engine=draft.engine.strip(),
            year_from=draft.year_from,
            year_to=draft.year_to,
            market=draft.market.strip(),
            evaporators=draft.evaporators.strip(),
            notes=draft.notes,
            build_from=draft.build_from.strip(),
            build_to=draft.build_to.strip(),
            generation=draft.generation.strip(),
            body=draft.body.strip(),
            vin_pattern=draft.vin_pattern.strip().upper(),
            specs=[_spec_row(one) for one in draft.specs],
        )
        row.search_text, row.sort_key = _search_text(row), _sort_key(row)
        session.add(row)
        session.flush()
        return row.id


def add_spec(store: Store, vehicle_id: int, draft: SpecDraft) -> int:
    """Add a spec value beside those on record; its id. Nothing is overwritten."""
    with store.writing("spec value added") as session:
        configuration = _configuration(session, vehicle_id)
        row = _spec_row(draft)
        configuration.specs.append(row)
        configuration.search_text = _search_text(configuration)
        session.flush()
        return row.id


def units(store: Store, vehicle_id: int) -> tuple[Unit, ...]:
    """The real cars of a configuration."""
    query = select(UnitRow).where(UnitRow.configuration_id == vehicle_id, UnitRow.deleted_at.is_(None))
    with store.reading() as session:
        rows = session.scalars(query.order_by(UnitRow.id))
        return tuple(Unit(row.id, row.configuration_id, row.vin, row.fleet_number, row.note) for row in rows)


def add_unit(store: Store, vehicle_id: int, *, vin: str = "", fleet_number: str = "", note: str = "") -> int:
    """Add a real car of a configuration; its id."""
    with store.writing("unit added") as session:
        _configuration(session, vehicle_id)
        row = UnitRow(configuration_id=vehicle_id, vin=vin, fleet_number=fleet_number, note=note)
        session.add(row)
        session.flush()
        return row.id


def _holds(word: str) -> ColumnElement[bool]:
    # autoescape keeps % and _ in a typed word what they are.
    written = Configuration.search_text.contains(word, autoescape=True)
    year = _year(word)
    if year is None:
        return written
    begun, ended = Configuration.year_from <= year, Configuration.year_to
    return written | (begun & (ended.is_(None) | (ended >= year)))


def _year(word: str) -> int | None:
    """The year a word of four digits or two stands for; two lie within this century or late in the last."""
    if not (word.isascii() and word.isdigit() and len(word) in (2, 4)):
        return None
    year = int(word)
    if len(word) == 4:
        return year
    return year + (2000 if year < _FIRST_OF_LAST_CENTURY else 1900)


def _folded(text: str) -> str:
    """Text without differences of case and of how accents are composed, as it is searched."""
    return unicodedata.normalize("NFKC", text).casefold().replace("\0", "")


def _configuration(session: Session, vehicle_id: int) -> Configuration:
    row = session.get(Configuration, vehicle_id)
    if row is None or row.deleted_at is not None:
        raise NotFound(f"The library holds no vehicle number {vehicle_id}. Search for it by its name.")
    return row


def _maker(session: Session, name: str) -> Maker:
    found = session.scalar(select(Maker).where(Maker.name == name))
    if found is None:
        found = Maker(name=name)
        session.add(found)
        session.flush()
    return found


def _family(session: Session, maker: Maker, name: str) -> SystemFamily | None:
    if not name:
        return None
    query = select(SystemFamily).where(SystemFamily.maker_id == maker.id, SystemFamily.name == name)
    found = session.scalar(query)
    if found is None:
        found = SystemFamily(maker_id=maker.id, name=name)
        session.add(found)
        session.flush()
    return found


def _spec_row(draft: SpecDraft) -> SpecValueRow:
    return SpecValueRow(
        field=draft.field,
        value=draft.value,
        tolerance=draft.tolerance,
        as_printed=draft.as_printed,
        source_kind=draft.source_kind.value,
        citation=draft.citation,
        revision=draft.revision,
        page=draft.page,
        reviewed_by=draft.reviewed_by,
    )


def _search_text(row: Configuration) -> str:
    refrigerants = [one.as_printed for one in row.specs if one.field == "refrigerant"]
    words = (row.make, row.model, row.engine, row.market, row.evaporators, *refrigerants)
    return _folded(" ".join(word for word in words if word))


def _sort_key(row: Configuration) -> str:
    return _folded(f"{row.make} {row.model} {row.year_from:04d}")


def _vehicle(row: Configuration) -> Vehicle:
    specs: dict[str, list[SpecValue]] = {}
    kept = [one for one in row.specs if one.deleted_at is None]
    for one in sorted(kept, key=lambda spec: (_RANK[SourceKind(spec.source_kind)], spec.id)):
        specs.setdefault(one.field, []).append(_spec(one))
    return Vehicle(
        id=row.id,
        make=row.make,
        model=row.model,
        engine=row.engine,
        year_from=row.year_from,
        year_to=row.year_to,
        market=row.market,
        evaporators=row.evaporators,
        maker=row.maker.name,
        family=row.family.name if row.family else "",
        family_id=row.family_id,
        notes=row.notes,
        version=row.version,
        specs={name: tuple(values) for name, values in specs.items()},
        build_from=row.build_from,
        build_to=row.build_to,
        generation=row.generation,
        body=row.body,
        vin_pattern=row.vin_pattern,
    )


def _spec(row: SpecValueRow) -> SpecValue:
    return SpecValue(
        id=row.id,
        field=row.field,
        value=row.value,
        tolerance=row.tolerance,
        as_printed=row.as_printed,
        source_kind=SourceKind(row.source_kind),
        citation=row.citation,
        revision=row.revision,
        entered_by=row.created_by,
        reviewed_by=row.reviewed_by,
        page=row.page,
        entered_at=row.created_at,
        reviewed_at=row.reviewed_at,
        version=row.version,
    )
