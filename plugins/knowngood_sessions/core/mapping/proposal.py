"""What each column most likely is, how sure that is, and why."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role
from knowngood_sessions.core.reading.clock import likely_units, stated_unit, tells_time
from knowngood_sessions.core.reading.name_words import words_of
from knowngood_sessions.core.reading.units import written_unit

from .assignment import Assignment, Special
from .naming import LIKELY, SURE, Named, named
from .plausible import plausible_units
from .questions import Question, open_questions

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_sessions.core.reading.reader import Column, LogTable, Notice

_CLEARLY_APART = 0.95
_MERELY_RISING = 0.3


@dataclass(frozen=True, slots=True)
class ColumnProposal:
    """What a column is proposed to be, the confidence in it (0 to 1) and the reason in words."""

    column: str
    assignment: Assignment
    confidence: float
    why: str


@dataclass(frozen=True, slots=True)
class Proposal:
    """The proposed mapping of a table with the questions that must be answered before an import."""

    columns: tuple[ColumnProposal, ...]
    questions: tuple[Question, ...]
    notices: tuple[Notice, ...]

    @property
    def mapping(self) -> dict[str, Assignment]:
        """The assignments by column name."""
        return {one.column: one.assignment for one in self.columns}


def propose(table: LogTable) -> Proposal:
    """Propose use, unit and gauge or absolute of every column, by names, units and values."""
    time = _time(table)
    first = {
        column.name: time if time is not None and column.name == time.column else _column(column)
        for column in table.columns
    }
    proposals = _one_of_each(_sides(table, first))
    columns = tuple(proposals.values())
    mapping = {one.column: one.assignment for one in columns}
    return Proposal(columns, open_questions(table, mapping), table.notices)


def _time(table: LogTable) -> ColumnProposal | None:
    """The time column: as the reader says, by its name and unit, by clock times, by numbers that rise."""
    scored = [
        (score, -index, column)
        for index, column in enumerate(table.columns)
        if (score := SURE if column.name == table.time else _time_score(column))
    ]
    if table.time:
        scored = [one for one in scored if one[2].name == table.time]
    if not scored:
        return None
    score, _, column = max(scored, key=lambda one: one[:2])
    likely = likely_units(column)
    stated = stated_unit(column)
    # Numbers that merely rise may count samples: their unit is asked about even when one would fit.
    unit_name = likely[0] if len(likely) == 1 and (stated or score > _MERELY_RISING) else ""
    why = "unit in the file" if stated else "the length of the session tells the unit"
    assignment = Assignment(Special.TIME, unit_name)
    return ColumnProposal(
        column.name, assignment, score if unit_name else 0.5, why if unit_name else "unit not stated"
    )


def _time_score(column: Column) -> float:
    kind = _kind(column)
    speaks = named(column.name, kind).use is Special.TIME or kind is Kind.TIME
    if column.holds_moments:
        return (SURE if speaks else LIKELY) if tells_time(column) else 0.0
    if not column.holds_numbers or (kind not in (None, Kind.TIME)):
        return 0.0
    finite = column.numbers[np.isfinite(column.numbers)]
    rises = finite.size >= 2 and bool((np.diff(finite) > 0.0).all())
    if speaks or set(words_of(column.name)) == {"t"}:
        return 0.9 if rises else 0.6
    return _MERELY_RISING if rises else 0.0


def _kind(column: Column) -> Kind | None:
    written = written_unit(column.unit)
    return written.kind if written else None


def _column(column: Column) -> ColumnProposal:
    if not column.holds_numbers:
        return ColumnProposal(column.name, Assignment(Special.LEFT_OUT), LIKELY, "holds text")
    if not np.isfinite(column.numbers).any():
        return ColumnProposal(column.name, Assignment(Special.LEFT_OUT), LIKELY, "holds no value")
    says = named(column.name, _kind(column))
    if says.use is Special.TIME:
        return ColumnProposal(column.name, Assignment(Special.LEFT_OUT), LIKELY, "a second time column")
    if says.use is None:
        return _nameless(column, says)
    assert isinstance(says.use, Role)
    assignment, why = _with_unit(column, says.use)
    return ColumnProposal(column.name, assignment, says.confidence, f"name; {why}")


def _nameless(column: Column, says: Named) -> ColumnProposal:
    """A column whose name tells no use: asked about when it is a pressure or a temperature."""
    written = written_unit(column.unit)
    if says.kind in (Kind.PRESSURE, Kind.TEMPERATURE, Kind.ROTATION):
        symbol = written.unit.symbol if written else ""
        gauge = written.gauge if written else None
        return ColumnProposal(
            column.name, Assignment(None, symbol, gauge), 0.0, f"a {says.kind} without a place"
        )
    if counts_rows(column.numbers):
        return ColumnProposal(column.name, Assignment(Special.LEFT_OUT), LIKELY, "counts the rows")
    return ColumnProposal(
        column.name, Assignment(Role.OTHER, column.unit), 0.5, "kept as it is; neither name nor unit is known"
    )


def counts_rows(numbers: NDArray[np.float64]) -> bool:
    """Whether numbers (n,) are a count of the rows, from nought or one on."""
    return bool(numbers.size > 2 and numbers[0] in (0.0, 1.0) and (np.diff(numbers) == 1.0).all())


def _with_unit(column: Column, role: Role) -> tuple[Assignment, str]:
    written = written_unit(column.unit)
    kind = Assignment(role).kind
    if kind is None:
        return Assignment(role, written.unit.symbol if written else column.unit), "kept as it is"
    if written is not None and written.kind is kind:
        gauge = _gauge(column, kind) if written.gauge is None else written.gauge
        return Assignment(role, written.unit.symbol, gauge), "unit in the file"
    likely = plausible_units(column.numbers, role, kind)
    if kind in (Kind.ROTATION, Kind.FRACTION) and len(likely) == 1:
        return Assignment(role, likely[0]), "unit by its values"
    return Assignment(role), "unit not stated"


def _gauge(column: Column, kind: Kind) -> bool | None:
    """What the name says of gauge or absolute; below zero it can only be gauge; else nobody knows."""
    if kind is not Kind.PRESSURE:
        return None
    words = set(words_of(column.name))
    if words & {"absolute", "abs"}:
        return False
    return True if "gauge" in words or float(np.nanmin(column.numbers)) < 0.0 else None


def _sides(table: LogTable, first: Mapping[str, ColumnProposal]) -> dict[str, ColumnProposal]:
    """Two pressures without a place in one unit, one above the other throughout, are low and high side."""
    proposals = dict(first)
    placeless = [
        table.column(name)
        for name, one in first.items()
        if one.assignment.use is None and named(name, _kind(table.column(name))).kind is Kind.PRESSURE
    ]
    taken = {one.assignment.use for one in first.values()}
    if len(placeless) == 1:
        missing = {Role.LOW_SIDE, Role.HIGH_SIDE} - taken
        if len(missing) == 1:
            _place(proposals, placeless[0], missing.pop(), "the other side has a name")
        return proposals
    if (
        len(placeless) != 2
        or taken & {Role.LOW_SIDE, Role.HIGH_SIDE}
        or placeless[0].unit != placeless[1].unit
    ):
        return proposals
    below = _share_below(*(one.numbers for one in placeless))
    if max(below, 1.0 - below) >= _CLEARLY_APART:
        low, high = placeless if below >= 0.5 else placeless[::-1]
        _place(proposals, low, Role.LOW_SIDE, "the lower of the two pressures throughout")
        _place(proposals, high, Role.HIGH_SIDE, "the higher of the two pressures throughout")
    return proposals


def _share_below(first: NDArray[np.float64], second: NDArray[np.float64]) -> float:
    """The share of rows in which the first lies below; by the middle ones where no row holds both."""
    both = np.isfinite(first) & np.isfinite(second)
    if both.any():
        return float(np.mean(first[both] < second[both]))
    return float(np.nanmedian(first) < np.nanmedian(second))


def _place(proposals: dict[str, ColumnProposal], column: Column, role: Role, why: str) -> None:
    assignment, unit_why = _with_unit(column, role)
    proposals[column.name] = ColumnProposal(column.name, assignment, LIKELY, f"{why}; {unit_why}")


def _one_of_each(proposals: Mapping[str, ColumnProposal]) -> dict[str, ColumnProposal]:
    """Only the surest column keeps a use; a further one is asked about."""
    best: dict[object, ColumnProposal] = {}
    for one in proposals.values():
        use = one.assignment.use
        if use not in (None, Role.OTHER, Special.LEFT_OUT):
            best[use] = max(best.get(use, one), one, key=lambda each: each.confidence)
    return {
        name: one
        if best.get(one.assignment.use, one) is one
        else replace(
            one, assignment=replace(one.assignment, use=None), confidence=0.0, why="named like another column"
        )
        for name, one in proposals.items()
    }
