"""Rearrange makers, system families and vehicles. Readings and sessions hang on the vehicles and go along.

What one of these changes takes more than one step for is bound together and undone as one.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from sqlalchemy import and_, func, select

from knowngood_refdata.errors import Conflict, NotFound, UnfitValue
from knowngood_refdata.models import Configuration, Maker, PerformanceTableRow, SystemFamily
from knowngood_refdata.queries.reasons import bind_together, need_reason
from knowngood_refdata.queries.vehicle_entry import at_version, configuration, family_named, maker_named

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store


@dataclass(frozen=True, slots=True)
class Family:
    """A system family; ``vehicles`` is how many configurations share the design."""

    id: int
    name: str
    maker: str
    vehicles: int
    version: int


def families(store: Store, maker: str = "") -> tuple[Family, ...]:
    """The system families, of one maker or of all, by maker and name."""
    members = and_(Configuration.family_id == SystemFamily.id, Configuration.deleted_at.is_(None))
    query = (
        select(
            SystemFamily.id, SystemFamily.name, Maker.name, func.count(Configuration.id), SystemFamily.version
        )
        .join(Maker, Maker.id == SystemFamily.maker_id)
        .join(Configuration, members, isouter=True)
        .where(SystemFamily.deleted_at.is_(None))
        .group_by(SystemFamily.id, SystemFamily.name, Maker.name, SystemFamily.version)
        .order_by(Maker.name, SystemFamily.name)
    )
    if maker:
        query = query.where(Maker.name == maker)
    with store.reading() as session:
        return tuple(Family(*row) for row in session.execute(query))


def rename_family(store: Store, family_id: int, version: int, name: str, why: str) -> None:
    """Give a family another name.

    Raises
    ------
    NotFound, Conflict
        When there is no such family, it is no longer at the version that was shown, or its maker has another
        of that name.
    UnfitValue
        Without a name or a reason.
    """
    with store.writing(need_reason(why)) as session:
        row = at_version(_family(session, family_id), version)
        _see_that_name_is_free(session, row.maker_id, name, but_for=family_id)
        row.name = name.strip()


def split_family(store: Store, family_id: int, vehicle_ids: Iterable[int], name: str, why: str) -> int:
    """Move some vehicles of a family to a new one of the same maker; the new one's id.

    Published tables of the family stay with it.

    Raises
    ------
    NotFound, Conflict, UnfitValue
        As for `rename_family`, or when a vehicle is not of the family.
    """
    with store.writing(need_reason(why)) as session:
        old = _family(session, family_id)
        _see_that_name_is_free(session, old.maker_id, name)
        rows = [configuration(session, number) for number in vehicle_ids]
        strangers = [row.model for row in rows if row.family_id != family_id]
        if strangers:
            raise NotFound(
                f"{', '.join(strangers)}: not of the family {old.name}. Nothing was changed. Look at the "
                "family again."
            )
        bind_together(session)
        new = SystemFamily(maker_id=old.maker_id, name=name.strip())
        session.add(new)
        session.flush()
        for row in rows:
            row.family_id = new.id
        return new.id


def merge_families(store: Store, keep_id: int, other_id: int, why: str) -> None:
    """Move the vehicles and published tables of one family to another of the same maker, and delete the one.

    Raises
    ------
    NotFound, UnfitValue
        When one of them is not there, they are the same, of two makers, or there is no reason.
    """
    with store.writing(need_reason(why)) as session:
        keep, other = _family(session, keep_id), _family(session, other_id)
        if keep is other or keep.maker_id != other.maker_id:
            raise UnfitValue(
                "Only two families of one maker can be merged. Nothing was changed. Move the vehicles to the "
                "other maker first."
            )
        bind_together(session)
        models: tuple[type[Any], ...] = (Configuration, PerformanceTableRow)
        for model in models:
            for row in session.scalars(select(model).where(model.family_id == other_id)):
                row.family_id = keep_id
        other.deleted_at = datetime.now(UTC)


def move_vehicle(
    store: Store, vehicle_id: int, version: int, why: str, *, maker: str, family: str = ""
) -> None:
    """Move a vehicle to a maker and one of its families, both made when new; no family when it is empty.

    Raises
    ------
    NotFound, Conflict
        When there is no such vehicle, or it is no longer at the version that was shown.
    UnfitValue
        Without a maker or a reason.
    """
    if not maker.strip():
        raise UnfitValue("A vehicle needs a maker. Nothing was changed.")
    with store.writing(need_reason(why)) as session:
        row = at_version(configuration(session, vehicle_id), version)
        bind_together(session)
        row.maker = maker_named(session, maker.strip())
        row.family = family_named(session, row.maker, family.strip())


def _family(session: Session, family_id: int) -> SystemFamily:
    row = session.get(SystemFamily, family_id)
    if row is None or row.deleted_at is not None:
        raise NotFound(f"The library holds no system family number {family_id}. Nothing was changed.")
    return row


def _see_that_name_is_free(session: Session, maker_id: int, name: str, but_for: int | None = None) -> None:
    if not name.strip():
        raise UnfitValue("A system family needs a name. Nothing was changed.")
    query = select(SystemFamily).where(SystemFamily.maker_id == maker_id, SystemFamily.name == name.strip())
    held = session.scalar(query)
    if held is not None and held.id != but_for:
        state = "was deleted" if held.deleted_at is not None else "is there"
        raise Conflict(
            f"A family {held.name} of this maker {state} already. Nothing was changed. Use another name, or "
            "move the vehicles to it."
        )
