"""What is due, by the calendar, the season, hours and odometer."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_fleet.core.due import By, Check, State, a_day, add_months, due
from knowngood_fleet.core.fleet import Counters, Done, FleetUnit, went_back

YEARLY = Check("Leak check", months=12)
SPRING = Check("Season check", season=(3, 5))
FILTER = Check("Cabin filter", months=12, km=30_000.0)


def unit(*done: Done, counters: tuple[Counters, ...] = ()) -> FleetUnit:
    return FleetUnit(1, 1, "HL-901", "Tarn Wherry", "Quay", "city bus", counters=counters, done=done)


def state_on(day: date, check: Check, one: FleetUnit) -> tuple[State, date, By]:
    (found,) = due(one, day, [check])
    return found.state, found.on, found.by


def test_a_check_is_due_from_a_month_before_its_day_and_overdue_after_it() -> None:
    one = unit(Done("Leak check", date(2025, 6, 10)))
    assert state_on(date(2026, 3, 1), YEARLY, one)[0] is State.LATER
    assert state_on(date(2026, 4, 20), YEARLY, one)[0] is State.SOON
    assert state_on(date(2026, 5, 11), YEARLY, one) == (State.DUE, date(2026, 6, 10), By.CALENDAR)
    assert state_on(date(2026, 6, 10), YEARLY, one)[0] is State.DUE
    assert state_on(date(2026, 6, 11), YEARLY, one)[0] is State.OVERDUE


def test_a_check_that_was_never_done_is_due_now() -> None:
    assert state_on(date(2026, 1, 5), YEARLY, unit()) == (State.DUE, date(2026, 1, 5), By.NEVER_DONE)


def test_a_season_check_is_due_before_the_first_hot_week_of_each_year() -> None:
    done = unit(Done("Season check", date(2025, 4, 2)))
    assert state_on(date(2026, 1, 15), SPRING, done) == (State.LATER, date(2026, 5, 31), By.SEASON)
    assert state_on(date(2026, 2, 10), SPRING, done)[0] is State.SOON
    assert state_on(date(2026, 3, 1), SPRING, done)[0] is State.DUE
    assert state_on(date(2026, 6, 1), SPRING, done)[0] is State.OVERDUE


def test_a_check_in_autumn_is_no_season_check_of_the_next_spring() -> None:
    assert state_on(date(2026, 3, 20), SPRING, unit(Done("Season check", date(2025, 10, 2))))[0] is State.DUE


def test_a_season_that_is_long_over_does_not_count_against_a_unit_that_came_later() -> None:
    assert state_on(date(2026, 6, 20), SPRING, unit())[0] is State.OVERDUE
    assert state_on(date(2026, 12, 20), SPRING, unit())[1] == date(2027, 5, 31)


def test_the_odometer_makes_a_check_due_before_the_calendar_does() -> None:
    # 200 km a day: 30,000 km after the check, 150 days.
    course = (Counters(date(2026, 1, 1), odometer_km=100_000.0), Counters(date(2026, 2, 20), None, 110_000.0))
    one = unit(Done("Cabin filter", date(2026, 1, 1), odometer_km=100_000.0), counters=course)
    assert state_on(date(2026, 2, 20), FILTER, one) == (State.LATER, date(2026, 5, 31), By.ODOMETER)


def test_without_two_readings_of_the_counter_the_calendar_decides() -> None:
    once = (Counters(date(2026, 1, 1), odometer_km=100_000.0),)
    one = unit(Done("Cabin filter", date(2026, 1, 1), odometer_km=100_000.0), counters=once)
    assert state_on(date(2026, 2, 20), FILTER, one)[1:] == (date(2027, 1, 1), By.CALENDAR)
    by_hours = Check("Cabin filter", hours=500.0)
    assert state_on(date(2026, 2, 20), by_hours, one)[1:] == (date(2027, 1, 1), By.CALENDAR)


def test_old_counters_do_not_tell_how_much_a_unit_works_today() -> None:
    course = (
        Counters(date(2020, 1, 1), hours=0.0),
        Counters(date(2026, 1, 1), hours=1_000.0),
        Counters(date(2026, 4, 11), hours=2_000.0),
    )
    assert a_day(course, "hours") == pytest.approx(10.0)
    assert a_day(course, "odometer_km") is None


def test_the_most_pressing_check_comes_first() -> None:
    one = unit(Done("Leak check", date(2025, 1, 1)), Done("Cabin filter", date(2026, 3, 1)))
    found = due(one, date(2026, 4, 1), [FILTER, SPRING, YEARLY])
    assert [entry.check for entry in found] == [YEARLY, SPRING, FILTER]


@given(st.dates(date(1990, 1, 1), date(2080, 1, 1)), st.integers(0, 60))
def test_months_later_is_the_same_day_or_the_last_of_its_month(day: date, months: int) -> None:
    later = add_months(day, months)
    assert (later.year - day.year) * 12 + later.month - day.month == months
    assert later.day == day.day or (later.day < day.day and add_months(later, 0).month == later.month)
    if later.day < day.day:
        assert date.fromordinal(later.toordinal() + 1).day == 1


def test_a_counter_that_would_run_backwards_is_told_in_words() -> None:
    one = unit(counters=(Counters(date(2026, 1, 1), 900.0, 50_000.0),))
    assert "odometer would fall" in went_back(one, Counters(date(2026, 2, 1), 950.0, 5_200.0))
    assert "engine hours would fall" in went_back(one, Counters(date(2025, 12, 1), 950.0, None))
    assert went_back(one, Counters(date(2026, 2, 1), 950.0, None)) == ""
