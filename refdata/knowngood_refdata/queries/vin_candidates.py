"""Vehicles that a VIN is laid beside, as light lines, and the cars on record that carry it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import and_, func, or_, select

from knowngood_refdata.models import Configuration, UnitRow
from knowngood_refdata.queries.filters import within_years
from knowngood_refdata.queries.vehicle_lines import LISTED, ListedVehicle
from knowngood_refdata.queries.vehicle_records import unit_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import ColumnElement

    from knowngood_refdata.records import Unit
    from knowngood_refdata.store import Store
    from knowngood_refdata.vin import Vin

MOST_WITHOUT_PATTERN = 3000
_TOLD_BY_A_PATTERN = 2
"""Characters that every pattern worth keeping tells: those of the country."""


@dataclass(frozen=True, slots=True)
class Candidate(ListedVehicle):
    """What a VIN is compared with of a vehicle; see `knowngood_refdata.vin_points.Configuration`."""

    vin_pattern: str


@dataclass(frozen=True, slots=True)
class Candidates:
    """Vehicles to compare with a VIN; ``left_aside`` counts those that only a make would bring in."""

    vehicles: tuple[Candidate, ...]
    left_aside: int = 0


def candidates(store: Store, vin: Vin, make: str = "") -> Candidates:
    """The vehicles that a VIN may mean, of one make or of all, in the order of the list.

    Where position 10 is bound to be the model year (North America), vehicles of other years are left out.
    When more than `MOST_WITHOUT_PATTERN` have no VIN pattern on record these are left aside, unless a make
    narrows them: nobody can choose between so many.
    """
    own = Configuration
    meets = and_(own.deleted_at.is_(None), *_conditions(vin, make))
    without = own.vin_pattern == ""
    query = select(*LISTED, own.vin_pattern).where(meets)
    with store.reading() as session:
        count = session.scalar(select(func.count()).select_from(own).where(meets, without)) or 0
        aside = 0 if make or count <= MOST_WITHOUT_PATTERN else count
        query = query.where(~without) if aside else query
        rows = session.execute(query.order_by(own.sort_key, own.id))
        return Candidates(tuple(Candidate(**row) for row in rows.mappings()), aside)


def _conditions(vin: Vin, make: str) -> Iterator[ColumnElement[bool]]:
    own = Configuration
    years = vin.model_years
    if years.carried and years.candidates:
        yield or_(*(within_years(year) for year in years.candidates))
    if make:
        yield func.lower(own.make) == make.lower()
    if code := vin.between(1, _TOLD_BY_A_PATTERN):
        # A pattern that fits begins with the same characters or leaves some of them open.
        longer = func.length(own.vin_pattern) >= _TOLD_BY_A_PATTERN
        yield or_(own.vin_pattern.contains(code), own.vin_pattern.contains("?"), ~longer)


def cars_with(store: Store, characters: str) -> tuple[Unit, ...]:
    """The cars on record that carry a VIN, letter by letter; none for an empty one."""
    if not characters:
        return ()
    query = (
        select(UnitRow)
        .join(Configuration, Configuration.id == UnitRow.configuration_id)
        .where(UnitRow.vin == characters, UnitRow.deleted_at.is_(None), Configuration.deleted_at.is_(None))
        .order_by(UnitRow.id)
    )
    with store.reading() as session:
        return tuple(unit_of(row) for row in session.scalars(query))
