"""Whole records of many vehicles at once: to plan an import against them, and to write them to a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.models import Configuration, UnitRow
from knowngood_refdata.queries import finding
from knowngood_refdata.queries.bulk import slices
from knowngood_refdata.queries.filters import ALL
from knowngood_refdata.queries.vehicle_records import decisions, record_of, unit_of

if TYPE_CHECKING:
    from collections.abc import Callable, Collection

    from knowngood_refdata.queries.filters import Filters
    from knowngood_refdata.records import Unit, Vehicle
    from knowngood_refdata.store import Store

_EVERY = 10_000_000


def makes(store: Store) -> tuple[str, ...]:
    """Every make that the library holds, as it is written there."""
    query = select(Configuration.make).distinct().where(Configuration.deleted_at.is_(None))
    with store.reading() as session:
        return tuple(session.scalars(query))


def vehicles(
    store: Store,
    *,
    ids: Collection[int] | None = None,
    makes: Collection[str] | None = None,
    progress: Callable[[float], None] = lambda _: None,
) -> tuple[Vehicle, ...]:
    """Whole records in the order of the list: of the library, of certain numbers or of certain makes.

    Parameters
    ----------
    ids, makes
        The numbers of the vehicles, or their makes exactly as the library writes them; None leaves all.
    progress
        Told the fraction done, 0 to 1; what it raises to stop passes through.
    """
    query = select(Configuration.id).where(Configuration.deleted_at.is_(None))
    query = query.order_by(Configuration.sort_key, Configuration.id)
    with store.reading() as session:
        if makes is not None:
            of_makes = (query.where(Configuration.make.in_(part)) for part in slices(sorted(makes)))
            wanted = [number for one in of_makes for number in session.scalars(one)]
        else:
            wanted = list(session.scalars(query))
        if ids is not None:
            wanted = [one for one in wanted if one in ids]
        found: list[Vehicle] = []
        for part in slices(wanted):
            rows = session.scalars(select(Configuration).where(Configuration.id.in_(part)))
            decided = decisions(session, part)
            by_id = {row.id: record_of(row, decided.get(row.id, {})) for row in rows}
            found += [by_id[one] for one in part]
            # A library of a million values must not be held twice.
            session.expunge_all()
            progress(len(found) / len(wanted))
        return tuple(found)


def cars(store: Store) -> tuple[Unit, ...]:
    """Every real car of the library."""
    query = (
        select(UnitRow)
        .join(Configuration, Configuration.id == UnitRow.configuration_id)
        .where(UnitRow.deleted_at.is_(None), Configuration.deleted_at.is_(None))
        .order_by(UnitRow.id)
    )
    with store.reading() as session:
        return tuple(unit_of(row) for row in session.scalars(query))


def numbers(store: Store, words: str = "", *, filters: Filters = ALL) -> tuple[int, ...]:
    """The numbers of all vehicles that a search finds, see `finding.find`."""
    with store.reading() as session:
        return tuple(finding.ids(session, words, filters=filters, limit=_EVERY))
