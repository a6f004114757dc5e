"""What is stored of doubted rows once somebody has decided about them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.records import SourceKind, SpecValue, Vehicle
from knowngood_specs.core.importing.decided import NEW, choices, decide
from knowngood_specs.core.importing.plan import Outcome

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_refdata.drafts import SpecDraft
    from knowngood_specs.core.importing.decided import Decided
    from knowngood_specs.core.importing.plan import Plan

    from .conftest import Planned

LABEL = SourceKind.UNDER_HOOD_LABEL
HEADER = "Make;Model;Engine;Years;Refrigerant;Charge;Source kind;Citation\n"
SKERRY = Vehicle(
    7, "Tarn", "Skerry", "1.6 petrol", 2021, 2023, maker="Tarn",
    specs={
        "charge": (SpecValue(1, "charge", 0.470, 0.015, "470 ± 15 g", LABEL, "photographed"),),
        "refrigerant": (SpecValue(2, "refrigerant", None, None, "R-1234yf", LABEL, "photographed"),),
    },
)  # fmt: skip
AT_ODDS = f"{HEADER}Tarn;Skerry;1.6 petrol;2021-2023;R-1234yf;500 g;label;photographed\n"
LIKE_ANOTHER = f"{HEADER}Tarn;Skery;1.6 petrol;2021-2023;R-1234yf;480 g;label;second car\n"


def everything_said(plan: Plan) -> dict[int, tuple[SpecDraft, ...]]:
    """What the rows say when no vehicle is on record, by row number."""
    return {row.number: row.specs for row in plan.rows}


def decided(planned: Planned, text: str, decision: int | None) -> tuple[tuple[int, ...], Decided]:
    doubted = planned(text, [SKERRY])
    (row,) = doubted.rows
    assert row.outcome is Outcome.DOUBTED
    said = everything_said(planned(text))

    def specs_of(numbers: Iterable[int]) -> dict[int, tuple[SpecDraft, ...]]:
        return {number: said[number] for number in numbers}

    decisions = {} if decision is None else {row.number: decision}
    return choices(row), decide(doubted, decisions, {7: SKERRY}, specs_of)


def test_a_doubted_row_without_a_decision_stays_out(planned: Planned) -> None:
    _, done = decided(planned, AT_ODDS, None)
    assert (done.additions, done.left_out) == ((), 1)


def test_a_row_taken_as_the_vehicle_it_was_matched_with_adds_only_what_is_not_on_record(
    planned: Planned,
) -> None:
    offered, done = decided(planned, AT_ODDS, 7)
    assert offered == (7, NEW)
    (addition,) = done.additions
    assert (addition.vehicle_id, addition.vehicle) == (7, None)
    assert [(one.field, one.as_printed) for one in addition.specs] == [("charge", "500 g")]
    assert done.left_out == 0


def test_a_row_taken_as_new_brings_everything_it_says_whatever_the_like_vehicle_holds(
    planned: Planned,
) -> None:
    _, done = decided(planned, AT_ODDS, NEW)
    (addition,) = done.additions
    assert addition.vehicle_id is None
    assert addition.vehicle is not None
    assert {one.field for one in addition.vehicle.specs} == {"charge", "refrigerant"}


def test_a_row_that_was_taken_for_new_can_be_said_to_be_a_vehicle_on_record(planned: Planned) -> None:
    offered, done = decided(planned, LIKE_ANOTHER, 7)
    assert offered == (7, NEW)
    (addition,) = done.additions
    assert addition.vehicle_id == 7
    assert {(one.field, one.citation) for one in addition.specs} == {
        ("charge", "second car"),
        ("refrigerant", "second car"),
    }
