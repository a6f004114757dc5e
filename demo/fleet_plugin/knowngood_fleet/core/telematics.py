"""The telematics file of the fleet: a head of named lines, then columns separated by semicolons.

::

    FLEET TELEMATICS;2
    unit;HL-901
    started;2026-06-03T07:14:00Z
    engine hours;8123,4
    odometer km;214880
    DATA
    t;PL;PH;TA;TV;N
    s;kPa abs;kPa abs;degC;degC;1/min
    0,0;301;1212;30,1;9,8;802

Numbers have a decimal comma, pressures are absolute, ``*`` and -9999 stand where the box had no value.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import Column, LogTable, LogUnreadable

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Values = tuple[NDArray[np.float64], list[int], tuple[str, ...]]

FIRST = "FLEET TELEMATICS"
VERSIONS = ("1", "2")
NO_VALUE = -9999.0
NAMES = {
    "PL": "Low side pressure",
    "PH": "High side pressure",
    "TA": "Ambient temperature",
    "TI": "Cabin intake temperature",
    "TV": "Vent temperature",
    "TS": "Suction line temperature",
    "TL": "Liquid line temperature",
    "N": "Engine speed",
    "RH": "Relative humidity",
    "FAN": "Fan stage",
}
"""What the box's short names stand for; others keep theirs."""
UNITS = {"1/min": "rpm", "degC": "°C", "kPa abs": "kPa abs", "%": "%", "s": "s", "-": ""}
_DATA = "DATA"


@dataclass(frozen=True, slots=True)
class Head:
    """What the head of a file says; None where it says nothing."""

    unit: str
    started: datetime | None
    hours: float | None
    odometer_km: float | None
    head_lines: int


def claims(head: bytes, _name: str) -> bool:
    """Whether a file is of this format: its first line says so."""
    return head.removeprefix(b"\xef\xbb\xbf").startswith(FIRST.encode())


def read_head(data: bytes, name: str) -> Head:
    """The head of a file.

    Raises
    ------
    LogUnreadable
        When it is no such file, of another version, or a line of the head makes no sense.
    """
    lines = _text(data, name).splitlines()
    first, _, version = (lines[0] if lines else "").partition(";")
    if first != FIRST:
        raise LogUnreadable(f"{name} does not begin with '{FIRST}'. Nothing was imported.")
    if version.strip() not in VERSIONS:
        raise LogUnreadable(
            f"{name} is telematics version '{version.strip()}'; versions {' and '.join(VERSIONS)} are known. "
            "Nothing was imported; ask for a newer fleet plugin."
        )
    said: dict[str, str] = {}
    for number, row in enumerate(lines[1:], 2):
        if row.strip() == _DATA:
            return _head(said, number, name)
        key, _, value = row.partition(";")
        said[key.strip().casefold()] = value.strip()
    raise LogUnreadable(f"{name} has no line '{_DATA}' before its values. Nothing was imported.")


def read(data: bytes, name: str) -> LogTable:
    """The values of a file as a log.

    Raises
    ------
    LogUnreadable
        As `read_head`, and when a row has more or fewer values than there are columns, or a cell is no
        number.
    """
    head = read_head(data, name)
    numbered = enumerate(_text(data, name).splitlines(), 1)
    below = ((number, text) for number, text in numbered if number > head.head_lines and text.strip())
    rows = [(number, text.split(";")) for number, text in below]
    if len(rows) < 3:
        raise LogUnreadable(f"{name} holds no values below its column names. Nothing was imported.")
    names, units = ([cell.strip() for cell in row] for _, row in rows[:2])
    _check_names(names, units, name)
    values, lines, notices = _values(rows[2:], names, name)
    columns = [
        Column.of(NAMES.get(short, short), UNITS.get(unit, unit), values[:, place])
        for place, (short, unit) in enumerate(zip(names, units, strict=True))
    ]
    columns[0] = _time(values[:, 0], head.started)
    table = LogTable.of(name, columns, time="Time", dialect=_dialect(head), notices=notices)
    table.lines[:] = lines
    return table


def _time(seconds: NDArray[np.float64], started: datetime | None) -> Column:
    """The time as moments where the head says when it started: then the session gets its date."""
    if started is None or np.isnan(seconds).any():
        return Column.of("Time", "s", seconds)
    moments = (started + timedelta(seconds=float(one)) for one in seconds)
    return Column.of_texts("Time", "", (one.isoformat(timespec="milliseconds") for one in moments))


def _head(said: dict[str, str], lines: int, name: str) -> Head:
    return Head(
        said.get("unit", ""),
        _moment(said.get("started", ""), name),
        _number(said.get("engine hours", ""), "engine hours", name),
        _number(said.get("odometer km", ""), "odometer", name),
        lines,
    )


def _check_names(names: list[str], units: list[str], file: str) -> None:
    shown = [NAMES.get(one, one) for one in names]
    twice = sorted({one for one in shown if shown.count(one) > 1})
    if len(units) != len(names) or not all(names) or twice or names[0] != "t":
        why = f"'{twice[0]}' stands there twice" if twice else "the first is to be 't', and each needs a unit"
        raise LogUnreadable(f"the columns of {file} cannot be told apart: {why}. Nothing was imported.")


def _values(rows: list[tuple[int, list[str]]], names: list[str], file: str) -> Values:
    values = np.full((len(rows), len(names)), np.nan)
    lines: list[int] = []
    for place, (number, cells) in enumerate(rows):
        last = place == len(rows) - 1
        if len(cells) != len(names):
            if last:
                # The box is switched off with the engine: its last row may be cut off.
                note = f"line {number} is cut off and was left out"
                return values[:-1], lines, (note,)
            raise LogUnreadable(
                f"line {number} of {file} has {len(cells)} values, there are {len(names)} columns. "
                "Nothing was imported; have the file sent again."
            )
        for column, cell in enumerate(cells):
            found = _number(cell, f"line {number}, {names[column]}", file)
            values[place, column] = np.nan if found is None or found == NO_VALUE else found
        lines.append(number)
    return values, lines, ()


def _number(text: str, what: str, name: str) -> float | None:
    cell = text.strip()
    if cell in {"", "*"}:
        return None
    try:
        found = float(cell.replace(",", "."))
    except ValueError:
        found = float("nan")
    if not np.isfinite(found):
        raise LogUnreadable(f"{name}, {what}: '{cell}' is no number. Nothing was imported.")
    return found


def _moment(text: str, name: str) -> datetime | None:
    if not text:
        return None
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise LogUnreadable(
            f"{name}: it started at '{text}', which is no date. Nothing was imported."
        ) from None


def _text(data: bytes, name: str) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise LogUnreadable(f"{name} is no text in UTF-8. Nothing was imported.") from None


def _dialect(head: Head) -> str:
    of = f" of {head.unit}" if head.unit else ""
    started = f", started {head.started:%Y-%m-%d %H:%M}" if head.started else ""
    return f"fleet telematics{of}{started}"
