"""The first minutes of a log as they would be understood under a mapping.

Meant to be worked out at every touch of a mapping: only the first minutes are read, and thinned, so that
a log of a million rows costs no more than a short one.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import LogUnreadable
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, UnknownUnit, unit
from knowngood_refdata.records import Role
from knowngood_refdata.role_kinds import KIND_OF_ROLE
from knowngood_sessions.core.reading.clock import clock_of, moments
from knowngood_sessions.core.reading.spacing import rising

from .mapping import time_column
from .plausible import offered_units, plausible_units

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from numpy.typing import NDArray

    from knowngood_sessions.core.reading.reader import Column, LogTable

    from .assignment import Assignment, ColumnMapping

SHOWN_S = 600.0
"""How much of a log is shown."""

MOST_POINTS = 1_500
_PROBED = 400
_LEAST_SAMPLES = 3
SIDES = (Role.LOW_SIDE, Role.HIGH_SIDE)


@dataclass(frozen=True, slots=True, eq=False)
class Preview:
    """The first minutes: time (n,) from the first row shown, and the values of each role (n,) in SI.

    Pressures are absolute. What is still open is shown in the likeliest reading, and ``supposed`` says which
    that is: ``bar, gauge``. ``problem`` says why nothing can be shown.
    """

    time_s: NDArray[np.float64]
    values: Mapping[Role, NDArray[np.float64]]
    problem: str = ""
    supposed: Mapping[Role, str] = field(default_factory=dict)

    @property
    def whole(self) -> bool:
        """Whether there is anything to draw."""
        return not self.problem


def preview(table: LogTable, mapping: ColumnMapping, barometer_pa: float = STANDARD_ATMOSPHERE_PA) -> Preview:
    """The first minutes of a table under a mapping, of columns whose use is decided."""
    name = time_column(mapping)
    if name is None:
        return _nothing("No column holds the time yet.")
    unit_name = mapping[name].unit
    if not unit_name:
        return _nothing(f"The unit of the time {name} is still open.")
    column = table.column(name)
    rows = _first_rows(column, unit_name)
    time_s = moments(_part(column, rows), unit_name).time_s
    kept = np.isfinite(time_s)
    if np.count_nonzero(kept) < _LEAST_SAMPLES or not np.ptp(time_s[kept]) > 0.0:
        return _nothing(f"The time {name} cannot be read in this unit.")
    try:
        axis = rising(time_s[kept], table.lines[rows][kept], clock_of(unit_name))
    except LogUnreadable:
        return _nothing(f"The time {name} runs backwards in this unit.")
    time_s = axis.time_s
    where = np.flatnonzero(kept) if axis.rows is None else np.flatnonzero(kept)[axis.rows]
    early = time_s <= time_s[0] + SHOWN_S
    values, supposed = {}, {}
    for role, si, words in _understood(table, mapping, rows, barometer_pa):
        values[role] = si[where][early]
        if words:
            supposed[role] = words
    if not values:
        return _nothing("No column is decided yet that could be drawn.")
    return Preview(time_s[early] - time_s[0], values, supposed=supposed)


def _nothing(problem: str) -> Preview:
    return Preview(np.empty(0), {}, problem)


def _first_rows(column: Column, unit_name: str) -> slice:
    """The rows of the first minutes, thinned: by the step of the first few hundred."""
    count = len(column.numbers)
    probe = moments(_part(column, slice(0, _PROBED)), unit_name).time_s
    probe = probe[np.isfinite(probe)]
    span = float(np.ptp(probe)) if probe.size > 1 else 0.0
    wanted = count
    if span > 0.0:
        wanted = min(count, ceil(SHOWN_S * (probe.size - 1) / span) + 1)
    return slice(0, wanted, max(1, wanted // MOST_POINTS))


def _part(column: Column, rows: slice) -> Column:
    cells = None if column.cells is None else column.cells[rows]
    return replace(column, numbers=column.numbers[rows], cells=cells)


def _understood(
    table: LogTable, mapping: ColumnMapping, rows: slice, barometer_pa: float
) -> Iterator[tuple[Role, NDArray[np.float64], str]]:
    """Each decided role with its values in SI, and what is supposed of its unit while that is open.

    Of several columns of one role the first counts.
    """
    seen: set[Role] = set()
    for name, one in mapping.items():
        if not isinstance(one.use, Role) or one.use in seen or one.use not in KIND_OF_ROLE:
            continue
        read = one if one.unit else _likeliest(table, mapping, name)
        if read is None:
            continue
        try:
            values = as_si(table.column(name).numbers[rows], read, barometer_pa)
        except UnknownUnit:
            continue
        seen.add(one.use)
        yield one.use, values, _supposed(one, read)


def _likeliest(table: LogTable, mapping: ColumnMapping, name: str) -> Assignment | None:
    """A column without a unit in the one that its values fit best, None when they fit none.

    Both sides are rather taken to be in one unit.
    """
    fitting = _fitting(table, mapping, name)
    if mapping[name].use in SIDES:
        others = [other for other, one in mapping.items() if one.use in SIDES and other != name]
        shared = [one for one in offered_units(Kind.PRESSURE) if one in fitting]
        for other in others:
            theirs = (mapping[other].unit,) if mapping[other].unit else _fitting(table, mapping, other)
            fitting = tuple(one for one in shared if one in theirs) or fitting
    return replace(mapping[name], unit=fitting[0]) if fitting else None


def _fitting(table: LogTable, mapping: ColumnMapping, name: str) -> tuple[str, ...]:
    use = mapping[name].use
    assert isinstance(use, Role)
    return plausible_units(table.column(name).numbers, use, KIND_OF_ROLE[use])


def _supposed(one: Assignment, read: Assignment) -> str:
    open_unit = "" if one.unit else read.unit
    open_zero = "gauge" if one.asks_gauge and one.gauge is None else ""
    return ", ".join(filter(None, (open_unit, open_zero)))


def as_si(values: NDArray[np.float64], one: Assignment, barometer_pa: float) -> NDArray[np.float64]:
    """Values (n,) of a decided column in SI; a pressure absolute, taken as gauge while that is open."""
    assert isinstance(one.use, Role)
    si = np.asarray(unit(one.unit, KIND_OF_ROLE[one.use]).to_si(values), dtype=np.float64)
    return si + barometer_pa if one.asks_gauge and one.gauge is not False else si
