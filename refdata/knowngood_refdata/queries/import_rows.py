"""Columns of vehicles, spec values and cars from drafts, for adding many at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.models import Maker, SystemFamily
from knowngood_refdata.queries.vehicle_entry import check_draft

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from knowngood_refdata.drafts import SpecDraft, UnitDraft, VehicleDraft
    from knowngood_refdata.queries.bulk import Row


class Makers:
    """Makers and system families by name within one transaction, made when new."""

    def __init__(self, session: Session) -> None:
        self._session = session
        self._makers: dict[str, Maker] = {one.name: one for one in session.scalars(select(Maker))}
        families = session.scalars(select(SystemFamily))
        self._families: dict[tuple[int, str], SystemFamily] = {
            (one.maker_id, one.name): one for one in families
        }

    def maker_id(self, name: str) -> int:
        """The id of the maker of a name."""
        row = self._makers.get(name)
        if row is None:
            row = self._makers[name] = Maker(name=name)
            self._session.add(row)
        return self._standing(row)

    def family_id(self, maker_id: int, name: str) -> int | None:
        """The id of a maker's system family, None without a name."""
        if not name:
            return None
        row = self._families.get((maker_id, name))
        if row is None:
            row = self._families[maker_id, name] = SystemFamily(maker_id=maker_id, name=name)
            self._session.add(row)
        return self._standing(row)

    def _standing(self, row: Maker | SystemFamily) -> int:
        # A name that was taken back with an import, and is used again, stands again.
        if row.id is None or row.deleted_at is not None:
            row.deleted_at = None
            self._session.flush()
        return row.id


def vehicle_row(makers: Makers, draft: VehicleDraft) -> Row:
    """The columns of a new vehicle.

    Raises
    ------
    ValueError
        When make or model is missing or the years make no range.
    """
    check_draft(draft)
    make = draft.make.strip()
    maker_id = makers.maker_id(draft.maker.strip() or make)
    return {
        "maker_id": maker_id,
        "family_id": makers.family_id(maker_id, draft.family.strip()),
        "make": make,
        "model": draft.model.strip(),
        "engine": draft.engine.strip(),
        "year_from": draft.year_from,
        "year_to": draft.year_to,
        "market": draft.market.strip(),
        "evaporators": draft.evaporators.strip(),
        "notes": draft.notes,
        "build_from": draft.build_from.strip(),
        "build_to": draft.build_to.strip(),
        "generation": draft.generation.strip(),
        "body": draft.body.strip(),
        "vin_pattern": draft.vin_pattern.strip().upper(),
    }


def spec_row(draft: SpecDraft, vehicle_id: int) -> Row:
    """The columns of a new spec value."""
    return {
        "configuration_id": vehicle_id,
        "field": draft.field,
        "value": draft.value,
        "tolerance": draft.tolerance,
        "as_printed": draft.as_printed,
        "source_kind": draft.source_kind.value,
        "citation": draft.citation,
        "revision": draft.revision,
        "page": draft.page,
        "reviewed_by": draft.reviewed_by,
        "reviewed_at": None,
    }


def unit_row(draft: UnitDraft, vehicle_id: int) -> Row:
    """The columns of a new car."""
    return {
        "configuration_id": vehicle_id,
        "vin": draft.vin.strip(),
        "fleet_number": draft.fleet_number.strip(),
        "note": draft.note,
    }
