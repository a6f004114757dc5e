"""The mapping under which a session is stored, and in words what another one would change."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from math import isclose
from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_refdata.records import Role
from knowngood_sessions.core.reading.clock import ELAPSED, SERIAL, TIME_UNITS, moments

from .assignment import Assignment, ColumnMapping, Special
from .importing import RECORDED, completed
from .mapping import time_column

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from datetime import datetime

    from knowngood_refdata.records import Conditions, Recording
    from knowngood_sessions.core.reading.reader import Column, LogTable

_SIDES = (Role.LOW_SIDE, Role.HIGH_SIDE)
_NUMBERS = (*ELAPSED, SERIAL)
_SAME_LENGTH = 0.02
_SAME_DAY = timedelta(days=2)
"""Far more than zones shift a beginning, far less than day and month taken for one another."""


def stored_mapping(
    table: LogTable, recording: Recording, guessed: ColumnMapping, started_at: datetime | None = None
) -> dict[str, Assignment]:
    """What each column of a file was taken for when it was stored: its channel tells.

    Parameters
    ----------
    guessed
        Tells the column of the time and its unit where these give the times that were stored; else another
        column and unit are looked for that do.
    started_at
        When the session began, as stored.
    """
    channels = {one.name: one for one in recording.channels}
    mapping = {}
    for column in table.columns:
        channel = channels.get(column.name)
        if channel is not None:
            gauge = channel.gauge if channel.role in _SIDES else None
            mapping[column.name] = Assignment(channel.role, channel.unit, gauge, confirmed=True)
        else:
            mapping[column.name] = Assignment(Special.LEFT_OUT)
    free = [column for column in table.columns if column.name not in channels]
    return mapping | _time_as_stored(free, recording, guessed, started_at)


def followed(conditions: Conditions, before: Recording, after: Recording) -> Conditions:
    """The conditions of a session whose channels change: what was taken from a channel follows it."""
    from_log = completed(replace(conditions, **{name: None for name, _ in RECORDED}), before)
    taken: dict[str, Any] = {
        name: None for name, _ in RECORDED if _alike(getattr(conditions, name), getattr(from_log, name))
    }
    return completed(replace(conditions, **taken), after)


def _alike(one: float | None, other: float | None) -> bool:
    return one is not None and other is not None and isclose(one, other, rel_tol=1e-9)


def _time_as_stored(
    columns: list[Column], recording: Recording, guessed: ColumnMapping, started_at: datetime | None
) -> dict[str, Assignment]:
    name = time_column(guessed)
    columns = sorted(columns, key=lambda column: column.name != name)
    for column in columns:
        for unit_name in _units(column, guessed[column.name].unit if column.name == name else ""):
            if _gives(column, unit_name, recording, started_at):
                return {column.name: Assignment(Special.TIME, unit_name)}
    kept = name is not None and any(column.name == name for column in columns)
    return {name: guessed[name]} if name is not None and kept else {}


def _units(column: Column, first: str) -> Iterator[str]:
    """How a column could have been read as the time, the likeliest first."""
    if first:
        yield first
    # Dates before bare clock times, which every cell with a date holds as well.
    written = [one for one in reversed(TIME_UNITS) if one not in _NUMBERS]
    yield from (one for one in (_NUMBERS if column.holds_numbers else written) if one != first)


def _gives(column: Column, unit_name: str, recording: Recording, started_at: datetime | None) -> bool:
    """Whether a column read in a unit lasts as long as what was stored, and began on the day it did."""
    found = moments(column, unit_name)
    timed = found.time_s[np.isfinite(found.time_s)]
    if timed.size < 2:
        return False
    length_s = float(recording.time_s[-1] - recording.time_s[0])
    if not isclose(float(np.ptp(timed)), length_s, rel_tol=_SAME_LENGTH):
        return False
    began = found.started_at
    if began is None or started_at is None:
        return True
    return abs(began.replace(tzinfo=None) - started_at.replace(tzinfo=None)) < _SAME_DAY


def changes(before: Mapping[str, Assignment], after: Mapping[str, Assignment]) -> tuple[str, ...]:
    """The columns that mean something else, in words: ``T1: vent, °F becomes suction line, °F``.

    >>> from knowngood_refdata.records import Role
    >>> changes({"T1": Assignment(Role.VENT, "°F")}, {"T1": Assignment(Role.SUCTION_LINE, "°F")})
    ('T1: vent, °F becomes suction line, °F',)
    """
    return tuple(
        f"{name}: {before[name].words or 'nothing'} becomes {one.words or 'nothing'}"
        for name, one in after.items()
        if name in before and one.words != before[name].words
    )
