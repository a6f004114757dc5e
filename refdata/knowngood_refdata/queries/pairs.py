"""Cars that were built with one refrigerant and with another: which configurations belong side by side."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from sqlalchemy import select

from knowngood_refdata.models import Configuration, SpecValueRow
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import SourceKind

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from sqlalchemy.orm import Session

    from knowngood_refdata.records import Vehicle
    from knowngood_refdata.store import Store

_RANK = {kind.value: rank for rank, kind in enumerate(SourceKind)}


class Likeness(StrEnum):
    """What two configurations have in common beside the refrigerant, the closest likeness first."""

    ENGINE = "same model and engine"
    MODEL = "same model"
    FAMILY = "same system family"


@dataclass(frozen=True, slots=True)
class Pair:
    """A configuration with the first refrigerant, one with the second, and what they have in common."""

    first: Vehicle
    second: Vehicle
    likeness: Likeness


@dataclass(frozen=True, slots=True)
class _Built:
    """A configuration in short: what it is compared by."""

    id: int
    make: str
    model: str
    engine: str
    family_id: int | None
    refrigerant: str

    @property
    def named(self) -> tuple[str, str]:
        return self.make.casefold(), self.model.casefold()


class _Index:
    """Configurations by model and by family, so that a large library is not gone through for each one."""

    def __init__(self, built: Iterable[_Built]) -> None:
        self._by_model: dict[tuple[str, str], list[_Built]] = defaultdict(list)
        self._by_family: dict[int, list[_Built]] = defaultdict(list)
        for one in built:
            self._by_model[one.named].append(one)
            if one.family_id is not None:
                self._by_family[one.family_id].append(one)

    def alike(self, one: _Built) -> Iterator[tuple[_Built, Likeness]]:
        """Those that share the model with a configuration, then those of the family alone."""
        for other in self._by_model.get(one.named, ()):
            same_engine = other.engine.casefold() == one.engine.casefold()
            yield other, Likeness.ENGINE if same_engine else Likeness.MODEL
        if one.family_id is not None:
            for other in self._by_family.get(one.family_id, ()):
                if other.named != one.named:
                    yield other, Likeness.FAMILY


def pairs(store: Store, first: str, second: str, limit: int = 200) -> tuple[Pair, ...]:
    """Configurations that differ in the refrigerant and share the model or the system family.

    The refrigerant of a configuration is the one of its most trusted source. The closest likeness comes
    first, then make and model by the alphabet.

    Parameters
    ----------
    store
        The library.
    first, second
        Designations, ``R-134a`` and ``R-1234yf``.
    limit
        No more pairs than this.
    """
    with store.reading() as session:
        built = _built(session)
    others = _Index([one for one in built if one.refrigerant == second])
    found = [
        (likeness, one, other)
        for one in built
        if one.refrigerant == first
        for other, likeness in others.alike(one)
    ]
    order = list(Likeness)
    found.sort(key=lambda item: (order.index(item[0]), item[1].named, item[1].id, item[2].id))
    kept = found[:limit]
    numbers = sorted({one.id for _, *both in kept for one in both})
    known = {number: vehicles.vehicle(store, number) for number in numbers}
    return tuple(Pair(known[one.id], known[other.id], likeness) for likeness, one, other in kept)


def _built(session: Session) -> list[_Built]:
    """Every configuration whose refrigerant is on record, without loading all that is known of it."""
    query = (
        select(
            Configuration.id,
            Configuration.make,
            Configuration.model,
            Configuration.engine,
            Configuration.family_id,
            SpecValueRow.as_printed,
            SpecValueRow.source_kind,
        )
        .join(SpecValueRow, SpecValueRow.configuration_id == Configuration.id)
        .where(
            SpecValueRow.field == "refrigerant",
            SpecValueRow.deleted_at.is_(None),
            Configuration.deleted_at.is_(None),
        )
        .order_by(Configuration.id, SpecValueRow.id)
    )
    best: dict[int, tuple[int, _Built]] = {}
    for number, make, model, engine, family_id, refrigerant, kind in session.execute(query):
        built, rank = _Built(number, make, model, engine, family_id, refrigerant), _RANK[kind]
        if built.id not in best or rank < best[built.id][0]:
            best[built.id] = rank, built
    return [built for _, built in best.values()]
