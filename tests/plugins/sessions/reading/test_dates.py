"""Dates and clock times as loggers write them: day and month first, month names, zones, workbooks."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_sessions.core.mapping.mapping import apply_with_notices, propose
from knowngood_sessions.core.mapping.questions import answered
from knowngood_sessions.core.reading.dates import DAY_FIRST, MONTH_FIRST, days_in_orders, fitting_orders
from knowngood_sessions.core.reading.reader import LogTable, read_log

if TYPE_CHECKING:
    from collections.abc import Sequence


def table(*cells: str, header: str = "Time;P low (psig)") -> LogTable:
    return read_log("\n".join((header, *(f"{cell};30.1" for cell in cells), "")).encode(), "log.csv")


def read(log: LogTable) -> tuple[list[float], datetime | None]:
    recording, started, _ = apply_with_notices(log, propose(log).mapping)
    return [round(one, 3) for one in recording.time_s.tolist()], started


def local(started: datetime | None) -> str:
    return "" if started is None else started.replace(tzinfo=None).isoformat()


@given(st.dates(date(1970, 1, 1), date(2069, 12, 31)))
def test_a_date_written_in_any_way_means_that_day(day: date) -> None:
    days = (day - date(1970, 1, 1)).days
    for text in (
        day.isoformat(),
        f"{day:%d.%m.%Y}",
        f"{day:%d %b %Y}",
        f"{day:%d-%b-%y}",
        f"{day:%B %d, %Y}",
    ):
        assert set(days_in_orders(text)) == {days}, text
    assert days_in_orders(f"{day:%d/%m/%Y}")[0] == days
    assert days_in_orders(f"{day:%m/%d/%Y}")[1] == days
    assert days_in_orders(f"{day:%y-%m-%d}")[2] == days


def test_a_date_that_fits_both_orders_is_asked_about_with_both_days_in_words() -> None:
    log = table("03/04/2024 10:00:00", "03/04/2024 10:00:30", "03/04/2024 10:01:00")
    (question,) = propose(log).questions
    assert question.column == "Time"
    assert [one.label for one in question.choices] == [
        "3 April 2024 (day first)",
        "4 March 2024 (month first)",
    ]
    for choice, expected in zip(
        question.choices, ("2024-04-03T10:00:00", "2024-03-04T10:00:00"), strict=True
    ):
        mapping = answered(propose(log).mapping, choice)
        recording, started, _ = apply_with_notices(log, mapping)
        assert recording.time_s.tolist() == [0, 30, 60]
        assert local(started) == expected


@pytest.mark.parametrize(
    ("cells", "days"),
    [
        (("14/08/2024 10:00:00", "14/08/2024 10:00:30"), 14),
        (("08/14/2024 10:00:00", "08/14/2024 10:00:30"), 14),
        (("03.04.2024 10:00:00", "03.04.2024 10:00:30"), 3),
        (("03/04/2024 23:59:45", "04/04/2024 00:00:15"), 3),
        (("04/03/2024 23:59:45", "04/04/2024 00:00:15"), 3),
    ],
)
def test_a_date_that_only_one_order_fits_is_not_asked_about(cells: Sequence[str], days: int) -> None:
    log = table(*cells)
    assert not propose(log).questions
    times, started = read(log)
    assert times == [0, 30]
    assert started is not None
    assert started.day == days


@pytest.mark.parametrize(
    ("cells", "started"),
    [
        (("2024-08-14T10:42:00Z", "2024-08-14T10:42:30Z"), datetime(2024, 8, 14, 10, 42, tzinfo=UTC)),
        (("2024-08-14T10:42:00+02", "2024-08-14T10:42:30+02"), datetime(2024, 8, 14, 8, 42, tzinfo=UTC)),
        (("2024-08-14 10:42:00 UTC", "2024-08-14 10:42:30 UTC"), datetime(2024, 8, 14, 10, 42, tzinfo=UTC)),
        (("20240814T104200Z", "20240814T104230Z"), datetime(2024, 8, 14, 10, 42, tzinfo=UTC)),
        (
            ("2024-10-27T02:59:45+02:00", "2024-10-27T02:00:15+01:00"),
            datetime(2024, 10, 27, 0, 59, 45, tzinfo=UTC),
        ),
        (("1723632120.5", "1723632150.5"), datetime(2024, 8, 14, 10, 42, 0, 500_000, tzinfo=UTC)),
    ],
)
def test_a_moment_with_its_zone_is_kept_in_universal_time(cells: Sequence[str], started: datetime) -> None:
    log = table(*cells, header="Time (s);P low (psig)" if cells[0][0:2] == "17" else "Time;P low (psig)")
    times, found = read(log)
    assert times == [0, 30]
    assert found == started


@pytest.mark.parametrize(
    "cells",
    [
        ("14 Aug 2024 10:42:00", "14 Aug 2024 10:42:30"),
        ("14-Aug-24 10:42:00 AM", "14-Aug-24 10:42:30 AM"),
        ("Aug 14, 2024 10:42:00", "Aug 14, 2024 10:42:30"),
        ("2024/08/14, 10:42:00", "2024/08/14, 10:42:30"),
        ("14.8.2024 10:42:00,000", "14.8.2024 10:42:30,000"),
    ],
)
def test_dates_with_names_of_months_or_commas_are_read(cells: Sequence[str]) -> None:
    times, started = read(table(*cells))
    assert times == [0, 30]
    assert local(started) == "2024-08-14T10:42:00"


def test_milliseconds_behind_a_third_colon_are_parts_of_a_second() -> None:
    times, _ = read(table("10:42:00:000", "10:42:00:250", "10:42:01:500"))
    assert times == [0, 0.25, 1.5]


def test_days_of_a_workbook_become_seconds_and_the_day_is_known() -> None:
    first = 45_518.445_833_333
    log = table(*(f"{first + index / 86_400:.9f}" for index in range(60)))
    assert propose(log).mapping["Time"].unit == "days since 1900"
    times, started = read(log)
    assert times[:3] == pytest.approx([0, 1, 2], abs=2e-3)
    assert local(started)[:15] == "2024-08-14T10:4"


def test_a_session_of_hours_is_preferred_to_one_of_days() -> None:
    days = {text: days_in_orders(text) for text in ("03/04/2024", "04/04/2024")}
    assert fitting_orders(days) == (DAY_FIRST,)
    assert set(fitting_orders({"03/04/2024": days_in_orders("03/04/2024")})) == {DAY_FIRST, MONTH_FIRST}
