"""Read a vacuum record from text: two columns, time and absolute pressure, typed, pasted or imported."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import Kind, MeasuringUnit, UnknownUnit, unit

from .decay_hold import Decay
from .decay_numbers import CellError, Comma, clock_seconds, comma_meaning, number_and_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

DAY_S = 86_400.0
_SHOWN = 40
_FROM_LOCAL_AIR = re.compile(r"psig|barg|gauge pressure|in\.? ?hg\W*vac|vac\w*\W*in\.? ?hg", re.IGNORECASE)
_ABSOLUTE = re.compile(r"\babs", re.IGNORECASE)
_MINUTES_AND_SECONDS = re.compile(r"(?<![\w:])m{1,2}:ss?\b|\bmin:s", re.IGNORECASE)
_STARTS_LIKE_A_READING = re.compile(r"[+\-−]?[.,]?\d")
_HEADER_WORDS = re.compile(r"[^\W\d_][\w./²³µμ]*|in\.? ?hg", re.IGNORECASE)


class DecayUnreadable(ValueError):  # noqa: N818 - reads as what it is
    """A text holds no vacuum record; the message says what was found and what is expected."""


@dataclass(frozen=True, slots=True)
class _Line:
    """One line that is not empty: its number in the text, counted from 1, and its cells."""

    number: int
    text: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Row:
    seconds: float
    pascals: float
    step_pa: float
    by_clock: bool


@dataclass(frozen=True, slots=True)
class _Reader:
    """How the cells of one text are meant."""

    time: MeasuringUnit
    pressure: MeasuringUnit
    comma: Comma
    certain: bool
    minutes_and_seconds: bool

    def row(self, line: _Line) -> _Row:
        """The reading of a line.

        Raises
        ------
        CellError
            When it holds none.
        """
        if len(line.cells) < 2:
            raise CellError("holds one column, not time and pressure")
        if len(line.cells) > 2 and not self.certain:
            raise CellError("holds more than two columns, or a number is parted; part columns by semicolons")
        by_clock = clock_seconds(line.cells[0], minutes_and_seconds=self.minutes_and_seconds)
        seconds = self._seconds(line.cells[0]) if by_clock is None else by_clock
        value, places, name = number_and_unit(line.cells[1], self.comma)
        measured_in = self._unit(name, self.pressure)
        pascals = measured_in.to_si(value)
        if pascals < 0.0:
            raise CellError("an absolute pressure is never negative: this may be a gauge reading")
        return _Row(seconds, pascals, 10.0**-places * measured_in.factor, by_clock is not None)

    def _seconds(self, cell: str) -> float:
        value, _, name = number_and_unit(cell, self.comma)
        return self._unit(name, self.time).to_si(value)

    def _unit(self, name: str, usual: MeasuringUnit) -> MeasuringUnit:
        if not name:
            return usual
        try:
            return unit(name.removesuffix("abs").strip(" ."), usual.kind)
        except UnknownUnit as error:
            raise CellError(str(error)) from None


def read_decay(text: str, *, time_unit: str = "min", pressure_unit: str = "micron") -> Decay:
    """Read times and absolute pressures from text.

    Columns are parted by semicolon, tab, comma or spaces; numbers have a decimal point or comma; times are
    numbers or h:mm[:ss]. Units stand in the header (``time (s); pressure (mbar)``) or behind the numbers.

    Parameters
    ----------
    time_unit, pressure_unit
        What numbers mean where the text names no unit; the notices say that it was taken so.

    Returns
    -------
    Decay
        With a notice for every line left out, by its number, and for everything taken for granted.

    Raises
    ------
    DecayUnreadable
        When no line holds a time and a pressure, or the pressures do not count from zero.

    >>> decay = read_decay(chr(10).join(["time (min); pressure (mbar)", "0; 0,50", "1; 0,62"]))
    >>> decay.times_s.tolist(), decay.pressures_pa.tolist(), decay.resolution_pa
    ([0.0, 60.0], [50.0, 62.0], 1.0)
    """
    lines, certain = _lines(text)
    if not lines:
        raise DecayUnreadable("There is no text to read. Paste two columns: time and absolute pressure.")
    header = _header(lines)
    title = " ".join(line.text for line in header)
    _refuse_gauge_readings(title)
    body = lines[len(header) :]
    comma = comma_meaning(cell for line in body for cell in line.cells[:2])
    time, told_time = _named(title, Kind.TIME, time_unit)
    pressure, told_pressure = _named(title, Kind.PRESSURE, pressure_unit)
    reader = _Reader(time, pressure, comma, certain, bool(_MINUTES_AND_SECONDS.search(title)))
    rows, wrong = _rows(body, reader)
    if not rows:
        raise DecayUnreadable(
            "No line holds a time and a pressure. "
            f"{wrong[0] if wrong else 'Only a header was found.'} "
            "Write one reading a line, like '1; 350' under 'min; micron'."
        )
    notices = [*wrong, *_granted(body, rows, reader, time=told_time, pressure=told_pressure)]
    if wrong:
        notices.append(f"{len(rows)} of {len(body)} lines were kept as readings.")
    return Decay(
        times_s=_times(rows),
        pressures_pa=np.array([row.pascals for row in rows]),
        resolution_pa=min(row.step_pa for row in rows),
        notices=tuple(notices),
    )


def _lines(text: str) -> tuple[list[_Line], bool]:
    """The lines that hold something, and whether what parts their columns never parts a number."""
    numbered = [
        (number, line.strip("\N{ZERO WIDTH NO-BREAK SPACE} \t\r"))
        for number, line in enumerate(text.splitlines(), start=1)
    ]
    filled = [(number, line) for number, line in numbered if line]
    part = _separator([line for _, line in filled])
    return [_Line(number, line, part(line)) for number, line in filled], part.certain


def _header(lines: list[_Line]) -> list[_Line]:
    """The lines before the first that begins like a reading."""
    for index, line in enumerate(lines):
        if _STARTS_LIKE_A_READING.match(line.text):
            return lines[:index]
    return lines


_SEPARATORS = (
    (r"\s*;\s*", True),
    (r"\s*\t\s*", True),
    (r"\s*,\s+", True),
    (r"\s+(?=[+\-−]?[.,]?\d)", False),
    (r"\s*,\s*", False),
)
"""What may part columns, and whether it never stands inside a number."""


@dataclass(frozen=True, slots=True)
class _Parted:
    """Splits lines at one separator."""

    pattern: str
    certain: bool

    def __call__(self, line: str) -> tuple[str, ...]:
        cells = [cell.strip() for cell in re.split(self.pattern, line)]
        while len(cells) > 2 and not cells[-1]:
            cells.pop()
        return tuple(cells)


def _separator(lines: list[str]) -> _Parted:
    """What parts the columns of most lines: a comma only where nothing else can."""
    readings = [line for line in lines if _STARTS_LIKE_A_READING.match(line)] or lines
    for pattern, certain in _SEPARATORS:
        if 2 * sum(bool(re.search(pattern, line)) for line in readings) > len(readings):
            return _Parted(pattern, certain=certain)
    return _Parted(r"\s*;\s*", certain=True)


def _refuse_gauge_readings(title: str) -> None:
    if _FROM_LOCAL_AIR.search(title) and not _ABSOLUTE.search(title):
        raise DecayUnreadable(
            "The header speaks of gauge or vacuum readings, which count from the local air. Nothing was "
            "read: convert them to absolute pressures, as a micron gauge shows them."
        )


def _named(title: str, kind: Kind, otherwise: str) -> tuple[MeasuringUnit, bool]:
    """The unit of a kind that a header names, and whether it does.

    Units in brackets come first: ``min`` in a header without them may also be a minimum.
    """
    bracketed = re.findall(r"[(\[]([^)\]]*)[)\]]", title)
    for text in (*bracketed, title):
        words = _HEADER_WORDS.findall(text)
        parts = [part for word in words for part in word.split("/")]
        for word in (text, *words, *parts):
            try:
                return unit(word.removesuffix("abs").strip(" ."), kind), True
            except UnknownUnit:
                continue
    return unit(otherwise, kind), False


def _rows(body: list[_Line], reader: _Reader) -> tuple[list[_Row], list[str]]:
    rows, wrong = [], []
    for line in body:
        try:
            rows.append(reader.row(line))
        except CellError as error:
            shown = line.text if len(line.text) <= _SHOWN else f"{line.text[:_SHOWN]}…"
            wrong.append(f"Line {line.number} ('{shown}') was left out: {error}.")
    return rows, wrong


def _granted(
    body: list[_Line], rows: list[_Row], reader: _Reader, *, time: bool, pressure: bool
) -> Iterator[str]:
    """What was taken for granted, in sentences."""
    if not time and any(_bare(line.cells[0]) for line in body):
        yield f"No unit of time is named: times were read as {reader.time.symbol}."
    if not pressure and any(_bare(line.cells[1]) for line in body if len(line.cells) > 1):
        yield f"No unit of pressure is named: pressures were read as {reader.pressure.symbol}, absolute."
    in_cells = any(
        "inhg" in line.cells[1].casefold().replace(" ", "") for line in body if len(line.cells) > 1
    )
    if in_cells or (pressure and reader.pressure.symbol == "inHg"):
        yield "Readings in inHg were taken as absolute, not as a depth below the local air."
    if not reader.minutes_and_seconds and any(line.cells[0].count(":") == 1 for line in body):
        yield "Times like 0:10 were read as hours and minutes."
    if reader.certain and any(len(line.cells) > 2 for line in body):
        yield "Only the first two columns were read, as time and pressure."
    if any(row.by_clock for row in rows) and not all(row.by_clock for row in rows):
        yield "Some times are clock times and some are numbers: check that they belong together."


def _bare(cell: str) -> bool:
    return bool(re.fullmatch(r"[\d.,+\-−\s]+", cell))


def _times(rows: list[_Row]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Times [s]; clock times count from the first and go on past midnight."""
    seconds = np.array([row.seconds for row in rows])
    if not all(row.by_clock for row in rows):
        return seconds
    midnights = np.cumsum(np.concatenate([[0.0], np.diff(seconds) < -DAY_S / 2.0]))
    passed: np.ndarray[tuple[int], np.dtype[np.float64]] = seconds - seconds[0] + DAY_S * midnights
    return passed
