"""Model years and build months as people write them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache

from knowngood_specs.core.form import FIRST_YEAR, LAST_YEAR

_FIRST_OF_LAST_CENTURY = 50
_DASHES = re.compile(r"\s*(?:\.\.+|[\-\N{HYPHEN}-\N{HORIZONTAL BAR}\N{MINUS SIGN}~>/]+|\b(?:to|until|thru"
                     r"|through|bis|au|hasta|al|tot)\b)\s*")  # fmt: skip
_OPEN_END = re.compile(r"\s*(?:\+|\b(?:on|onwards?|present|now|current|heute|actual|today)\b\.?)\s*$")
_OPEN_START = re.compile(r"^\s*(?:from|since|ab|seit|von|depuis|desde|dal|vanaf)\s+")
_MODEL_YEAR = re.compile(r"\b(?:model\s?year|my)(?=\d|\b)")
_ISO = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:[ T].*)?")
_YEAR = re.compile(r"'?(\d{4}|\d{2})(?:\.0+)?")
_SERIAL = re.compile(r"[2-6]\d{4}(?:\.\d+)?")
_MONTHS = {name: number for number, names in enumerate((
    "jan januar january janvier enero gennaio", "feb februar february fevrier febrero", "mar marz march mars",
    "apr april avril abril", "may mai mayo maggio", "jun juni june juin junio", "jul juli july juillet julio",
    "aug august aout agosto", "sep sept september septembre", "oct okt oktober october octobre octubre",
    "nov november novembre noviembre", "dec dez dezember december decembre diciembre",
), 1) for name in names.split()}  # fmt: skip
_DAY_ZERO = date(1899, 12, 30)
"""Day 0 of date numbers in spreadsheets (ECMA-376 part 1, 18.17.4.1, the 1900 system after February 1900)."""


@dataclass(frozen=True, slots=True)
class Years:
    """First and last model year, None for an open end; ``doubt`` says what else may be meant."""

    first: int | None
    last: int | None
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class Months:
    """First and last build month as ``2021-07``, empty where open; ``doubt`` says what else may be meant."""

    first: str
    last: str
    doubt: str = ""


@lru_cache(maxsize=4_096)
def read_years(text: str) -> Years:
    """The years of a cell.

    Raises
    ------
    ValueError
        With the sentence for the reader.

    >>> read_years("2019-22"), read_years("2021 on")
    (Years(first=2019, last=2022, doubt=''), Years(first=2021, last=None, doubt=''))
    """
    clean = _MODEL_YEAR.sub(" ", " ".join(text.casefold().split())).strip(" .")
    if iso := _ISO.fullmatch(clean):
        return _one(iso[1], text)
    if _SERIAL.fullmatch(clean):
        raise ValueError(f"'{text}' is no year but looks like a date number of a spreadsheet.")
    listed = [part for part in re.split(r"[,;&\s]+", clean) if part]
    if len(listed) > 1 and all(_YEAR.fullmatch(part) for part in listed):
        return _listed(listed, text)
    open_end, open_start = _OPEN_END.search(clean), _OPEN_START.match(clean)
    if open_end or open_start:
        inner = _OPEN_START.sub("", _OPEN_END.sub("", clean))
        parts = [part for part in _DASHES.split(inner) if part]
        if len(parts) == 1:
            first = _one(parts[0], text)
            return Years(first.first, None, first.doubt)
        clean = inner
    parts = _DASHES.split(clean)
    if len(parts) == 2 and parts[0] and not parts[1]:
        first = _one(parts[0], text)
        return Years(first.first, None, first.doubt)
    if len(parts) == 2 and parts[0]:
        return _range(parts[0], parts[1], text)
    return _one(clean, text)


@lru_cache(maxsize=4_096)
def read_month(text: str) -> Months:
    """One build month of a cell, as first and last.

    Raises
    ------
    ValueError
        With the sentence for the reader.

    >>> read_month("03/2021").first, read_month("2021-07-15").first, read_month("Jul 2021").first
    ('2021-03', '2021-07', '2021-07')
    """
    clean = " ".join(text.casefold().split()).strip(" .")
    if _SERIAL.fullmatch(clean):
        day = _DAY_ZERO + timedelta(days=int(float(clean)))
        return _month(day.year, day.month, text)
    if match := re.fullmatch(r"(\d{4})[-./ ]?(\d{1,2})(?:[-./]\d{1,2})?(?:[ t]\d.*)?", clean):
        return _month(int(match[1]), int(match[2]), text)
    if match := re.fullmatch(r"(\d{1,2})[-./ ](\d{4})", clean):
        return _month(int(match[2]), int(match[1]), text)
    if match := re.fullmatch(r"(\d{1,2})[-./ ](\d{2})", clean):
        year = _century(int(match[2]))
        return _month(year, int(match[1]), text, f"'{text}' has a year of two digits; read as {year}.")
    if match := re.fullmatch(r"(\d{1,2})([-./])(\d{1,2})[-./](\d{4})", clean):
        return _dated(int(match[1]), match[2], int(match[3]), int(match[4]), text)
    if match := re.fullmatch(r"([^\W\d]+)\.?[ -]?(\d{4})", clean):
        number = _MONTHS.get(match[1], 0)
        return _month(int(match[2]), number, text)
    raise ValueError(f"'{text}' is no build month: write it as 2021-07.")


@lru_cache(maxsize=4_096)
def read_months(text: str) -> Months:
    """The build months of a cell that holds both ends: ``03/2021 - 07/2022``, ``from 2021-03``.

    Raises
    ------
    ValueError
        With the sentence for the reader.

    >>> read_months("03/2021 - 07/2022")
    Months(first='2021-03', last='2022-07', doubt='')
    """
    clean = " ".join(text.casefold().split())
    halves = re.split(r"\s+(?:-|to|until|bis|au|hasta|al|tot)\s+|\s*[\N{EN DASH}\N{EM DASH}]\s*", clean)
    if len(halves) == 2 and halves[0] and halves[1]:
        first, last = read_month(_OPEN_START.sub("", halves[0])), read_month(halves[1])
        if first.first > last.first:
            raise ValueError(f"The build months '{text}' end before they begin.")
        return Months(first.first, last.first, first.doubt or last.doubt)
    if until := re.fullmatch(r"(?:to|until|up to|bis|-|\N{EN DASH})\s*(.+)", clean):
        last = read_month(until[1])
        return Months("", last.first, last.doubt)
    bare = _OPEN_END.sub("", _OPEN_START.sub("", clean)).rstrip(" -\N{EN DASH}")
    first = read_month(bare)
    return Months(first.first, first.first if bare == clean else "", first.doubt)


def _one(text: str, whole: str) -> Years:
    match = _YEAR.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"'{whole}' is no year of a vehicle: write four digits, as 2021.")
    year = int(match[1])
    if len(match[1]) == 2:
        year = _century(year)
        return Years(year, year, f"'{whole}' has a year of two digits; read as {year}.")
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise ValueError(f"{year} is no model year of a vehicle.")
    return Years(year, year)


def _range(start: str, end: str, whole: str) -> Years:
    first = _one(start, whole)
    assert first.first is not None
    if re.fullmatch(r"\d{2}", end) and len(start.strip(" '")) == 4:
        last = first.first // 100 * 100 + int(end)
        if last < first.first:
            if 1 <= int(end) <= 12 and {"-", "/"} & set(whole):
                return Years(first.first, first.first, f"'{whole}' may be a month; read as {first.first}.")
            last += 100
        doubt = (
            f"'{whole}' may be a month or the years {first.first} to {last}; read as years."
            if "-" in whole and 1 <= int(end) <= 12
            else ""
        )
    else:
        ended = _one(end, whole)
        assert ended.first is not None
        last, doubt = ended.first, ended.doubt
    if last < first.first:
        raise ValueError(f"The years '{whole}' end before they begin.")
    _one(str(last), whole)
    return Years(first.first, last, first.doubt or doubt)


def _listed(parts: list[str], whole: str) -> Years:
    read = [_one(part, whole) for part in parts]
    years = sorted({one.first for one in read if one.first is not None})
    doubt = next((one.doubt for one in read if one.doubt), "")
    if years != list(range(years[0], years[-1] + 1)):
        doubt = doubt or f"The years '{whole}' leave some out; read as {years[0]} to {years[-1]}."
    return Years(years[0], years[-1], doubt)


def _dated(one: int, mark: str, other: int, year: int, text: str) -> Months:
    if mark == "." or one > 12:
        return _month(year, other, text)
    if other > 12 or one == other:
        return _month(year, one, text)
    return _month(year, other, text, f"'{text}' may be month {one} or {other}; read as month {other}.")


def _month(year: int, month: int, text: str, doubt: str = "") -> Months:
    if not FIRST_YEAR <= year <= LAST_YEAR or not 1 <= month <= 12:
        raise ValueError(f"'{text}' is no build month: write it as 2021-07.")
    written = f"{year}-{month:02d}"
    return Months(written, written, doubt)


def _century(two_digits: int) -> int:
    return two_digits + (2000 if two_digits < _FIRST_OF_LAST_CENTURY else 1900)
