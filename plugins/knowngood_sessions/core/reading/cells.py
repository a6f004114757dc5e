"""What a single cell of a log can be: a number, a moment, a mark for a missing value, or text."""

from __future__ import annotations

import re

from knowngood_refdata.logs import is_moment

__all__ = ["MISSING_MARKS", "is_missing", "is_moment", "is_number", "is_value", "number_and_unit"]

MISSING_MARKS = ("", "-", "--", "---", "nan", "n/a", "na", "null", "none", "nil", "ol", "#n/a", "?")
"""What loggers write where there is no value, in lower case."""

_NUMBER = re.compile(r"[+\-\N{MINUS SIGN}]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][+-]?\d{1,3})?")
_WITH_UNIT = re.compile(r"([+\-]?\d+(?:[.,]\d+)?)\s*([^\d\s.,:;+\-/][^\d]{0,7})")


def is_number(cell: str) -> bool:
    """Whether a cell is a number with a decimal point or comma, or none."""
    return _NUMBER.fullmatch(cell.strip()) is not None


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
