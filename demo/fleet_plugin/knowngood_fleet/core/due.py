"""What is due on which unit: by the calendar, by the season, and by hours or odometer, whichever is first."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood_fleet.core.fleet import Counters, Done, FleetUnit

SOON_DAYS = 30
_LONGEST_DAYS = 20_000
_COUNTED_DAYS = 400
"""How far back the counters tell how much a unit works in a day."""


class State(StrEnum):
    """How pressing a check is, the most pressing first."""

    OVERDUE = "overdue"
    DUE = "due now"
    SOON = "due soon"
    LATER = "later"


class By(StrEnum):
    """What makes a check due."""

    NEVER_DONE = "never done"
    SEASON = "the season"
    CALENDAR = "the calendar"
    HOURS = "engine hours"
    ODOMETER = "odometer"


@dataclass(frozen=True, slots=True)
class Check:
    """A check that comes again; any of the limits may be None.

    ``season`` holds the first and the last month in which it is to be done once a year.
    """

    name: str
    months: int | None = None
    hours: float | None = None
    km: float | None = None
    season: tuple[int, int] | None = None


CHECKS = (
    Check("Season check: vent temperature and both sides, recorded", season=(3, 5)),
    Check("Condenser cleaned, fans run", season=(3, 5), hours=1_500.0),
    Check("Leak check", months=12),
    Check("Charge recovered and weighed", months=24),
    Check("Cabin filter", months=12, km=30_000.0),
)
"""A fleet fails in the first hot week, so the season checks come before it. Intervals: common practice, no
source; a maker's schedule or local law may ask for more."""


@dataclass(frozen=True, slots=True)
class Due:
    """When a check is due on a unit.

    ``on`` is the last day on which it is in time, estimated where hours or odometer decide; ``from_on`` the
    first day on which it makes sense.
    """

    check: Check
    state: State
    on: date
    from_on: date
    by: By
    last: date | None


def due(unit: FleetUnit, today: date, checks: Sequence[Check] = CHECKS) -> tuple[Due, ...]:
    """When each check is due on a unit, the most pressing first."""
    order = list(State)
    found = [_due(unit, one, today) for one in checks]
    return tuple(sorted(found, key=lambda one: (order.index(one.state), one.on, one.check.name)))


def a_day(counters: Sequence[Counters], name: str) -> float | None:
    """By how much a counter, ``hours`` or ``odometer_km``, rises in a day; None when that is not known."""
    known = [(one.at, getattr(one, name)) for one in counters if getattr(one, name) is not None]
    if not known:
        return None
    last_at, last = known[-1]
    recent = [one for one in known if (last_at - one[0]).days <= _COUNTED_DAYS] or known[-1:]
    first_at, first = recent[0]
    days = (last_at - first_at).days
    return None if days <= 0 else float(last - first) / days


def add_months(day: date, months: int) -> date:
    """The same day some months later, or the last of the month where there is no such day.

    >>> add_months(date(2025, 1, 31), 13)
    datetime.date(2026, 2, 28)
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    following = date(year + month // 11, (month + 1) % 12 + 1, 1)
    return date(year, month + 1, min(day.day, (following - timedelta(days=1)).day))


def _due(unit: FleetUnit, check: Check, today: date) -> Due:
    last = max((one for one in unit.done if one.check == check.name), key=lambda one: one.at, default=None)
    if last is None and check.season is None:
        return Due(check, State.DUE, today, today, By.NEVER_DONE, None)
    # Where the course of a counter is not known, a year goes for its limit.
    a_year = add_months((last.at if last else today), 12)
    on, from_on, by = min(_limits(unit, check, last, today), default=_by_calendar(a_year))
    state = _state(on, from_on, today)
    return Due(check, state, on, from_on, By(by), None if last is None else last.at)


def _limits(unit: FleetUnit, check: Check, last: Done | None, today: date) -> list[tuple[date, date, str]]:
    limits = []
    if check.season is not None:
        first, end = _season(check.season, None if last is None else last.at, today)
        limits.append((end, first, By.SEASON.value))
    if last is None:
        return limits
    if check.months is not None:
        limits.append(_by_calendar(add_months(last.at, check.months)))
    for limit, name, by in ((check.hours, "hours", By.HOURS), (check.km, "odometer_km", By.ODOMETER)):
        reached = None if limit is None else _reached(unit, last, name, limit)
        if reached is not None:
            limits.append((reached, reached - timedelta(days=SOON_DAYS), by.value))
    return limits


def _by_calendar(on: date) -> tuple[date, date, str]:
    return on, on - timedelta(days=SOON_DAYS), By.CALENDAR.value


def _season(months: tuple[int, int], last: date | None, today: date) -> tuple[date, date]:
    """First and last day of the first season in which the check was not done and that is not long over."""
    year = today.year if last is None else last.year
    while True:
        first, end = date(year, months[0], 1), add_months(date(year, months[1], 1), 1) - timedelta(days=1)
        if (last is None or last < first) and (last is not None or today <= add_months(end, 6)):
            return first, end
        year += 1


def _reached(unit: FleetUnit, last: Done, name: str, limit: float) -> date | None:
    """When a counter has risen by a limit since a check; None when its course is not known."""
    then = getattr(last, name)
    known = [one for one in unit.counters if getattr(one, name) is not None]
    rate = a_day(unit.counters, name)
    if then is None or not known or rate is None or rate <= 0.0:
        return None
    left = then + limit - getattr(known[-1], name)
    return known[-1].at + timedelta(days=min(max(round(left / rate), -_LONGEST_DAYS), _LONGEST_DAYS))


def _state(on: date, from_on: date, today: date) -> State:
    if today > on:
        return State.OVERDUE
    if today >= from_on:
        return State.DUE
    return State.SOON if (from_on - today).days <= SOON_DAYS else State.LATER
