"""Write measured channels as the files of two kinds of logger: units in the header, or a row of units."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import Channel, Recording, Role

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a file: what it is called, what it measures, in which unit, with how many decimals."""

    name: str
    role: Role
    unit: str
    kind: Kind
    decimals: int
    printed_unit: str = ""

    @property
    def shown_unit(self) -> str:
        """The unit as the logger spells it."""
        return self.printed_unit or self.unit


US_COLUMNS = (
    Column("Low side", Role.LOW_SIDE, "psi", Kind.PRESSURE, 1, "psig"),
    Column("High side", Role.HIGH_SIDE, "psi", Kind.PRESSURE, 1, "psig"),
    Column("Suction line", Role.SUCTION_LINE, "°F", Kind.TEMPERATURE, 1),
    Column("Liquid line", Role.LIQUID_LINE, "°F", Kind.TEMPERATURE, 1),
    Column("Vent", Role.VENT, "°F", Kind.TEMPERATURE, 1),
    Column("Ambient", Role.AMBIENT, "°F", Kind.TEMPERATURE, 1),
    Column("Cabin intake", Role.INTAKE, "°F", Kind.TEMPERATURE, 1),
    Column("Humidity", Role.HUMIDITY, "%", Kind.FRACTION, 0, "%RH"),
    Column("Engine speed", Role.ENGINE_SPEED, "rpm", Kind.ROTATION, 0),
    Column("Coolant", Role.COOLANT, "°F", Kind.TEMPERATURE, 0),
)
METRIC_COLUMNS = (
    Column("Low side (gauge)", Role.LOW_SIDE, "bar", Kind.PRESSURE, 2),
    Column("High side (gauge)", Role.HIGH_SIDE, "bar", Kind.PRESSURE, 2),
    Column("Suction line", Role.SUCTION_LINE, "°C", Kind.TEMPERATURE, 1),
    Column("Liquid line", Role.LIQUID_LINE, "°C", Kind.TEMPERATURE, 1),
    Column("Vent", Role.VENT, "°C", Kind.TEMPERATURE, 1),
    Column("Ambient", Role.AMBIENT, "°C", Kind.TEMPERATURE, 1),
    Column("Engine speed", Role.ENGINE_SPEED, "rpm", Kind.ROTATION, 0),
)


def recording(
    measured: Mapping[Role, NDArray[np.float64]], columns: Sequence[Column], barometer_pa: float
) -> Recording:
    """The channels as a file prints them: in its units, rounded to its decimals, pressures as gauge.

    ``measured`` holds arrays (n,) in SI, one value a second.
    """
    channels = tuple(_channel(measured[column.role], column, barometer_pa) for column in columns)
    return Recording(np.arange(len(channels[0].values), dtype=np.float64), channels)


def _channel(values_si: NDArray[np.float64], column: Column, barometer_pa: float) -> Channel:
    gauge = column.kind is Kind.PRESSURE
    shifted = values_si - barometer_pa if gauge else values_si
    printed = np.round(unit(column.unit, column.kind).from_si(shifted), column.decimals)
    return Channel(column.name, column.role, column.unit, gauge, printed)


def with_units_in_header(record: Recording, columns: Sequence[Column]) -> bytes:
    """Commas, decimal points, elapsed seconds, units in the header."""
    head = ["Time (s)", *(f"{column.name} ({column.shown_unit})" for column in columns)]
    rows = _rows(record, columns)
    body = [",".join([f"{t:.0f}", *row]) for t, row in zip(record.time_s, rows, strict=True)]
    return ("\n".join([",".join(head), *body]) + "\n").encode()


def with_unit_row(record: Recording, columns: Sequence[Column], begun: datetime) -> bytes:
    """Semicolons, decimal commas, clock times, a row of units beneath the header, Windows line ends."""
    head = ["Time", *(column.name for column in columns)]
    units = ["hh:mm:ss", *(column.shown_unit for column in columns)]
    rows = _rows(record, columns)
    body = [
        ";".join(
            [f"{begun + timedelta(seconds=float(t)):%H:%M:%S}", *(cell.replace(".", ",") for cell in row)]
        )
        for t, row in zip(record.time_s, rows, strict=True)
    ]
    return ("\r\n".join([";".join(head), ";".join(units), *body]) + "\r\n").encode("utf-8-sig")


def _rows(record: Recording, columns: Sequence[Column]) -> list[list[str]]:
    printed = [
        [f"{value:.{column.decimals}f}" for value in channel.values]
        for channel, column in zip(record.channels, columns, strict=True)
    ]
    return [list(row) for row in zip(*printed, strict=True)]
