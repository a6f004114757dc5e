"""Find vehicles that were probably entered twice, and merge two that were."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from knowngood_refdata.errors import UnfitValue
from knowngood_refdata.models import (
    Configuration,
    PerformanceTableRow,
    PictureRow,
    ReadingRow,
    SessionRow,
    SpecDecision,
    SpecValueRow,
    UnitRow,
)
from knowngood_refdata.queries.change_words import vehicle_name
from knowngood_refdata.queries.reasons import bind_together, need_reason
from knowngood_refdata.queries.vehicle_entry import configuration
from knowngood_refdata.queries.vehicle_lines import VehicleLine, lines
from knowngood_refdata.queries.vehicle_words import LAST, folded, refresh

if TYPE_CHECKING:
    from sqlalchemy import Row, Select
    from sqlalchemy.orm import Session

    from knowngood_refdata.store import Store

_MOVED: tuple[type[Any], ...] = (
    SpecValueRow,
    UnitRow,
    SessionRow,
    ReadingRow,
    PictureRow,
    PerformanceTableRow,
)
_NEARLY = 0.85
"""From this share of equal letters two names may be one name spelt in two ways."""
_TOLD_APART_BY = ("market", "evaporators", "body", "generation")
_OPEN_END = 9999
_LAST_MONTH = "9999-12"


@dataclass(frozen=True, slots=True)
class Likeness:
    """A vehicle that may be the same as another, with the reasons in words."""

    line: VehicleLine
    reasons: tuple[str, ...]


def likely_duplicates(store: Store, vehicle_id: int, limit: int = 20) -> tuple[Likeness, ...]:
    """Vehicles of the same make that may be this one entered again, the likeliest first.

    Their models and engines are spelt the same or nearly so, their years overlap, and neither market,
    evaporators, body, generation nor build months tell them apart. A car of the same VIN is a reason by
    itself.

    Raises
    ------
    NotFound
        When there is no such vehicle.
    """
    with store.reading() as session:
        row = configuration(session, vehicle_id)
        shared = set(session.scalars(_with_the_same_vin(vehicle_id)))
        reasons: dict[int, tuple[str, ...]] = {}
        for other in session.execute(_candidates(row, shared)):
            found = _reasons(row, other)
            if other.id in shared:
                found = (*found, "a car of the same VIN")
            if found:
                reasons[other.id] = found
        best = sorted(reasons, key=lambda one: (-len(reasons[one]), one))[:limit]
        return tuple(Likeness(line, reasons[line.id]) for line in lines(session, best))


def merge_vehicles(store: Store, keep_id: int, other_id: int, why: str) -> None:
    """Move everything that hangs on one vehicle to another, and mark the one as deleted.

    Values, cars, sessions, readings, pictures and tables go to the kept vehicle; a value that it holds word
    for word is retired, a decision goes along where the kept one has none, and notes are joined. All of it is
    bound together and undone as one.

    Raises
    ------
    NotFound, UnfitValue
        When one of them is not there, they are the same, or there is no reason.
    """
    need_reason(why)
    if keep_id == other_id:
        raise UnfitValue("A vehicle cannot be merged with itself. Nothing was changed. Choose two.")
    with store.writing() as session:
        keep, other = configuration(session, keep_id), configuration(session, other_id)
        session.info["why"] = (
            f"{why.strip()} ({vehicle_name(other)}, number {other_id}, merged into number {keep_id})"
        )
        bind_together(session)
        _retire_twins(keep, other)
        _move_decisions(session, keep_id, other_id)
        for model in _MOVED:
            held = select(model).where(model.configuration_id == other_id)
            if model is not SpecValueRow:
                held = held.where(model.deleted_at.is_(None))
            for row in session.scalars(held):
                row.configuration_id = keep_id
        keep.notes = "\n".join(dict.fromkeys(note for note in (keep.notes, other.notes) if note))
        other.deleted_at = datetime.now(UTC)
        refresh(session, [keep_id, other_id])


def _retire_twins(keep: Configuration, other: Configuration) -> None:
    held = {_said(one) for one in keep.specs if one.deleted_at is None}
    for one in other.specs:
        if one.deleted_at is None and _said(one) in held:
            one.deleted_at = datetime.now(UTC)


def _said(row: SpecValueRow) -> tuple[object, ...]:
    return (
        row.field,
        row.value,
        row.tolerance,
        row.as_printed,
        row.source_kind,
        row.citation,
        row.revision,
        row.page,
    )


def _move_decisions(session: Session, keep_id: int, other_id: int) -> None:
    of = SpecDecision.configuration_id
    taken = set(session.scalars(select(SpecDecision.field).where(of == keep_id)))
    for row in session.scalars(select(SpecDecision).where(of == other_id)):
        if row.field not in taken:
            row.configuration_id = keep_id


def _with_the_same_vin(vehicle_id: int) -> Select[int]:
    kept = UnitRow.deleted_at.is_(None)
    own = select(UnitRow.vin).where(UnitRow.configuration_id == vehicle_id, UnitRow.vin != "", kept)
    return select(UnitRow.configuration_id).where(
        UnitRow.vin.in_(own), UnitRow.configuration_id != vehicle_id, kept
    )


def _candidates(row: Configuration, shared: set[int]) -> Select[Any]:
    first, last = folded(row.make), folded(row.make) + LAST
    near = (Configuration.sort_key >= first) & (Configuration.sort_key < last)
    columns = (
        "id",
        "make",
        "model",
        "engine",
        "year_from",
        "year_to",
        "build_from",
        "build_to",
        *_TOLD_APART_BY,
    )
    return select(*(getattr(Configuration, name) for name in columns)).where(
        near | Configuration.id.in_(shared), Configuration.id != row.id, Configuration.deleted_at.is_(None)
    )


def _reasons(row: Configuration, other: Row[Any]) -> tuple[str, ...]:
    """Why two vehicles may be one; nothing when anything tells them apart."""
    apart = any(_differ(getattr(row, name), getattr(other, name)) for name in _TOLD_APART_BY)
    if apart or folded(row.make) != folded(other.make) or not _overlap(row, other):
        return ()
    model, engine = _spelt("model", row.model, other.model), _spelt("engine", row.engine, other.engine)
    if not model or engine is None:
        return ()
    years = "the same years" if (row.year_from, row.year_to) == (other.year_from, other.year_to) else ""
    return tuple(one for one in (model, engine, years or "years that overlap") if one)


def _differ(one: str, other: str) -> bool:
    return bool(one and other) and folded(one) != folded(other)


def _overlap(row: Configuration, other: Row[Any]) -> bool:
    years = row.year_from <= (other.year_to or _OPEN_END) and other.year_from <= (row.year_to or _OPEN_END)
    months = row.build_from <= (other.build_to or _LAST_MONTH) and other.build_from <= (
        row.build_to or _LAST_MONTH
    )
    return years and months


def _spelt(what: str, one: str, other: str) -> str | None:
    """How two names agree in words, "" when one is missing, None when they are two names."""
    one, other = _letters(one), _letters(other)
    if not one or not other:
        return ""
    if one == other:
        return f"the same {what}"
    if _digits(one) != _digits(other) or SequenceMatcher(None, one, other).ratio() < _NEARLY:
        return None
    return f"{what} spelt nearly the same"


def _letters(text: str) -> str:
    """Letters and digits, words in the order of the alphabet: ``petrol 1.6`` is ``1.6 petrol``."""
    return "".join(letter for word in sorted(folded(text).split()) for letter in word if letter.isalnum())


def _digits(text: str) -> str:
    return "".join(letter for letter in text if letter.isdigit())
