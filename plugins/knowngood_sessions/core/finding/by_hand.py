"""Readings typed by hand: steady points with their conditions, as a recording and as a file of their own.

A technician without a logger reads a gauge when it has settled. What was typed becomes a text file, kept
like any log, and a recording of it: each point is held for a nominal minute, with a gap to the next, as
the time between the points was not noted.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import Kind, local_barometer_pa, unit
from knowngood_refdata.records import Channel, Conditions, Instruments, Recording, Role
from knowngood_refdata.role_kinds import KIND_OF_ROLE

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from numpy.typing import NDArray

TYPED = "point typed by hand"
"""The unit of the channel that numbers the points: by it a recording of typed points is known."""

POINT, FAN_STAGE = "Point", "Fan stage"
HELD_S, GAP_S = 60.0, 60.0
HAND_ROLES = (
    Role.ENGINE_SPEED,
    Role.LOW_SIDE,
    Role.HIGH_SIDE,
    Role.SUCTION_LINE,
    Role.LIQUID_LINE,
    Role.DISCHARGE_LINE,
    Role.VENT,
)
"""What is typed for each point, in the order of the sheet."""

_SIDES = (Role.LOW_SIDE, Role.HIGH_SIDE)


@dataclass(frozen=True, slots=True)
class HandPoint:
    """One steady point: what was typed, by role, in SI; pressures absolute [Pa], engine speed in rpm.

    ``words`` holds the same as it was typed.
    """

    values: Mapping[Role, float]
    fan_stage: int | None = None
    words: Mapping[Role, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class HandColumn:
    """In which unit the values of a role are written; ``gauge`` counts a pressure from the local air."""

    role: Role
    unit: str
    gauge: bool = False

    @property
    def name(self) -> str:
        """The name of the column: ``Low side``."""
        return f"{self.role.value[:1].upper()}{self.role.value[1:]}"

    @property
    def title(self) -> str:
        """The head of the column in the file: ``Low side (psi gauge)``."""
        counts = (" gauge" if self.gauge else " absolute") if self.role in _SIDES else ""
        return f"{self.name} ({self.unit}{counts})"


@dataclass(frozen=True, slots=True)
class HandSheet:
    """Everything typed on one sheet: points in order, how and with what they were taken, by whom, when.

    ``told`` holds further facts for the file, each as a name and its words.
    """

    points: tuple[HandPoint, ...]
    columns: tuple[HandColumn, ...]
    taken_at: datetime
    refrigerant: str
    conditions: Conditions = field(default_factory=Conditions)
    instruments: Instruments = field(default_factory=Instruments)
    technician: str = ""
    note: str = ""
    told: tuple[tuple[str, str], ...] = ()

    @property
    def barometer_pa(self) -> float:
        """The local air pressure that gauges count from."""
        return local_barometer_pa(self.conditions.barometer_pa, self.conditions.altitude_m)


def is_typed(recording: Recording) -> bool:
    """Whether a recording was made of points typed by hand."""
    return any(one.unit == TYPED for one in recording.channels)


def recording_of(sheet: HandSheet) -> Recording:
    """The points as a recording: each twice, at the beginning and the end of its minute, NaN between.

    Roles for which nothing was typed at any point have no channel.
    """
    channels = [Channel(POINT, Role.OTHER, TYPED, False, _held([float(n) for n in _numbers(sheet)]))]
    channels += [
        Channel(one.name, one.role, one.unit, one.gauge, _held(_column(sheet, one))) for one in _used(sheet)
    ]
    stages = [np.nan if one.fan_stage is None else float(one.fan_stage) for one in sheet.points]
    if np.isfinite(stages).any():
        channels.append(Channel(FAN_STAGE, Role.OTHER, "stage", False, _held(stages)))
    return Recording(_times(len(sheet.points)), tuple(channels))


def file_of(sheet: HandSheet) -> bytes:
    """The sheet as a text file: what was typed in words above, the values as a table below.

    Nothing but the sheet goes into it: the same sheet gives the same bytes.
    """
    lines = ["Readings typed by hand"]
    lines += [f"{name}: {_one_line(words)}" for name, words in _head(sheet) if words]
    lines += [_typed_line(number, point) for number, point in enumerate(sheet.points, start=1)]
    lines.append(
        f"Each point stands at the beginning and the end of a nominal {HELD_S:.0f} s; the time between "
        "the points was not noted."
    )
    recording = recording_of(sheet)
    titles = {one.name: one.title for one in sheet.columns}
    names = ["Time (s)", *(titles.get(one.name, one.name) for one in recording.channels)]
    rows = zip(recording.time_s, *(one.values for one in recording.channels), strict=True)
    table = ["\t".join(names), *("\t".join(_cell(value) for value in row) for row in rows)]
    return ("\n".join([*lines, "", *table]) + "\n").encode()


def points_of(recording: Recording) -> tuple[tuple[float, float, int | None], ...]:
    """Beginning, end and fan stage of each typed point; the stage None where it was not typed."""
    numbers = next(one.values for one in recording.channels if one.unit == TYPED)
    stages = next(
        (one.values for one in recording.channels if one.name == FAN_STAGE and one.role is Role.OTHER), None
    )
    found = []
    for number in np.unique(numbers[np.isfinite(numbers)]):
        held = np.flatnonzero(numbers == number)
        stage = np.nan if stages is None else stages[held[0]]
        found.append(
            (
                float(recording.time_s[held[0]]),
                float(recording.time_s[held[-1]]),
                int(stage) if np.isfinite(stage) else None,
            )
        )
    return tuple(found)


def _numbers(sheet: HandSheet) -> range:
    return range(1, len(sheet.points) + 1)


def _used(sheet: HandSheet) -> tuple[HandColumn, ...]:
    typed = {role for point in sheet.points for role in point.values}
    return tuple(one for one in sheet.columns if one.role in typed)


def _column(sheet: HandSheet, column: HandColumn) -> list[float]:
    kind = KIND_OF_ROLE[column.role]
    zero = sheet.barometer_pa if column.gauge and kind is Kind.PRESSURE else 0.0
    measure = unit(column.unit, kind)
    # Twelve digits: a value typed in this very unit comes back as it was typed.
    return [
        float(f"{measure.from_si(point.values[column.role] - zero):.12g}")
        if column.role in point.values
        else np.nan
        for point in sheet.points
    ]


def _times(count: int) -> NDArray[np.float64]:
    starts = (HELD_S + GAP_S) * np.arange(count, dtype=np.float64)
    return np.stack([starts, starts + HELD_S, starts + HELD_S + 0.5 * GAP_S], axis=1).reshape(-1)[:-1]


def _held(values: Sequence[float]) -> NDArray[np.float64]:
    """Each value twice, with NaN between it and the next: the samples of a recording."""
    column = np.asarray(values, dtype=np.float64)
    return np.stack([column, column, np.full(column.size, np.nan)], axis=1).reshape(-1)[:-1]


def _head(sheet: HandSheet) -> tuple[tuple[str, str], ...]:
    return (
        ("Taken", sheet.taken_at.isoformat(sep=" ", timespec="minutes")),
        ("By", sheet.technician),
        ("Refrigerant", sheet.refrigerant),
        *sheet.told,
        ("Note", sheet.note),
    )


def _typed_line(number: int, point: HandPoint) -> str:
    typed = [f"{role.value} {_one_line(words)}" for role, words in point.words.items()]
    if point.fan_stage is not None:
        typed.append(f"fan stage {point.fan_stage}")
    return f"Point {number}, as typed: {', '.join(typed)}"


def _one_line(words: str) -> str:
    return " ".join(words.split())


def _cell(value: float) -> str:
    return "" if not np.isfinite(value) else f"{value:.12g}"
