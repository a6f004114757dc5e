"""From a table and a mapping to a recording; the header signature under which a mapping is remembered."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Channel, Recording, Role
from knowngood_sessions.core.reading.clock import clock_of, moments
from knowngood_sessions.core.reading.reader import LogUnreadable, Notice
from knowngood_sessions.core.reading.spacing import rising

from .assignment import Assignment, ColumnMapping, Special
from .proposal import Proposal, propose

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from knowngood_sessions.core.reading.reader import LogTable

__all__ = ["Proposal", "apply", "apply_with_notices", "propose", "signature", "time_column"]

_MOST_UNTIMED = 0.05


def signature(table: LogTable) -> str:
    """A fingerprint of header and unit row: files of one logger set-up share it.

    Blanks and case do not count; nor does what stands above the header, where loggers put the date.
    """
    names = tuple(one.name for one in table.columns)
    rows = (table.header, table.unit_row) if table.header else (names, [one.unit for one in table.columns])
    text = "\n".join("\t".join(" ".join(cell.casefold().split()) for cell in row) for row in rows)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def time_column(mapping: ColumnMapping) -> str | None:
    """The name of the column that holds the time, None when there is none."""
    return next((name for name, one in mapping.items() if one.use is Special.TIME), None)


def apply(table: LogTable, mapping: ColumnMapping) -> Recording:
    """The recording that a table holds under a mapping; the samples stay in the file's units.

    Raises
    ------
    LogUnreadable
        When no column holds the time, time runs backwards, or too few samples are left.
    """
    return apply_with_notices(table, mapping)[0]


def apply_with_notices(
    table: LogTable, mapping: ColumnMapping
) -> tuple[Recording, datetime | None, tuple[Notice, ...]]:
    """As `apply`, with the date and time of the first sample and with what was mended on the way."""
    name = time_column(mapping)
    if name is None:
        raise LogUnreadable(
            "No column holds the time. Nothing was imported; name the time column in the mapping."
        )
    found = moments(table.column(name), mapping[name].unit)
    timed = np.isfinite(found.time_s)
    notices = _untimed(timed, name)
    lines = table.lines[timed]
    axis = rising(found.time_s[timed], lines, clock_of(mapping[name].unit))
    notices += [Notice(words, name) for words in axis.told]
    kept = _kept(timed, axis.rows)
    channels = tuple(
        _channel(table, column, one, kept)
        for column, one in mapping.items()
        if isinstance(one.use, Role) and one.use is not None
    )
    if not channels:
        raise LogUnreadable("No column is used as a channel. Nothing was imported.")
    return Recording(axis.time_s - axis.time_s[0], channels), found.started_at, tuple(notices)


def _kept(timed: NDArray[np.bool_], rows: NDArray[np.intp] | None) -> NDArray[np.intp] | None:
    """The rows of the table that become samples, in their order; None for all as they stand."""
    if timed.all():
        return rows
    where = np.flatnonzero(timed)
    return where if rows is None else where[rows]


def _untimed(timed: NDArray[np.bool_], name: str) -> list[Notice]:
    without = int((~timed).sum())
    if timed.size - without < 2 or without > max(3.0, _MOST_UNTIMED * timed.size):
        raise LogUnreadable(
            f"{name}: {without:,} of {timed.size:,} rows hold no time that can be read that way. Nothing was "
            "imported; choose another unit for the time, or another column."
        )
    if without == 0:
        return []
    return [Notice(f"{without:,} rows without a readable time were left out.", name)]


def _channel(table: LogTable, name: str, one: Assignment, kept: NDArray[np.intp] | None) -> Channel:
    column = table.column(name)
    assert isinstance(one.use, Role)
    values = column.numbers if kept is None else column.numbers[kept]
    return Channel(name, one.use, one.unit, bool(one.gauge) and one.asks_gauge, values)
