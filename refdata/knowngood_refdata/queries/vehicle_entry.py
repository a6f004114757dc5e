"""Rows of the spec library looked up, and filled from drafts, one at a time within a transaction."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from sqlalchemy import select

from knowngood_refdata.errors import Conflict, NotFound
from knowngood_refdata.models import Configuration, Maker, SpecValueRow, SystemFamily, UnitRow

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.drafts import SpecDraft, UnitDraft, VehicleDraft
    from knowngood_refdata.models.base import Stamped

EARLIEST, LATEST = 1900, 2200
"""Model years that are taken."""

_Row = TypeVar("_Row", bound="Stamped")


def at_version(row: _Row, version: int) -> _Row:
    """A row that is still at the version that was shown.

    Raises
    ------
    Conflict
        When someone changed it since.
    """
    if row.version != version:
        raise Conflict
    return row


def configuration(session: Session, vehicle_id: int) -> Configuration:
    """The row of a vehicle.

    Raises
    ------
    NotFound
        When there is none, or it was deleted.
    """
    row = session.get(Configuration, vehicle_id)
    if row is None or row.deleted_at is not None:
        raise NotFound(f"The library holds no vehicle number {vehicle_id}. Search for it by its name.")
    return row


def check_draft(draft: VehicleDraft) -> None:
    """Refuse a vehicle without make or model, or with years that make no range.

    Raises
    ------
    ValueError
        With a sentence that says which.
    """
    if not draft.make.strip() or not draft.model.strip():
        raise ValueError("a vehicle needs a make and a model")
    last = draft.year_from if draft.year_to is None else draft.year_to
    if not EARLIEST <= draft.year_from <= last <= LATEST:
        raise ValueError(f"the years {draft.year_from} to {last} make no range")


def describe(session: Session, row: Configuration, draft: VehicleDraft) -> None:
    """Write everything a draft says of the vehicle itself into its row."""
    maker = maker_named(session, draft.maker.strip() or draft.make.strip())
    family = family_named(session, maker, draft.family.strip())
    row.maker, row.family = maker, family
    row.make, row.model, row.engine = draft.make.strip(), draft.model.strip(), draft.engine.strip()
    row.year_from, row.year_to = draft.year_from, draft.year_to
    row.build_from, row.build_to = draft.build_from.strip(), draft.build_to.strip()
    row.generation, row.body = draft.generation.strip(), draft.body.strip()
    row.vin_pattern = draft.vin_pattern.strip().upper()
    row.market, row.evaporators, row.notes = draft.market.strip(), draft.evaporators.strip(), draft.notes


def maker_named(session: Session, name: str) -> Maker:
    """The maker of a name, made when new and brought back when it had been deleted."""
    found = session.scalar(select(Maker).where(Maker.name == name))
    if found is None:
        found = Maker(name=name)
        session.add(found)
    found.deleted_at = None
    session.flush()
    return found


def family_named(session: Session, maker: Maker, name: str) -> SystemFamily | None:
    """The system family of a maker and a name, made when new; None without a name."""
    if not name:
        return None
    query = select(SystemFamily).where(SystemFamily.maker_id == maker.id, SystemFamily.name == name)
    found = session.scalar(query)
    if found is None:
        found = SystemFamily(maker_id=maker.id, name=name)
        session.add(found)
    found.deleted_at = None
    session.flush()
    return found


def spec_row(draft: SpecDraft) -> SpecValueRow:
    """The row of a spec value that is not yet of any vehicle."""
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


def fill_unit(row: UnitRow, draft: UnitDraft) -> UnitRow:
    """Write what a draft says of a car into its row."""
    row.vin, row.fleet_number, row.note = draft.vin.strip(), draft.fleet_number.strip(), draft.note
    return row
