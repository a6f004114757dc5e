"""What must be asked before a log is imported: a wrong guess here would go unnoticed ever after."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role
from knowngood_refdata.role_kinds import roles_of
from knowngood_sessions.core.reading.clock import CLOCK, ELAPSED, MINUTES, first_date, likely_units, orders_of
from knowngood_sessions.core.reading.dates import ORDERS, day_of, days_in_orders
from knowngood_sessions.core.reading.units import written_unit

from .asked import Choice, Question
from .assignment import Assignment, ColumnMapping, Special
from .at_rest import AtRest, absolute_pa, at_rest
from .cross_questions import cross_questions
from .naming import named
from .plausible import contradicts, offered_units, plausible_units, thinned

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood_sessions.core.reading.reader import Column, LogTable

__all__ = ["Choice", "Question", "answered", "open_questions"]

_PLACES = {kind: roles_of(kind) for kind in (Kind.PRESSURE, Kind.TEMPERATURE, Kind.ROTATION)}
_THROUGHOUT = 0.95
_CLEAR_SHARE = 0.03
_TIME_WORDS = {CLOCK: "clock time, h:min", MINUTES: "elapsed, min:s"}


def open_questions(table: LogTable, mapping: ColumnMapping) -> tuple[Question, ...]:
    """Everything about a mapping that is undecided or that the values contradict.

    A contradiction that a person has confirmed is not asked about again, except for a low side that
    lies above the high side throughout.
    """
    found = list(_whole_table(table, mapping))
    rest = at_rest(table, mapping)
    for name, one in mapping.items():
        question = _about(table.column(name), one, rest)
        if question is not None:
            found.append(question)
    return tuple(found)


def answered(mapping: ColumnMapping, choice: Choice) -> dict[str, Assignment]:
    """The mapping after an answer."""
    return {**mapping, **choice.changes}


def _whole_table(table: LogTable, mapping: ColumnMapping) -> Iterator[Question]:
    if not any(one.use is Special.TIME for one in mapping.values()):
        columns = [column for column in table.columns if mapping[column.name].use in (None, Role.OTHER)]
        yield Question(
            "",
            "Which column holds the time?",
            tuple(Choice(one.name, {one.name: Assignment(Special.TIME)}) for one in columns),
        )
    for use in (*(role for role in Role if role is not Role.OTHER), Special.TIME):
        names = [name for name, one in mapping.items() if one.use is use]
        if len(names) > 1:
            yield _twice(use, names, mapping)
    swapped = _swapped(table, mapping)
    if swapped is not None:
        yield swapped
    else:
        yield from cross_questions(table, mapping)


def _twice(use: Role | Special, names: list[str], mapping: ColumnMapping) -> Question:
    def keep(kept: str) -> dict[str, Assignment]:
        others = Assignment(Special.LEFT_OUT) if use is Special.TIME else Assignment(Role.OTHER)
        return {
            name: mapping[name] if name == kept else replace(others, unit=mapping[name].unit)
            for name in names
        }

    listed = " and ".join(names)
    return Question(
        names[1],
        f"{listed} are both taken for {use.value}. Which one is?",
        tuple(Choice(name, keep(name)) for name in names),
    )


def _swapped(table: LogTable, mapping: ColumnMapping) -> Question | None:
    """A low side above the high side throughout: the hoses or the names are swapped."""
    sides = {
        one.use: name
        for name, one in mapping.items()
        if one.use in (Role.LOW_SIDE, Role.HIGH_SIDE) and one.unit
    }
    if len(sides) < 2:
        return None
    low_name, high_name = sides[Role.LOW_SIDE], sides[Role.HIGH_SIDE]
    low, high = (
        absolute_pa(thinned(table.column(name).numbers), mapping[name]) for name in (low_name, high_name)
    )
    both = np.isfinite(low) & np.isfinite(high)
    if not both.any() or np.mean(low[both] > high[both] * (1.0 + _CLEAR_SHARE)) < _THROUGHOUT:
        return None
    swap = {
        low_name: replace(mapping[low_name], use=Role.HIGH_SIDE),
        high_name: replace(mapping[high_name], use=Role.LOW_SIDE),
    }
    return Question(
        low_name,
        f"The low side ({low_name}) lies above the high side ({high_name}) throughout. Were the two swapped?",
        (
            Choice("Yes, swap them", swap),
            Choice("No, leave both out", dict.fromkeys((low_name, high_name), Assignment(Special.LEFT_OUT))),
        ),
    )


def _about(column: Column, one: Assignment, rest: AtRest | None) -> Question | None:
    if one.use is None:
        return _place(column, one)
    if one.use is Special.TIME:
        return None if one.unit else _time_unit(column)
    if one.use is Special.LEFT_OUT or one.kind is None:
        return None
    assert isinstance(one.use, Role)
    if not one.unit:
        return _unit(column, one)
    if not one.confirmed and contradicts(
        column.numbers, one.use, one.unit, one.kind, gauge=one.gauge is not False
    ):
        return _contradiction(column, one)
    if one.asks_gauge and one.gauge is None:
        return _counted_from(column, one, rest)
    return None


def _counted_from(column: Column, one: Assignment, rest: AtRest | None) -> Question:
    hint = "" if rest is None or rest.gauge is None else f" {rest.words}"
    first = rest is None or rest.gauge is not False
    return Question(
        column.name,
        f"{column.name} in {one.unit}: does it count from the local air pressure (gauge), or from vacuum "
        f"(absolute)? The file does not say.{hint}",
        tuple(_pressure_choice(column.name, one, one.unit, gauge) for gauge in (first, not first)),
    )


def _place(column: Column, one: Assignment) -> Question:
    kind = named(column.name, _kind(column)).kind
    places = (
        _PLACES.get(kind, tuple(role for role in Role if role is not Role.OTHER)) if kind else tuple(Role)
    )
    choices = [Choice(role.value, {column.name: replace(one, use=role)}) for role in places]
    choices.append(Choice("something else: keep it", {column.name: Assignment(Role.OTHER, one.unit)}))
    choices.append(Choice("leave it out", {column.name: Assignment(Special.LEFT_OUT)}))
    return Question(column.name, f"What was measured by {column.name}{_span(column)}?", tuple(choices))


def _time_unit(column: Column) -> Question:
    orders = orders_of(column)
    if len(orders) > 1:
        return _date_order(column, orders)
    likely = likely_units(column)
    candidates = ELAPSED if column.holds_numbers else (CLOCK, MINUTES)
    return Question(
        column.name,
        f"In which unit is the time {column.name}{_span(column)}?",
        tuple(
            Choice(_TIME_WORDS.get(name, name), {column.name: Assignment(Special.TIME, name)})
            for name in (*likely, *(one for one in candidates if one not in likely))
        ),
    )


def _date_order(column: Column, orders: tuple[str, ...]) -> Question:
    written = first_date(column)
    means = dict(zip(ORDERS, days_in_orders(written), strict=True))
    days = {order: day for order in orders if (day := means[order]) is not None}
    return Question(
        column.name,
        f"{column.name}: which day is {written}? The file does not say whether day or month stands first.",
        tuple(
            Choice(f"{day_of(day)} ({order})", {column.name: Assignment(Special.TIME, order)})
            for order, day in days.items()
        ),
    )


def _unit(column: Column, one: Assignment) -> Question:
    assert isinstance(one.use, Role)
    assert one.kind is not None
    likely = plausible_units(column.numbers, one.use, one.kind)
    names = (*likely, *(name for name in offered_units(one.kind) if name not in likely))
    hint = f" Its values fit {' or '.join(likely)}." if likely else " Its values fit none that is usual."
    return Question(
        column.name,
        f"In which unit is {column.name}{_span(column)}? The file names none.{hint}",
        _unit_choices(column.name, one, names, likely),
    )


def _contradiction(column: Column, one: Assignment) -> Question:
    assert isinstance(one.use, Role)
    assert one.kind is not None
    likely = tuple(name for name in plausible_units(column.numbers, one.use, one.kind) if name != one.unit)
    better = f"; {' or '.join(likely)} would fit" if likely else ""
    as_stated = Choice(f"{one.unit} is right", {column.name: replace(one, confirmed=True)})
    return Question(
        column.name,
        f"{column.name}{_span(column)} in {one.unit} is not what a {one.use.value} has{better}. "
        "In which unit is it?",
        (
            *_unit_choices(column.name, one, likely, likely),
            as_stated,
            Choice("leave it out", {column.name: Assignment(Special.LEFT_OUT)}),
        ),
    )


def _unit_choices(
    name: str, one: Assignment, units: tuple[str, ...], likely: tuple[str, ...]
) -> tuple[Choice, ...]:
    if one.asks_gauge:
        both = (True, False) if one.gauge is None else (one.gauge,)
        return tuple(
            _pressure_choice(name, one, symbol, gauge, sure=symbol not in likely)
            for symbol in units
            for gauge in both
        )
    return tuple(
        Choice(symbol, {name: replace(one, unit=symbol, confirmed=symbol not in likely)}) for symbol in units
    )


def _pressure_choice(name: str, one: Assignment, symbol: str, gauge: bool, *, sure: bool = False) -> Choice:
    word = "gauge" if gauge else "absolute"
    changed = replace(one, unit=symbol, gauge=gauge, confirmed=one.confirmed or sure)
    return Choice(f"{symbol}, {word}", {name: changed})


def _span(column: Column) -> str:
    """The span of the values for a question: `` (12.5 to 151)``."""
    finite = column.numbers[np.isfinite(column.numbers)]
    if finite.size == 0:
        return f" ({column.examples[0]} ...)" if column.examples else ""
    return f" ({finite.min():.4g} to {finite.max():.4g})"


def _kind(column: Column) -> Kind | None:
    written = written_unit(column.unit)
    return written.kind if written else None
