"""By what a vehicle is found and sorted: words kept beside it, written anew whenever they change."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, select, update

from knowngood_refdata.models import Configuration, SpecValueRow, UnitRow
from knowngood_refdata.queries.bulk import slices, table_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from sqlalchemy.orm import Session

FOUND_BY_FIELDS = ("refrigerant", "compressor", "metering device")
"""The spec fields whose printed texts a vehicle is found by."""

LAST = "\U0010ffff"
"""Behind a text it makes one that comes after everything that begins with the text."""

_OWN = ("make", "model", "generation", "engine", "body", "market", "evaporators")


def folded(text: str) -> str:
    """Text without differences of case and of how accents are composed, as it is searched.

    >>> folded("ÅRVIK Skerry")
    'årvik skerry'
    """
    return unicodedata.normalize("NFKC", text).casefold().replace("\0", "")


def found_by(row: Mapping[str, Any], more: Iterable[str] = ()) -> dict[str, str]:
    """The columns by which a vehicle is found and sorted.

    Parameters
    ----------
    row
        The columns of the vehicle by name.
    more
        Printed texts of its `FOUND_BY_FIELDS`, fleet numbers and VINs of its cars.
    """
    words = dict.fromkeys(word for word in (*(row[name] for name in _OWN), *more) if word)
    return {
        "search_text": folded(" ".join(words)),
        "sort_key": folded(f"{row['make']} {row['model']} {row['year_from']:04d}"),
    }


def refresh(session: Session, vehicle_ids: Iterable[int]) -> None:
    """Write anew what vehicles are found and sorted by, after they, their values or their cars changed.

    It is no change that anyone made: the version stays, and the audit trail is silent.
    """
    session.flush()
    table = table_of(Configuration)
    for part in slices(sorted(set(vehicle_ids))):
        more = _more(session, part)
        own = (getattr(Configuration, name) for name in (*_OWN, "year_from"))
        rows = session.execute(select(Configuration.id, *own).where(Configuration.id.in_(part))).mappings()
        written = [{"of": row["id"], **found_by(dict(row), more.get(row["id"], ()))} for row in rows]
        if written:
            texts: dict[str, Any] = {name: bindparam(name) for name in ("search_text", "sort_key")}
            change = update(table).where(table.c.id == bindparam("of")).values(texts)
            session.connection().execute(change, written)


def _more(session: Session, part: list[int]) -> dict[int, list[str]]:
    """Texts of the values and cars of some vehicles that they are found by."""
    specs = select(SpecValueRow.configuration_id, SpecValueRow.as_printed).where(
        SpecValueRow.configuration_id.in_(part),
        SpecValueRow.field.in_(FOUND_BY_FIELDS),
        SpecValueRow.deleted_at.is_(None),
    )
    cars = select(UnitRow.configuration_id, UnitRow.fleet_number, UnitRow.vin).where(
        UnitRow.configuration_id.in_(part), UnitRow.deleted_at.is_(None)
    )
    found: dict[int, list[str]] = {}
    for vehicle_id, *words in session.execute(specs.order_by(SpecValueRow.id)):
        found.setdefault(vehicle_id, []).extend(words)
    for vehicle_id, *words in session.execute(cars.order_by(UnitRow.id)):
        found.setdefault(vehicle_id, []).extend(words)
    return found
