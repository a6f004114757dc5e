"""A row's value beside those that are held of the same field: known already, new, or at odds."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING

from knowngood_refdata.records import SourceKind, SpecValue
from knowngood_specs.core.agreement import SHORT_KIND, agree
from knowngood_specs.core.fields import CHARGE, CHARGE_REAR, REFRIGERANT
from knowngood_specs.core.importing.identity import folded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_refdata.drafts import SpecDraft

_HURTING = (CHARGE.name, CHARGE_REAR.name, REFRIGERANT.name)
"""Fields in which a wrong value can hurt: one that differs from the label is never taken unasked."""


class Found(Enum):
    """Where a value was found before."""

    NEW = auto()
    ON_RECORD = auto()
    IN_ROW = auto()


@dataclass(frozen=True, slots=True)
class Answer:
    """Where a value was found, the row that brought it, what it adds in words, and what is at odds."""

    found: Found
    row: int = 0
    words: str = ""
    doubt: str = ""


def compare_spec(spec: SpecDraft, held: Sequence[tuple[SpecValue | SpecDraft, int]]) -> Answer:
    """Compare a value with those held; the second of each pair is the row that brought it, 0 on record."""
    doubt = ""
    for other, row in held:
        if _same_source(spec, other):
            if _agree(spec, other):
                return Answer(Found.IN_ROW if row else Found.ON_RECORD, row)
            said = f"{other.field} {other.as_printed}{_where(row)}"
            doubt = doubt or f"The same source says {said}, the row {spec.as_printed}."
        elif _can_hurt(spec, other) and not _agree(spec, other):
            doubt = doubt or (
                f"The {spec.field} {spec.as_printed} ({SHORT_KIND[spec.source_kind]}) differs from "
                f"{other.as_printed} ({SHORT_KIND[other.source_kind]}){_where(row)}."
            )
    beside = f" beside {held[0][0].as_printed}" if held else ""
    words = f"Adds {spec.field} {spec.as_printed} ({SHORT_KIND[spec.source_kind]}){beside}."
    return Answer(Found.NEW, words=words, doubt=doubt)


def _can_hurt(one: SpecDraft, other: SpecValue | SpecDraft) -> bool:
    """Whether a difference between the two may mean that a car is filled wrongly."""
    label = SourceKind.UNDER_HOOD_LABEL
    return one.field in _HURTING and label in (one.source_kind, other.source_kind)


def _agree(one: SpecDraft, other: SpecValue | SpecDraft) -> bool:
    equal = one.value == other.value and one.tolerance == other.tolerance
    if equal and (one.value is not None or one.as_printed == other.as_printed):
        return True
    return agree(_as_value(one), _as_value(other))


def _as_value(one: SpecValue | SpecDraft) -> SpecValue:
    if isinstance(one, SpecValue):
        return one
    return SpecValue(0, one.field, one.value, one.tolerance, one.as_printed, one.source_kind, one.citation)


def _same_source(one: SpecDraft, other: SpecValue | SpecDraft) -> bool:
    return (
        one.source_kind is other.source_kind
        and folded(one.citation) == folded(other.citation)
        and folded(one.revision) == folded(other.revision)
        and folded(one.page) == folded(other.page)
    )


def _where(row: int) -> str:
    return f" in row {row}" if row else " on record"
