"""Lines of a text file split into records; a quotation mark that is never closed costs its own line alone."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

_MOST_LINES = 60
_OPEN = "unexpected end of data"
_STEP = 2_000


@dataclass(frozen=True, slots=True)
class Record:
    """The fields of one record and its first and last line, counted from 1; ``broken``: not to be split."""

    first: int
    last: int
    fields: tuple[str, ...]
    broken: bool = False


def records(
    lines: Sequence[str], delimiter: str, width: int, progress: Callable[[float], None] = lambda _: None
) -> Iterator[Record]:
    """Every record of a file in order; each line that is not blank belongs to exactly one.

    ``width`` is the number of fields that the table has: a record over several lines is believed only
    when it has as many.
    """
    index = 0
    while index < len(lines):
        if index % _STEP == 0:
            progress(index / len(lines))
        line = lines[index]
        if '"' not in line:
            yield Record(index + 1, index + 1, tuple(line.split(delimiter)))
            index += 1
            continue
        record = _quoted(lines, index, delimiter, width)
        yield record
        index = record.last


def split_line(line: str, delimiter: str) -> list[str]:
    """The fields of one line taken for itself."""
    if '"' not in line:
        return line.split(delimiter)
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return line.split(delimiter)


def _quoted(lines: Sequence[str], start: int, delimiter: str, width: int) -> Record:
    for end in range(start + 1, min(start + _MOST_LINES, len(lines)) + 1):
        try:
            fields = _strict([f"{line}\n" for line in lines[start:end]], delimiter)
        except csv.Error as error:
            if _OPEN in str(error):
                continue
            break
        if end == start + 1 or len(fields) == width:
            return Record(start + 1, end, fields)
        break
    alone = split_line(lines[start], delimiter)
    # An inch mark inside a field is no quotation; a field that stays open to the end of the line is.
    broken = any("\n" in field for field in alone) or _stays_open(lines[start], delimiter)
    return Record(start + 1, start + 1, tuple(alone), broken)


def _stays_open(line: str, delimiter: str) -> bool:
    try:
        _strict([line], delimiter)
    except csv.Error as error:
        return _OPEN in str(error)
    return False


def _strict(lines: list[str], delimiter: str) -> tuple[str, ...]:
    rows = list(csv.reader(lines, delimiter=delimiter, strict=True))
    if len(rows) != 1:
        raise csv.Error("more than one record")
    return tuple(rows[0])
