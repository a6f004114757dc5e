"""What a list shows of a vehicle: one light line, without the whole record."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from sqlalchemy import and_, func, select

from knowngood_refdata.models import Configuration, Maker, SpecDecision, SpecValueRow, SystemFamily
from knowngood_refdata.queries import filters
from knowngood_refdata.queries.among import among
from knowngood_refdata.queries.vehicle_records import RANK
from knowngood_refdata.records import SourceKind, Vehicle

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store

_SHOWN = ("refrigerant", "charge")


@dataclass(frozen=True, slots=True)
class ListedVehicle:
    """What tells a vehicle from others in a list."""

    id: int
    make: str
    model: str
    engine: str
    year_from: int
    year_to: int | None
    market: str
    evaporators: str
    build_from: str
    build_to: str
    generation: str
    body: str

    @property
    def name(self) -> str:
        """The vehicle in one line, as its record is named."""
        return Vehicle(
            self.id, self.make, self.model, self.engine, self.year_from, self.year_to, self.market,
            self.evaporators,
        ).name  # fmt: skip


LISTED = tuple(getattr(Configuration, one.name) for one in fields(ListedVehicle))
"""The columns of a `ListedVehicle`, for a query."""


@dataclass(frozen=True, slots=True)
class VehicleLine(ListedVehicle):
    """A vehicle in a list; ``refrigerant`` and ``charge`` are the values that count, as printed."""

    maker: str
    family: str
    refrigerant: str
    charge: str


@dataclass(frozen=True, slots=True)
class Marks:
    """Numbers of the vehicles with a value nobody has reviewed, and of those with values in conflict.

    The words mean what they mean in `knowngood_refdata.queries.filters.Filters`.
    """

    unreviewed: frozenset[int]
    in_conflict: frozenset[int]


def lines(session: Session, vehicle_ids: list[int]) -> tuple[VehicleLine, ...]:
    """The lines of some vehicles, in the order given."""
    own = Configuration
    query = (
        select(*LISTED, Maker.name.label("maker"), func.coalesce(SystemFamily.name, "").label("family"))
        .join(Maker, Maker.id == own.maker_id)
        .join(SystemFamily, SystemFamily.id == own.family_id, isouter=True)
        .where(among(session, own.id, vehicle_ids))
    )
    rows = {row["id"]: row for row in session.execute(query).mappings()}
    printed = _printed(session, vehicle_ids)
    return tuple(
        VehicleLine(
            **rows[one],
            refrigerant=printed.get((one, "refrigerant"), ""),
            charge=printed.get((one, "charge"), ""),
        )
        for one in vehicle_ids
    )


def _printed(session: Session, vehicle_ids: list[int]) -> dict[tuple[int, str], str]:
    spec = SpecValueRow
    decided = and_(SpecDecision.spec_value_id == spec.id, SpecDecision.deleted_at.is_(None))
    query = (
        select(spec.configuration_id, spec.field, spec.as_printed, spec.source_kind, spec.id, SpecDecision.id)
        .join(
            SpecDecision, and_(SpecDecision.configuration_id == spec.configuration_id, decided), isouter=True
        )
        .where(
            among(session, spec.configuration_id, vehicle_ids),
            spec.field.in_(_SHOWN),
            spec.deleted_at.is_(None),
        )
    )
    # The one that counts is written last: the untrusted and the late first, the decided one at the end.
    rows = sorted(
        session.execute(query), key=lambda row: (row[5] is not None, -RANK[SourceKind(row[3])], -row[4])
    )
    return {(vehicle_id, field): as_printed for vehicle_id, field, as_printed, *_ in rows}


def marks(store: Store, vehicle_ids: list[int]) -> Marks:
    """Which of some vehicles want attention; asked for those in sight, as it takes longer than the lines."""
    spec = SpecValueRow
    unreviewed = (
        select(spec.configuration_id)
        .where(spec.configuration_id.in_(vehicle_ids), spec.reviewed_by == "", spec.deleted_at.is_(None))
        .distinct()
    )
    with store.reading() as session:
        return Marks(
            frozenset(session.scalars(unreviewed)),
            frozenset(session.scalars(filters.conflicting(vehicle_ids))),
        )
