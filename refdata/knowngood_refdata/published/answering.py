"""What a published table says for today's conditions, how it came to it, or why it says nothing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.local_air import local_air
from knowngood_refdata.published.curves import Curves
from knowngood_refdata.published.grading import AT_REST_NEEDS, RUNNING_NEEDS, Grade, Graded, grade
from knowngood_refdata.published.lookup import Found, SaysNothing, check_within, look_up
from knowngood_refdata.published.terms import Figure, Reference, Variable
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from knowngood_refdata.published.axes import Column, Limit
    from knowngood_refdata.published.set_up import Today
    from knowngood_refdata.published.table import Part, PerformanceTable

GENERIC = "a general figure, not of this vehicle"
BY_WEIGHT = "no pressure tells the charge: recover and weigh, and charge by weight only"
THIN_AIR = "tables say nothing of altitude: only the gauge's zero was moved, not what thinner air does"
_ALTITUDE_TOLD_M = 300.0


@dataclass(frozen=True, slots=True)
class Outcome:
    """One figure of one block: its range, or why there is none.

    Attributes
    ----------
    low, high
        Edges in SI, pressures absolute; None where the publication prints no such edge, and both None when
        it says nothing.
    how
        How the range was obtained, in words.
    refusal
        Why there is no range; empty when there is one.
    printed
        The printed text with its unit, where the range stands there so.
    block
        The block's caption.
    """

    figure: Figure
    low: float | None = None
    high: float | None = None
    how: str = ""
    refusal: str = ""
    printed: str = ""
    block: str = ""
    at_rest: bool = False

    @property
    def given(self) -> bool:
        """Whether there is a range."""
        return not self.refusal


@dataclass(frozen=True, slots=True)
class Answer:
    """What one table says today: figure by figure, the set-up compared, and what to know beside it.

    ``wider`` is from the second table, for systems that fail the first one.
    """

    title: str
    generic: bool
    outcomes: tuple[Outcome, ...]
    wider: tuple[Outcome, ...]
    grades: tuple[Graded, ...]
    remarks: tuple[str, ...]

    @property
    def given(self) -> tuple[Outcome, ...]:
        """The figures of the first table that have a range."""
        return tuple(outcome for outcome in self.outcomes if outcome.given)

    @property
    def differing(self) -> tuple[Graded, ...]:
        """The items of the set-up that are known to differ."""
        return tuple(one for one in self.grades if one.grade is Grade.DIFFERS)

    @property
    def unknown(self) -> tuple[Graded, ...]:
        """The items that one side or both do not say."""
        return tuple(one for one in self.grades if one.grade not in {Grade.EQUAL, Grade.DIFFERS})


def answer(table: PerformanceTable, today: Today) -> Answer:
    """What a published table says for the system in hand.

    A range is given only inside the printed rows, and only where nothing that matters is known to differ
    from the printed set-up; what is not known on either side is told with it.
    """
    grades = grade(table, today)
    air = local_air(today.conditions.barometer_pa, today.conditions.altitude_m)
    reading = _Reading(table, today, grades, air.pressure_pa)
    outcomes = tuple(one for part in table.parts for one in reading.outcomes(part))
    wider = tuple(one for part in table.wider for one in reading.outcomes(part))
    counted = f"gauge pressures were counted from {air.pressure_pa / 1000:.1f} kPa: {air.origin}"
    remarks = [*_remarks(table), *_air_remarks(table, today, counted, air.problem)]
    if any(one.given for one in (*outcomes, *wider)):
        remarks += _limits_not_checked(table, today)
    return Answer(table.title, table.generic, outcomes, wider, grades, tuple(dict.fromkeys(remarks)))


@dataclass(frozen=True, slots=True)
class _Reading:
    table: PerformanceTable
    today: Today
    grades: Sequence[Graded]
    barometer_pa: float

    def outcomes(self, part: Part) -> Iterator[Outcome]:
        """One outcome a column; a block that describes a fault is no expectation and gives none."""
        if part.fault:
            return
        for index, column in enumerate(part.columns):
            try:
                self._check(part)
                found = look_up(part, self.today.value_of, index)
            except SaysNothing as nothing:
                yield Outcome(column.figure, refusal=str(nothing), block=part.name, at_rest=part.at_rest)
            else:
                yield self._outcome(part, column, found)

    def _check(self, part: Part) -> None:
        if part.at_rest and not self.today.at_rest:
            raise SaysNothing("the table is for a system at rest, and today it runs")
        if self.today.at_rest and not part.at_rest:
            raise SaysNothing("the table is for a running system, and today it is at rest")
        needs = AT_REST_NEEDS if part.at_rest else RUNNING_NEEDS
        differing = [one.words for one in self.grades if one.grade is Grade.DIFFERS and one.item in needs]
        if differing:
            raise SaysNothing("the set-up is another: " + "; ".join(differing))
        for limit in _limits(self.table, part):
            check_within(limit.span, limit.variable, limit.unit, self.today.value_of(limit.variable))

    def _outcome(self, part: Part, column: Column, found: Found) -> Outcome:
        from_gauge = column.unit.kind is Kind.PRESSURE and column.reference is not Reference.ABSOLUTE
        zero = self.barometer_pa if from_gauge else 0.0
        return Outcome(
            column.figure,
            None if found.low is None else found.low + zero,
            None if found.high is None else found.high + zero,
            found.how,
            printed=f"{found.printed} {column.unit.symbol}" if found.printed else "",
            block=part.name,
            at_rest=part.at_rest,
        )


def _limits(table: PerformanceTable, part: Part) -> tuple[Limit, ...]:
    return part.limits if part.at_rest else (*table.set_up.limits, *part.limits)


def _remarks(table: PerformanceTable) -> Iterator[str]:
    parts = (*table.parts, *table.wider)
    if table.generic:
        yield GENERIC
    if any(part.fault for part in parts):
        yield "the table describes faults too: those values are no expectation and are left out here"
    if table.wider and table.wider_when:
        yield f"the second table is meant {table.wider_when}"
    if any(isinstance(part, Curves) and part.along is Variable.LIQUID_LINE for part in parts):
        yield BY_WEIGHT
    if table.set_up.controls:
        yield f"set as printed, which no record tells: {table.set_up.controls}"
    for notes in (table.set_up.notes, table.notes):
        if notes:
            yield f"the publication adds: {notes}"


def _air_remarks(table: PerformanceTable, today: Today, counted: str, problem: str) -> Iterator[str]:
    columns = [column for part in (*table.parts, *table.wider) for column in part.columns]
    pressures = [column for column in columns if column.unit.kind is Kind.PRESSURE]
    if any(column.reference is Reference.NOT_SAID for column in pressures):
        yield "the table does not say gauge or absolute: its pressures are taken as gauge"
    if any(column.reference is not Reference.ABSOLUTE for column in pressures):
        yield counted
    if problem:
        yield problem
    altitude_m = today.conditions.altitude_m
    if pressures and altitude_m is not None and altitude_m > _ALTITUDE_TOLD_M:
        yield THIN_AIR


def _limits_not_checked(table: PerformanceTable, today: Today) -> Iterator[str]:
    for part in (*table.parts, *table.wider):
        for limit in _limits(table, part):
            if today.value_of(limit.variable) is None:
                yield (
                    f"the table holds for {limit.span.printed} {limit.unit.symbol} {limit.variable} only, "
                    "which is not recorded today"
                )
