"""Build months as the door label prints them, and spans of them.

A month is written ``2022-06``, so that months sort as text.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_NAMES = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_KEPT = re.compile(r"\d{4}-(0[1-9]|1[0-2])", re.ASCII)
_YEAR_FIRST = re.compile(r"(?P<year>\d{4})\s*[-/. ]\s*(?P<month>\d{1,2})", re.ASCII)
_MONTH_FIRST = re.compile(
    r"(?P<month>\d{1,2}|[a-z]{3,9})\.?\s*[-/. ]\s*(?P<year>\d{4}|\d{2})", re.ASCII | re.I
)
_CENTURY_TURNS = 80
"""Two digits from here on are of the 1900s: VINs of 17 characters begin with model year 1980."""

_FIRST = "0000-00"
_LAST = "9999-99"


def is_month(text: str) -> bool:
    """Whether a text is a month as it is kept, ``2022-06``."""
    return _KEPT.fullmatch(text) is not None


def read_build_month(text: str) -> str:
    """The build month in a text such as ``06/21``, ``2021-06`` or ``June 2021``; empty for an empty text.

    Raises
    ------
    ValueError
        When it is no month, with words for the reader.

    >>> read_build_month("06/21"), read_build_month("Jun 2021")
    ('2021-06', '2021-06')
    """
    bare = text.strip()
    if not bare:
        return ""
    found = _YEAR_FIRST.fullmatch(bare) or _MONTH_FIRST.fullmatch(bare)
    month = _month_number(found["month"]) if found else 0
    if found is None or not month:
        raise ValueError(
            "The build month was not read. It was left out. Write it as on the door label, 06/21 or 2021-06."
        )
    year = int(found["year"])
    if len(found["year"]) == 2:
        year += 1900 if year >= _CENTURY_TURNS else 2000
    return f"{year:04d}-{month:02d}"


def _month_number(text: str) -> int:
    if text.isdigit():
        return int(text) if 1 <= int(text) <= 12 else 0
    matching = [number for number, name in enumerate(_NAMES, 1) if name.lower().startswith(text.lower())]
    return matching[0] if matching else 0


def month_words(month: str) -> str:
    """A month for the reader.

    >>> month_words("2022-06")
    'June 2022'
    """
    year, _, number = month.partition("-")
    return f"{_NAMES[int(number) - 1]} {year}"


def month_after(month: str) -> str:
    """The month that follows.

    >>> month_after("2021-12")
    '2022-01'
    """
    year, number = int(month[:4]), int(month[5:])
    return f"{year + 1:04d}-01" if number == 12 else f"{year:04d}-{number + 1:02d}"


def month_before(month: str) -> str:
    """The month ahead of one.

    >>> month_before("2022-01")
    '2021-12'
    """
    year, number = int(month[:4]), int(month[5:])
    return f"{year - 1:04d}-12" if number == 1 else f"{year:04d}-{number - 1:02d}"


@dataclass(frozen=True, slots=True)
class MonthSpan:
    """Build months from ``first`` to ``last``, both included; an empty text leaves that end open."""

    first: str = ""
    last: str = ""

    @classmethod
    def on_record(cls, first: str, last: str) -> MonthSpan:
        """The span of a record; open where the record cannot be read or runs backwards.

        >>> MonthSpan.on_record("2022-06", ""), MonthSpan.on_record("2022-13", "")
        (MonthSpan(first='2022-06', last=''), MonthSpan(first='', last=''))
        """
        readable = all(not month or is_month(month) for month in (first, last))
        return cls(first, last) if readable and (first or _FIRST) <= (last or _LAST) else cls()

    @classmethod
    def of_model_year(cls, year: int) -> MonthSpan:
        """When a North American vehicle of a model year can have been built (40 CFR 85.2304(a)).

        >>> MonthSpan.of_model_year(2022)
        MonthSpan(first='2021-01', last='2022-12')
        """
        return cls(f"{year - 1:04d}-01", f"{year:04d}-12")

    @property
    def is_open(self) -> bool:
        """Whether it leaves every month possible."""
        return not self.first and not self.last

    def within(self, other: MonthSpan) -> bool:
        """Whether every month of this span lies in the other."""
        return (self.first or _FIRST) >= (other.first or _FIRST) and (self.last or _LAST) <= (
            other.last or _LAST
        )

    def meet(self, other: MonthSpan) -> MonthSpan | None:
        """The months of both, None when there are none.

        >>> MonthSpan("", "2022-05").meet(MonthSpan("2021-01", "2022-12"))
        MonthSpan(first='2021-01', last='2022-05')
        """
        first = max(self.first or _FIRST, other.first or _FIRST)
        last = min(self.last or _LAST, other.last or _LAST)
        if first > last:
            return None
        return MonthSpan("" if first == _FIRST else first, "" if last == _LAST else last)

    @property
    def words(self) -> str:
        """The span for the reader.

        >>> MonthSpan("", "2022-05").words, MonthSpan("2022-06", "").words
        ('up to May 2022', 'from June 2022')
        >>> MonthSpan("2022-06", "2023-03").words
        'June 2022 to March 2023'
        """
        if self.is_open:
            return "any month"
        if not self.first:
            return f"up to {month_words(self.last)}"
        if not self.last:
            return f"from {month_words(self.first)}"
        if self.first == self.last:
            return month_words(self.first)
        return f"{month_words(self.first)} to {month_words(self.last)}"
