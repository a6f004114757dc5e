"""Dates as loggers write them: which day a text can mean, and which orders of day and month fit a column."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

DAY_FIRST = "day first"
MONTH_FIRST = "month first"
YEAR_FIRST = "year first"
ORDERS = (DAY_FIRST, MONTH_FIRST, YEAR_FIRST)
"""How the numbers of a date can be ordered where the text leaves it open."""

EPOCH = date(1970, 1, 1)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_ALSO = {"mär": 3, "mrz": 3, "mai": 5, "okt": 10, "dez": 12, "fév": 2, "avr": 4, "aoû": 8, "déc": 12}
_CENTURY, _TURN = 2000, 70
_PARTS = re.compile(r"\d+|[^\W\d_]+")


def days_in_orders(text: str) -> tuple[int | None, int | None, int | None]:
    """Days since 1970 with the day, the month, the year first; None where that is no date.

    What leaves no choice (the year first in four digits, a month by its name, points between the
    numbers as in continental Europe) gives the same day for each.

    >>> days_in_orders("02.01.1970"), days_in_orders("01/02/1970"), days_in_orders("2 Jan 1970")
    ((1, 1, 1), (31, 1, None), (1, 1, 1))
    """
    parts = _PARTS.findall(text)
    if len(parts) == 1 and len(parts[0]) == 8:
        parts = [parts[0][:4], parts[0][4:6], parts[0][6:]]
    if len(parts) != 3:
        return None, None, None
    named = _by_name(parts)
    if named is not None:
        return named, named, named
    if not all(part.isdecimal() for part in parts):
        return None, None, None
    first, second, third = (int(part) for part in parts)
    if len(parts[0]) == 4:
        sure = _days(first, second, third)
        return sure, sure, sure
    day_first = _days(_year(parts[2]), second, first)
    if "." in text and len(parts[2]) == 4:
        return day_first, day_first, day_first
    year_first = _days(_year(parts[0]), second, third) if len(parts[2]) == 2 else None
    return day_first, _days(_year(parts[2]), first, second), year_first


def day_of(days: float) -> str:
    """The day of a number of days since 1970 in words that no order can turn: ``3 April 2024``."""
    day = EPOCH + timedelta(days=int(days))
    return f"{day.day} {day:%B} {day.year}"


def fitting_orders(days: Mapping[str, tuple[int | None, int | None, int | None]]) -> tuple[str, ...]:
    """The orders in which every one of the texts, in the order of the file, is a date and none goes back.

    Where one order gives a session of days and another one of hours, the long one is no reading.

    >>> fitting_orders({text: days_in_orders(text) for text in ("12/08/2024", "13/08/2024")})
    ('day first',)
    """
    spans: dict[str, int] = {}
    for place, order in enumerate(ORDERS):
        found = [one[place] for one in days.values()]
        known = [day for day in found if day is not None]
        if known and len(known) == len(found) and known == sorted(known):
            spans[order] = known[-1] - known[0]
    shortest = min(spans.values(), default=0)
    return tuple(order for order in ORDERS if order in spans and spans[order] <= shortest + 1)


def say_the_same(days: Sequence[tuple[int | None, int | None, int | None]]) -> bool:
    """Whether the order makes no difference to any of the texts."""
    return all(len(set(one)) == 1 for one in days)


def _by_name(parts: Sequence[str]) -> int | None:
    for place, part in enumerate(parts[:2]):
        if part.isalpha():
            month = _month(part)
            other = parts[1 - place]
            return _days(_year(parts[2]), month, int(other)) if month and other.isdecimal() else None
    return None


def _month(name: str) -> int | None:
    start = name.casefold()[:3]
    return _MONTHS.index(start) + 1 if start in _MONTHS else _ALSO.get(start)


def _year(text: str) -> int:
    if len(text) > 2:
        return int(text)
    year = int(text)
    return year + (_CENTURY if year < _TURN else _CENTURY - 100)


def _days(year: int, month: int, day: int) -> int | None:
    try:
        return (date(year, month, day) - EPOCH).days
    except ValueError:
        return None


def as_float(day: int | None) -> float:
    """A day as a number, NaN for none."""
    return np.nan if day is None else float(day)
