"""The printed set-up against the system in hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from knowngood_refdata.published.answering import answer
from knowngood_refdata.published.grading import Grade, Item, grade
from knowngood_refdata.published.pasted import read_table
from knowngood_refdata.published.set_up import SetUp, Today
from knowngood_refdata.published.span import read_span
from knowngood_refdata.published.table import PerformanceTable
from knowngood_refdata.published.terms import Doors
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import AirSource, Conditions, Opening

LIKE_PRINTED = Conditions(
    ambient_k=303.15,
    intake_k=298.15,
    relative_humidity=0.55,
    barometer_pa=101_325.0,
    blower=1.0,
    air_source=AirSource.RECIRCULATION,
    doors=Opening.CLOSED,
    hood=Opening.OPEN,
    sun=False,
    run_time_s=700.0,
)


def graded(table: PerformanceTable, today: Today, item: Item) -> Grade:
    (one,) = (one for one in grade(table, today) if one.item is item)
    return one.grade


def speed(printed: str | None, *, idle: bool = False) -> PerformanceTable:
    rpm = unit("rpm", Kind.ROTATION)
    set_up = SetUp(engine_rpm=None if printed is None else read_span(printed, rpm), idle=idle)
    grid = read_table("Low side kPa\n150-250").grid
    assert grid is not None
    return PerformanceTable("Any", (grid,), set_up)


def test_the_printed_set_up_met_in_full_is_equal_in_all_it_says(two_inlets: PerformanceTable) -> None:
    today = Today(LIKE_PRINTED, engine_rpm=780.0, refrigerant="R-134a", windows=Opening.OPEN)
    given = answer(two_inlets, today)
    assert len(given.given) == 3
    assert given.differing == ()
    assert {one.item for one in given.unknown} == {Item.METERING, Item.CIRCUIT, Item.SOAK, Item.GEAR}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"doors": Opening.OPEN}, "doors: closed in the table, open today"),
        ({"air_source": AirSource.FRESH}, "air source: recirculation in the table, fresh air today"),
        ({"hood": Opening.CLOSED}, "hood: open in the table, closed today"),
        ({"blower": 0.5}, "blower: maximum in the table, 50 % today"),
    ],
)
def test_another_set_up_is_refused_and_named(
    two_inlets: PerformanceTable, changes: dict[str, object], words: str
) -> None:
    today = Today(replace(LIKE_PRINTED, **changes), engine_rpm=780.0)  # type: ignore[arg-type]
    given = answer(two_inlets, today)
    assert given.given == ()
    assert all(one.refusal == f"the set-up is another: {words}" for one in given.outcomes)


def test_a_raised_engine_speed_is_refused_where_idle_is_printed(two_inlets: PerformanceTable) -> None:
    given = answer(two_inlets, Today(LIKE_PRINTED, engine_rpm=1_500.0))
    assert {one.refusal for one in given.outcomes} == {
        "the set-up is another: engine speed: idle in the table, 1,500 rpm today"
    }


def test_closed_windows_are_not_open_ones(two_inlets: PerformanceTable) -> None:
    given = answer(two_inlets, Today(LIKE_PRINTED, windows=Opening.CLOSED))
    assert "windows: open in the table, closed today" in given.outcomes[0].refusal


@pytest.mark.parametrize("changes", [{"sun": True}, {"run_time_s": 120.0}])
def test_sun_and_a_short_run_are_told_and_leave_the_range(
    two_inlets: PerformanceTable, changes: dict[str, object]
) -> None:
    given = answer(two_inlets, Today(replace(LIKE_PRINTED, **changes)))  # type: ignore[arg-type]
    assert len(given.given) == 3
    assert len(given.differing) == 1


def test_what_either_side_does_not_say_is_never_equal(two_inlets: PerformanceTable) -> None:
    bare = Today(Conditions(ambient_k=303.15))
    grades = {one.item: one.grade for one in grade(two_inlets, bare)}
    assert Grade.EQUAL not in grades.values()
    assert grades[Item.DOORS] is Grade.NOT_SAID_TODAY
    assert grades[Item.GEAR] is Grade.NOT_SAID_IN_TABLE
    (doors,) = (one.words for one in grade(two_inlets, bare) if one.item is Item.DOORS)
    assert doors == "doors: closed in the table, not recorded today"


@pytest.mark.parametrize(
    ("printed", "idle", "today", "expected"),
    [
        ("1,500", False, Today(engine_rpm=1_560.0), Grade.EQUAL),
        ("1,500", False, Today(engine_rpm=800.0), Grade.DIFFERS),
        ("1,500", False, Today(idle=True), Grade.DIFFERS),
        ("1,500", False, Today(idle=False), Grade.NOT_SAID_TODAY),
        ("1,500", False, Today(), Grade.NOT_SAID_TODAY),
        ("1,500-2,000", False, Today(engine_rpm=1_800.0), Grade.EQUAL),
        ("1,500-2,000", False, Today(engine_rpm=2_300.0), Grade.DIFFERS),
        (None, True, Today(engine_rpm=820.0), Grade.EQUAL),
        (None, True, Today(engine_rpm=1_500.0), Grade.DIFFERS),
        (None, True, Today(idle=True), Grade.EQUAL),
        (None, True, Today(idle=False), Grade.DIFFERS),
        ("700", True, Today(idle=True), Grade.EQUAL),
        ("700", True, Today(engine_rpm=1_500.0), Grade.DIFFERS),
        (None, False, Today(engine_rpm=1_500.0), Grade.NOT_SAID_IN_TABLE),
    ],
)
def test_engine_speed_is_compared_as_a_number_or_as_idle(
    printed: str | None, idle: bool, today: Today, expected: Grade
) -> None:
    assert graded(speed(printed, idle=idle), today, Item.ENGINE_SPEED) is expected


@pytest.mark.parametrize(
    ("printed", "today", "expected"),
    [
        (Doors.CLOSED, Opening.CLOSED, Grade.EQUAL),
        (Doors.OPEN, Opening.OPEN, Grade.EQUAL),
        (Doors.OPEN, Opening.CLOSED, Grade.DIFFERS),
        (Doors.FRONT_OPEN, Opening.CLOSED, Grade.DIFFERS),
        (Doors.FRONT_OPEN, Opening.OPEN, Grade.NOT_SAID_TODAY),
        (None, Opening.OPEN, Grade.NOT_SAID_IN_TABLE),
    ],
)
def test_open_doors_do_not_tell_whether_all_of_them_are(
    printed: Doors | None, today: Opening, expected: Grade
) -> None:
    table = replace(speed(None), set_up=SetUp(doors=printed))
    assert graded(table, Today(Conditions(doors=today)), Item.DOORS) is expected
