"""The match sheet in words: each condition here and there, and how to repeat a test that does not compare."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.formatting import MISSING
from knowngood_refdata.expected.likeness import Condition, Grade
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from knowngood.formatting import System
    from knowngood_refdata.expected.likeness import Likeness, MatchSheet

HEADS = ("Condition", "Here", "Readings behind the range", "")
KINDS = {
    Condition.AMBIENT: Kind.TEMPERATURE,
    Condition.WET_BULB: Kind.TEMPERATURE,
    Condition.ENGINE_SPEED: Kind.ROTATION,
    Condition.BLOWER: Kind.FRACTION,
    Condition.RUN_TIME: Kind.TIME,
}


def sheet_rows(sheet: MatchSheet, system: System) -> list[tuple[str, str, str, str]]:
    """A row a condition: its name, its value here, those of the readings, the grade."""
    return [
        (str(one.condition), _here(one, system), _there(one, system), str(one.grade)) for one in sheet.lines
    ]


def repeat_words(sheet: MatchSheet, system: System) -> str:
    """How to repeat a test so that it becomes comparable; empty when it is."""
    told = [_wanted(one, system) for one in sheet.blocking]
    return f"To compare, repeat the test {', and '.join(told)}." if told else ""


def graded_words(sheet: MatchSheet) -> str:
    """The conditions by grade in a line, those that need a word first."""
    heads = {
        Grade.DIFFERS: "Differs",
        Grade.CORRECTED: "Corrected for",
        Grade.EQUAL: "Equal",
        Grade.NOT_RECORDED: "Not recorded",
    }
    parts = [
        f"{head}: {', '.join(names)}." for grade, head in heads.items() if (names := sheet.graded(grade))
    ]
    return " ".join(parts)


def _here(one: Likeness, system: System) -> str:
    if one.words_here:
        return one.words_here
    return MISSING if one.here is None else _value(one.condition, one.here, system)


def _there(one: Likeness, system: System) -> str:
    if one.words_there:
        return one.words_there
    if one.there is None:
        return MISSING
    return _span(one.condition, one.there, system)


def _span(condition: Condition, span: tuple[float, float], system: System) -> str:
    low, high = (_value(condition, one, system) for one in span)
    if low == high:
        return low
    unit = low.rpartition(" ")[2]
    return f"{low.removesuffix(unit).strip() if unit and high.endswith(unit) else low} to {high}"


def _value(condition: Condition, value: float, system: System) -> str:
    if condition is Condition.FAN_STAGE:
        return f"{value:.0f}"
    if condition is Condition.AIR_PRESSURE:
        return formatting.text(value, Kind.PRESSURE, system, absolute=True)
    return formatting.text(value, KINDS[condition], system)


def _wanted(one: Likeness, system: System) -> str:
    if one.grade is Grade.NOT_RECORDED:
        return f"with {one.condition} recorded"
    if one.wanted:
        return (
            f"with {one.condition} {one.wanted}"
            if one.condition is not Condition.SUN
            else f"with {one.wanted}"
        )
    if one.condition is Condition.RUN_TIME:
        return f"after {_value(one.condition, (one.reach or (600.0, math.inf))[0], system)} of running"
    span = one.there if one.condition is Condition.FAN_STAGE else one.reach
    if span is None:
        return f"with {one.condition} as in the readings"
    return f"with {one.condition} {_between(one.condition, span, system)}"


def _between(condition: Condition, span: tuple[float, float], system: System) -> str:
    low, high = (_value(condition, value, system) for value in span)
    return f"at {low}" if low == high else f"between {low} and {high}"
