"""What a single cell of a log can be: a number, a moment, a mark for a missing value, or text."""

from __future__ import annotations

import re

MISSING_MARKS = ("", "-", "--", "---", "nan", "n/a", "na", "null", "none", "nil", "ol", "#n/a", "?")
"""What loggers write where there is no value, in lower case."""

CLOCK = r"\d{1,3}:\d{2}(?::\d{2})?(?:[.,]\d+)?(?:\s*[AaPp]\.?[Mm]\.?)?"
ISO_DATE = r"\d{4}[-/]\d{1,2}[-/]\d{1,2}"
OTHER_DATE = r"\d{1,2}[./-]\d{1,2}[./-]\d{4}"
_NUMBER = re.compile(r"[+\-\N{MINUS SIGN}]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?")
_MOMENT = re.compile(rf"(?:(?:{ISO_DATE}|{OTHER_DATE})(?:[T ]+{CLOCK}\s*(?:Z|[+-]\d\d:?\d\d)?)?|{CLOCK})")
_WITH_UNIT = re.compile(r"([+\-]?\d+(?:[.,]\d+)?)\s*([^\d\s.,:;+\-/][^\d]{0,7})")


def is_number(cell: str) -> bool:
    """Whether a cell is a number with a decimal point or comma, or none."""
    return _NUMBER.fullmatch(cell.strip()) is not None


def is_moment(cell: str) -> bool:
    """Whether a cell is a clock time, a date, or both.

    >>> [is_moment(cell) for cell in ("10:42:07.5", "2024-08-14T10:42:07Z", "30.1")]
    [True, True, False]
    """
    return _MOMENT.fullmatch(cell.strip()) is not None


def is_missing(cell: str) -> bool:
    """Whether a cell stands for a value that is not there."""
    return cell.strip().casefold() in MISSING_MARKS


def number_and_unit(cell: str) -> tuple[str, str] | None:
    """The number and the unit of a cell such as ``30.1 psi``, or None."""
    match = _WITH_UNIT.fullmatch(cell.strip())
    return (match[1], match[2].strip()) if match else None


def is_value(cell: str) -> bool:
    """Whether a cell is something measured, with or without its unit."""
    return is_number(cell) or is_moment(cell) or number_and_unit(cell) is not None
