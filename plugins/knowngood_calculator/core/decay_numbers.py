"""Numbers and clock times as people and instruments write them."""

from __future__ import annotations

import math
import re
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

_NUMBER = re.compile(r"([+-]?(?:\d[\d.,]*|[.,]\d+)(?:e[+-]?\d+)?)\s*(.*)", re.IGNORECASE)
_CLOCK = re.compile(r"(\d{1,3}):(\d{2})(?::(\d{2}(?:[.,]\d+)?))?")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+")


class CellError(ValueError):
    """A cell holds no value of the wanted kind; the text completes 'line 7 was left out: ...'."""


class Comma(StrEnum):
    """What a comma inside the numbers of a text means."""

    DECIMAL = "decimal"
    THOUSANDS = "thousands"
    UNCLEAR = "unclear"


def comma_meaning(cells: Iterable[str]) -> Comma:
    """What the comma means in all the cells of a text: one that could be either is told by the others.

    >>> comma_meaning(["0", "1,200", "1", "0,95"]).value, comma_meaning(["1,200", "0.5"]).value
    ('decimal', 'thousands')
    """
    numbers = [match[1] for cell in cells if (match := _NUMBER.match(cell.strip()))]
    if any("," in one and "." not in one and not _THOUSANDS.fullmatch(one) for one in numbers):
        return Comma.DECIMAL
    if any("." in one and one.rfind(".") > one.rfind(",") for one in numbers):
        return Comma.THOUSANDS
    return Comma.UNCLEAR if any("," in one for one in numbers) else Comma.DECIMAL


def number_and_unit(cell: str, comma: Comma) -> tuple[float, int, str]:
    """The number of a cell, how many decimal places it shows, and the unit written behind it, if any.

    Raises
    ------
    CellError
        When the cell holds no number, or one that can be read in two ways.

    >>> number_and_unit("0,50 mbar", Comma.DECIMAL)
    (0.5, 2, 'mbar')
    """
    match = _NUMBER.fullmatch(cell.replace("\N{MINUS SIGN}", "-").strip())
    if match is None:
        raise CellError(f"'{cell}' is no number" if cell else "a value is missing")
    digits = match[1]
    if "," in digits and comma is Comma.UNCLEAR:
        raise CellError(f"'{digits}' can be read in two ways: write it without the comma")
    digits = digits.replace(",", "." if comma is Comma.DECIMAL else "")
    try:
        value = float(digits)
    except ValueError:
        raise CellError(f"'{cell}' is no number") from None
    if not math.isfinite(value):
        raise CellError(f"'{cell}' is too large")
    mantissa, _, exponent = digits.lower().partition("e")
    return value, len(mantissa.partition(".")[2]) - int(exponent or 0), match[2].strip()


def clock_seconds(cell: str, *, minutes_and_seconds: bool = False) -> float | None:
    """Seconds of a time written h:mm or h:mm:ss; None when it is not written so.

    Parameters
    ----------
    minutes_and_seconds
        Two parts are m:ss.

    Raises
    ------
    CellError
        When minutes or seconds go past 59.

    >>> clock_seconds("0:10"), clock_seconds("14:03:30"), clock_seconds("12")
    (600.0, 50610.0, None)
    """
    match = _CLOCK.fullmatch(cell.strip())
    if match is None:
        return None
    hours, minutes, seconds = int(match[1]), int(match[2]), float((match[3] or "0").replace(",", "."))
    if minutes > 59 or seconds >= 60.0:
        raise CellError(f"'{cell}' is no time of the form h:mm or h:mm:ss")
    if minutes_and_seconds and match[3] is None:
        return 60.0 * hours + minutes
    return 3600.0 * hours + 60.0 * minutes + seconds
