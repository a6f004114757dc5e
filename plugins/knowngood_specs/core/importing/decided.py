"""A plan with what was decided about its doubted rows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from knowngood_specs.core.importing.beside import Found, compare_spec
from knowngood_specs.core.importing.plan import Outcome, Plan

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from knowngood_refdata.drafts import SpecDraft
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.core.importing.plan import Addition, PlannedRow

NEW = 0
"""The decision that a doubted row is a vehicle of its own; any other is the number of a vehicle on record."""

Decisions = dict[int, int]
"""Row number to what was decided about it; doubted rows that are not named stay out."""


@dataclass(frozen=True, slots=True)
class Decided:
    """What is to be stored, and how many rows of a plan stay out because of their doubts."""

    additions: tuple[Addition, ...]
    left_out: int


def choices(row: PlannedRow) -> tuple[int, ...]:
    """What can be decided about a doubted row: the vehicles on record that may be meant, and a new one."""
    likely = (row.vehicle_id,) if row.vehicle_id is not None else ()
    return (*dict.fromkeys((*likely, *row.candidates)), NEW)


def may_be_on_record(row: PlannedRow) -> bool:
    """Whether a doubted row may mean a vehicle on record."""
    return row.vehicle_id is not None or bool(row.candidates)


def decide(
    planned: Plan,
    decisions: Mapping[int, int],
    vehicles: Mapping[int, Vehicle],
    specs_of: Callable[[Iterable[int]], Mapping[int, tuple[SpecDraft, ...]]],
) -> Decided:
    """What a plan adds with the decisions that were made.

    Parameters
    ----------
    vehicles
        The vehicles on record that are decided for, by number.
    specs_of
        Everything that the rows of these numbers say, whatever of it is on record of the vehicle that the
        plan took them for.
    """
    doubted = [row for row in planned.rows if row.outcome is Outcome.DOUBTED and row.number in decisions]
    other = [row.number for row in doubted if not _as_matched(row, decisions[row.number])]
    said = specs_of(other) if other else {}
    taken = {
        row.number: (
            _for_another(row, vehicles.get(decisions[row.number]), said[row.number])
            if row.number in said
            else row
        )
        for row in doubted
    }
    rows = tuple(taken.get(row.number, row) for row in planned.rows)
    additions = Plan(rows).additions(dict.fromkeys(taken))
    return Decided(additions, planned.counts[Outcome.DOUBTED] - len(taken))


def _as_matched(row: PlannedRow, decision: int) -> bool:
    return decision == (NEW if row.vehicle_id is None else row.vehicle_id)


def _for_another(row: PlannedRow, vehicle: Vehicle | None, said: tuple[SpecDraft, ...]) -> PlannedRow:
    """The row as it would add to another vehicle than the plan took it for."""
    if vehicle is None:
        return replace(row, vehicle_id=None, specs=said, details=(), note="")
    new = tuple(
        one
        for one in said
        if compare_spec(one, [(held, 0) for held in vehicle.specs.get(one.field, ())]).found is Found.NEW
    )
    return replace(row, vehicle_id=vehicle.id, specs=new, details=())
