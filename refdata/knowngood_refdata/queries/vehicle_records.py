"""Records made of the rows of the spec library."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.models import SpecDecision, SpecValueRow
from knowngood_refdata.records import SourceKind, SpecDecided, SpecValue, Unit, Vehicle

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from sqlalchemy.orm import Session

    from knowngood_refdata.models import Configuration, UnitRow

RANK = {kind: rank for rank, kind in enumerate(SourceKind)}
"""The most trusted kind of source first."""


def vehicle_of(session: Session, row: Configuration) -> Vehicle:
    """The record of a vehicle: its values with the decided one first, then by how far a source is trusted."""
    return record_of(row, decisions(session, [row.id]).get(row.id, {}))


def record_of(row: Configuration, decided: Mapping[str, SpecDecided]) -> Vehicle:
    """The record of a vehicle about whose values something was decided."""
    specs: dict[str, list[SpecValue]] = {}
    for one in row.specs:
        if one.deleted_at is None:
            specs.setdefault(one.field, []).append(spec_of(one))

    def order(spec: SpecValue) -> tuple[bool, int, int]:
        chosen = spec.field in decided and decided[spec.field].spec_id == spec.id
        return not chosen, RANK[spec.source_kind], spec.id

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
        specs={name: tuple(sorted(values, key=order)) for name, values in specs.items()},
        build_from=row.build_from,
        build_to=row.build_to,
        generation=row.generation,
        body=row.body,
        vin_pattern=row.vin_pattern,
        decided=decided,
    )


def decisions(session: Session, vehicle_ids: Collection[int]) -> dict[int, dict[str, SpecDecided]]:
    """What was decided between the values of vehicles, by field; a decision for a retired value rests."""
    query = (
        select(SpecDecision)
        .join(SpecValueRow, SpecValueRow.id == SpecDecision.spec_value_id)
        .where(
            SpecDecision.configuration_id.in_(vehicle_ids),
            SpecDecision.deleted_at.is_(None),
            SpecValueRow.deleted_at.is_(None),
        )
    )
    found: dict[int, dict[str, SpecDecided]] = {}
    for row in session.scalars(query):
        found.setdefault(row.configuration_id, {})[row.field] = SpecDecided(
            row.field, row.spec_value_id, row.why, row.changed_by, row.changed_at
        )
    return found


def spec_of(row: SpecValueRow) -> SpecValue:
    """The record of a spec value."""
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


def unit_of(row: UnitRow) -> Unit:
    """The record of a car."""
    return Unit(row.id, row.configuration_id, row.vin, row.fleet_number, row.note, row.version)
