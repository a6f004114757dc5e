"""Questions that the channels of a log raise about one another.

Saturation of R-134a: 6.653 bar at 25 °C, 10.17 bar at 40 °C, 2.928 bar at 0 °C, absolute (ASHRAE Handbook
Fundamentals, thermophysical properties; from memory, as the tables of the project hold them).
"""

from __future__ import annotations

import pytest

from knowngood_refdata.records import Role
from knowngood_sessions.core.mapping.mapping import propose
from knowngood_sessions.core.mapping.questions import answered, open_questions
from knowngood_sessions.core.reading.reader import LogTable, read_log

REST_ABSOLUTE_BAR = 6.653
REST_GAUGE_BAR = REST_ABSOLUTE_BAR - 1.013


def log(header: str, rest: str, running: str, seconds: int = 60) -> LogTable:
    rows = [f"{index},{rest if index < seconds // 3 else running}" for index in range(seconds)]
    return read_log("\n".join((f"Time (s),{header}", *rows, "")).encode(), "log.csv")


def rested(unit: str, bar: float, *, ambient: float = 25.0) -> LogTable:
    header = f"P low ({unit}),P high ({unit}),Ambient (°C)"
    return log(header, f"{bar:.3f},{bar + 0.02:.3f},{ambient}", f"2.1,11.9,{ambient}")


def test_gauge_pressures_that_stand_at_rest_like_absolute_ones_are_asked_about() -> None:
    table = rested("bar g", REST_ABSOLUTE_BAR)
    (question,) = propose(table).questions
    assert "P low and P high are taken as gauge" in question.text
    assert "absolute at 25 °C" in question.text
    mapping = answered(propose(table).mapping, question.choices[0])
    assert {mapping["P low"].gauge, mapping["P high"].gauge} == {False}
    assert not open_questions(table, mapping)
    kept = answered(propose(table).mapping, question.choices[1])
    assert kept["P low"].gauge is True
    assert not open_questions(table, kept)


def test_absolute_pressures_that_stand_at_rest_like_gauge_ones_are_asked_about() -> None:
    (question,) = propose(rested("bar abs", REST_GAUGE_BAR)).questions
    assert question.choices[0].label == "Yes, gauge"


@pytest.mark.parametrize(("unit", "bar"), [("bar g", REST_GAUGE_BAR), ("bar abs", REST_ABSOLUTE_BAR)])
def test_pressures_that_stand_at_rest_where_they_should_are_not_asked_about(unit: str, bar: float) -> None:
    assert not propose(rested(unit, bar)).questions


@pytest.mark.parametrize(
    ("bar", "first"), [(REST_GAUGE_BAR, "bar, gauge"), (REST_ABSOLUTE_BAR, "bar, absolute")]
)
def test_what_the_rest_tells_comes_first_where_the_file_leaves_gauge_open(bar: float, first: str) -> None:
    questions = propose(rested("bar", bar)).questions
    assert [one.column for one in questions] == ["P low", "P high"]
    for question in questions:
        assert question.choices[0].label == first
        assert "At rest both sides read" in question.text


def test_a_rest_far_from_the_air_around_tells_nothing() -> None:
    assert not propose(rested("bar g", 2.6)).questions
    assert not propose(rested("bar g", REST_ABSOLUTE_BAR, ambient=40.0)).questions


def test_sides_that_are_equal_while_the_engine_turns_are_no_rest() -> None:
    header = "P low (bar g),P high (bar g),Ambient (°C),RPM"
    table = log(header, f"{REST_ABSOLUTE_BAR},{REST_ABSOLUTE_BAR},25,800", "2.1,11.9,25,800")
    assert not propose(table).questions


@pytest.mark.parametrize(
    ("column", "sides", "value"),
    [
        # 42 °F is 5.6 °C and a superheat of 21 K at 1.5 bar absolute; 42 °C would be one of 59 K.
        ("Suction line", "0.5,9.2", 42),
        # 89 °F is 31.7 °C and a subcooling of 8 K at 10.2 bar absolute; 89 °C lies 49 K above saturation.
        ("Liquid line", "1.9,9.2", 89),
    ],
)
def test_a_line_in_the_wrong_unit_is_asked_about_although_a_line_can_be_that_warm(
    column: str, sides: str, value: int
) -> None:
    table = log(f"P low (bar g),P high (bar g),{column} (°C)", f"{sides},{value}", f"{sides},{value}")
    (question,) = propose(table).questions
    assert question.column == column
    assert question.choices[0].label == "°F"
    assert not open_questions(table, answered(propose(table).mapping, question.choices[0]))
    assert not open_questions(table, answered(propose(table).mapping, question.choices[1]))


def test_a_liquid_line_below_the_condensing_temperature_is_not_asked_about() -> None:
    table = log("P low (bar g),P high (bar g),Liquid line (°C)", "1.9,9.2,33", "1.9,9.2,33")
    assert not propose(table).questions


def test_the_low_side_above_the_high_side_is_asked_first() -> None:
    table = log("P low (bar g),P high (bar g),Suction line (°C)", "9.2,1.9,10", "9.2,1.9,10")
    assert "swapped" in propose(table).questions[0].text
    assert propose(table).mapping["P low"].use is Role.LOW_SIDE
