"""By what the list of vehicles can be narrowed, and what there is to choose from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from sqlalchemy import Select, and_, exists, func, or_, select
from sqlalchemy.orm import aliased

from knowngood_refdata.models import (
    Configuration,
    Maker,
    ReadingRow,
    SpecDecision,
    SpecValueRow,
    SystemFamily,
)
from knowngood_refdata.queries.vehicle_words import LAST, folded
from knowngood_refdata.records import Standing

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement

    from knowngood_refdata.store import Store

_ROUNDING = 0.01
"""Quantities that differ by less are one value in two units: a weight and its printed conversion."""


class Choice(StrEnum):
    """What a filter offers values for; the last three are spec fields."""

    MAKER = "maker"
    MAKE = "make"
    FAMILY = "family"
    MARKET = "market"
    REFRIGERANT = "refrigerant"
    COMPRESSOR = "compressor"
    METERING = "metering device"


@dataclass(frozen=True, slots=True)
class Filters:
    """What every vehicle in a list has in common; empty leaves all of them.

    ``refrigerant``, ``compressor`` and ``metering`` are texts as printed, held by any value on record.
    ``unreviewed`` keeps vehicles with a value that nobody has reviewed, ``in_conflict`` those with values of
    one field that differ, by more than 1 % where they are quantities, while nobody has decided between them.
    """

    maker: str = ""
    make: str = ""
    family: str = ""
    market: str = ""
    refrigerant: str = ""
    compressor: str = ""
    metering: str = ""
    year: int | None = None
    has_known_good: bool = False
    unreviewed: bool = False
    in_conflict: bool = False


ALL = Filters()
"""No filter."""


def choices(store: Store, column: Choice) -> tuple[str, ...]:
    """The values that the library holds for a filter, in order, empty ones left out."""
    with store.reading() as session:
        return tuple(sorted((one for one in session.scalars(_distinct(column)) if one), key=str.casefold))


def conditions(filters: Filters) -> list[ColumnElement[bool]]:
    """What a vehicle's row must meet."""
    found: list[ColumnElement[bool]] = []
    if filters.maker:
        found.append(Configuration.maker_id.in_(select(Maker.id).where(Maker.name == filters.maker)))
    if filters.family:
        named = select(SystemFamily.id).where(SystemFamily.name == filters.family)
        found.append(Configuration.family_id.in_(named))
    if filters.make:
        # The list is in order of make: only the part that begins with it is looked at.
        key, first = Configuration.sort_key, folded(filters.make)
        found += [Configuration.make == filters.make, key >= first, key < first + LAST]
    if filters.market:
        found.append(Configuration.market == filters.market)
    if filters.year is not None:
        found.append(within_years(filters.year))
    found += [_holds(field, wanted) for field, wanted in spec_texts(filters) if wanted]
    if filters.has_known_good:
        good = select(ReadingRow.configuration_id).where(
            ReadingRow.standing == Standing.KNOWN_GOOD.value, ReadingRow.deleted_at.is_(None)
        )
        found.append(Configuration.id.in_(good))
    if filters.unreviewed:
        found.append(exists().where(_value_of_vehicle(), SpecValueRow.reviewed_by == ""))
    if filters.in_conflict:
        found.append(exists(_differing().where(SpecValueRow.configuration_id == Configuration.id)))
    return found


def spec_texts(filters: Filters) -> tuple[tuple[Choice, str], ...]:
    """The spec fields among the filters with the text wanted of each."""
    return (
        (Choice.REFRIGERANT, filters.refrigerant),
        (Choice.COMPRESSOR, filters.compressor),
        (Choice.METERING, filters.metering),
    )


def within_years(year: int) -> ColumnElement[bool]:
    """Whether a vehicle was built as of a model year."""
    begun, ended = Configuration.year_from <= year, Configuration.year_to
    return begun & (ended.is_(None) | (ended >= year))


def conflicting(vehicle_ids: list[int]) -> Select[int]:
    """Those among some vehicles that hold values which differ, while nobody has decided between them."""
    return _differing().where(SpecValueRow.configuration_id.in_(vehicle_ids)).distinct()


def _holds(field: str, wanted: str) -> ColumnElement[bool]:
    return exists().where(_value_of_vehicle(), SpecValueRow.field == field, SpecValueRow.as_printed == wanted)


def _value_of_vehicle() -> ColumnElement[bool]:
    return and_(SpecValueRow.configuration_id == Configuration.id, SpecValueRow.deleted_at.is_(None))


def _differing() -> Select[int]:
    other = aliased(SpecValueRow)
    apart = func.abs(SpecValueRow.value - other.value) > _ROUNDING * func.abs(SpecValueRow.value)
    wordless = SpecValueRow.value.is_(None) | other.value.is_(None)
    decided = exists().where(
        SpecDecision.configuration_id == SpecValueRow.configuration_id,
        SpecDecision.field == SpecValueRow.field,
        SpecDecision.deleted_at.is_(None),
    )
    return (
        select(SpecValueRow.configuration_id)
        .join(
            other,
            and_(
                other.configuration_id == SpecValueRow.configuration_id,
                other.field == SpecValueRow.field,
                other.id > SpecValueRow.id,
                other.deleted_at.is_(None),
            ),
        )
        .where(
            SpecValueRow.deleted_at.is_(None),
            or_(apart, wordless & (func.lower(SpecValueRow.as_printed) != func.lower(other.as_printed))),
            ~decided,
        )
    )


def _distinct(column: Choice) -> Select[str]:
    if column is Choice.MAKER:
        return select(Maker.name).where(Maker.deleted_at.is_(None))
    if column is Choice.FAMILY:
        return select(SystemFamily.name).where(SystemFamily.deleted_at.is_(None)).distinct()
    if column in (Choice.MAKE, Choice.MARKET):
        own = Configuration.make if column is Choice.MAKE else Configuration.market
        return select(own).where(Configuration.deleted_at.is_(None)).distinct()
    kept = SpecValueRow.deleted_at.is_(None)
    return select(SpecValueRow.as_printed).where(SpecValueRow.field == column.value, kept).distinct()
