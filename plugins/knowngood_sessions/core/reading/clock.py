"""The time column in seconds: elapsed numbers, clock times across midnight, dates with times."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.logs import COMPACT, ISO_DATE, NAMED_DATE, OTHER_DATE
from knowngood_refdata.quantities import Kind, unit

from .backwards import Clock
from .cells import is_moment
from .dates import ORDERS, as_float, days_in_orders, fitting_orders, say_the_same
from .units import written_unit

if TYPE_CHECKING:
    from collections.abc import Sequence

    import polars as pl
    from numpy.typing import NDArray

    from knowngood_refdata.logs import Column

CLOCK = "h:min:s"
MINUTES = "min:s"
DATED = "date and time"
SERIAL = "days since 1900"
ELAPSED = ("s", "min", "ms", "h")
TIME_UNITS = (*ELAPSED, CLOCK, MINUTES, DATED, *ORDERS, SERIAL)
"""How a time column can be read; a date whose order is open is read by one of `dates.ORDERS`."""

SHORTEST_S, LONGEST_S = 20.0, 4.0 * 3600.0
"""Between these a session is likely to last; outside, the unit of its time is in doubt."""

DAY_S = 86_400.0
_MOST_DAYS = 36_500
_MOST_DATES = 400
"""A column with more dates is no session; those behind are not read."""

_SERIAL_ZERO = datetime(1899, 12, 30)  # noqa: DTZ001 - a workbook's day has no zone
_SERIAL_DAYS = 25_569.0, 73_050.0
_SECONDS_SINCE_1970 = 9e8, 2.5e9
_PATTERN = (
    rf"^\s*(?:(?P<date>{ISO_DATE}|{OTHER_DATE}|{NAMED_DATE})(?:T|[ ,_]+))?"
    r"(?P<first>\d{1,3}):(?P<second>\d{2})(?::(?P<third>\d{2}))?(?P<part>[.,:]\d+)?"
    r"\s*(?P<half>[AaPp])?\.?[Mm]?\.?\s*(?P<zone>Z|UTC|[+-]\d\d(?::?\d\d)?)?\s*$"
)
_COMPACT_PATTERN = r"^\s*(\d{4})(\d\d)(\d\d)[T_ ](\d\d)(\d\d)(\d\d)"
_STARTS_WITH_DATE = re.compile(rf"\s*(?:{ISO_DATE}|{OTHER_DATE}|{NAMED_DATE}|{COMPACT})")


@dataclass(frozen=True, slots=True, eq=False)
class Moments:
    """Times in seconds (n,), NaN where unread, and the date and time of the first one where it is known."""

    time_s: NDArray[np.float64]
    started_at: datetime | None = None


def moments(column: Column, unit_name: str) -> Moments:
    """The times of a column read in a unit of `TIME_UNITS`, starting where the file's do.

    Clock times that fall by more than half a day have crossed midnight. Dates whose order is open are
    read in the one that every date fits and that gives the shorter session.
    """
    if unit_name in ELAPSED:
        time_s = unit(unit_name, Kind.TIME).to_si(column.numbers)
        return Moments(time_s, _since_1970(time_s))
    if unit_name == SERIAL:
        return _serial(column.numbers)
    if column.cells is None:
        return Moments(np.full(len(column.numbers), np.nan))
    written = _series(column).str.extract_groups(_PATTERN)
    parts = _parts(written)
    if unit_name == MINUTES:
        return Moments(60.0 * parts["first"] + parts["second"] + parts["part"])
    if unit_name == CLOCK:
        return Moments(past_midnight(_clock(parts)))
    return _dated(_clock(parts), written, unit_name)


def clock_of(unit_name: str) -> Clock:
    """What a time in a unit was counted by."""
    if unit_name in ELAPSED:
        size_s = unit(unit_name, Kind.TIME).factor
        return Clock((2**16 * size_s, 2**32 * size_s))
    if unit_name == MINUTES:
        return Clock((3_600.0,))
    return Clock((0.5 * DAY_S,) if unit_name == CLOCK else (), can_be_set=True)


def likely_units(column: Column) -> tuple[str, ...]:
    """The units in which a time column gives a session of likely length, the likeliest first."""
    stated = stated_unit(column)
    if stated:
        return (stated,)
    if not column.holds_numbers and _dated_cell(column):
        return orders_of(column) or (DATED,)
    candidates = ELAPSED if column.holds_numbers else (CLOCK, MINUTES)
    likely = tuple(name for name in candidates if SHORTEST_S <= _span_s(column, name) <= LONGEST_S)
    if column.holds_numbers and _looks_serial(column.numbers):
        return (SERIAL, *(name for name in likely if name != "h"))
    return likely or candidates


def stated_unit(column: Column) -> str:
    """The unit that header or cells state beyond doubt, else nothing."""
    if column.holds_moments:
        first = next((cell for cell in column.examples if is_moment(cell)), "")
        if _dated_cell(column):
            return DATED if len(orders_of(column)) <= 1 else ""
        return CLOCK if first.count(":") >= 2 or first.strip()[-1:] in "mM." else _two_part(column, first)
    known = written_unit(column.unit)
    return known.unit.symbol if known is not None and known.kind is Kind.TIME else ""


def tells_time(column: Column) -> bool:
    """Whether the cells of a column hold clock times, with or without a date."""
    return column.holds_moments and any(":" in cell or re.match(COMPACT, cell) for cell in column.examples)


def orders_of(column: Column) -> tuple[str, ...]:
    """The orders of day and month in which the dates of a column can be read; one or none: no choice."""
    days = _days(column)
    return () if say_the_same(list(days.values())) else fitting_orders(days)


def first_date(column: Column) -> str:
    """The first date of a column as written, empty when there is none."""
    return next(iter(_days(column)), "")


def past_midnight(clock_s: NDArray[np.float64]) -> NDArray[np.float64]:
    """Clock times (n,) with a day added from each place on where they fall by more than half a day."""
    read = np.isfinite(clock_s)
    steps = np.diff(clock_s[read])
    days = np.concatenate([[0.0], np.cumsum(steps < -0.5 * DAY_S)]) if read.any() else np.zeros(0)
    result = clock_s.copy()
    result[read] += DAY_S * days
    return result


def _series(column: Column) -> pl.Series:
    import polars as pl

    cells = column.cells
    series = cells if isinstance(cells, pl.Series) else pl.Series(cells, dtype=pl.String)
    if not any(re.match(rf"\s*{COMPACT}", cell) for cell in column.examples):
        return series
    return series.str.replace(_COMPACT_PATTERN, "${1}-${2}-${3}T${4}:${5}:${6}")


def _dated_cell(column: Column) -> bool:
    first = next((cell for cell in column.examples if is_moment(cell)), "")
    return _STARTS_WITH_DATE.match(first) is not None


def _days(column: Column) -> dict[str, tuple[int | None, int | None, int | None]]:
    """The dates of a column as written, in the order of the file, with the days that they can mean."""
    if column.cells is None:
        return {}
    found = _series(column).str.extract_groups(_PATTERN).struct.field("date")
    return _in_orders(found)


def _in_orders(dates: pl.Series) -> dict[str, tuple[int | None, int | None, int | None]]:
    texts = dates.drop_nulls().unique(maintain_order=True).head(_MOST_DATES)
    return {text: days_in_orders(text) for text in texts}


def _two_part(column: Column, first: str) -> str:
    if "." in first or "," in first:
        return MINUTES
    return {"hh:mm": CLOCK, "mm:ss": MINUTES}.get(column.unit.strip().casefold(), "")


def _span_s(column: Column, unit_name: str) -> float:
    time_s = moments(column, unit_name).time_s
    finite = time_s[np.isfinite(time_s)]
    return float(finite.max() - finite.min()) if finite.size else 0.0


def _looks_serial(numbers: NDArray[np.float64]) -> bool:
    finite = numbers[np.isfinite(numbers)]
    if finite.size < 2 or not (finite != np.floor(finite)).any():
        return False
    low, high = float(finite.min()), float(finite.max())
    return _SERIAL_DAYS[0] <= low and high <= _SERIAL_DAYS[1] and high - low < 1.0


def _serial(numbers: NDArray[np.float64]) -> Moments:
    finite = numbers[np.isfinite(numbers)]
    if finite.size == 0:
        return Moments(np.full(numbers.size, np.nan))
    day = float(np.floor(finite[0]))
    started = None
    if _SERIAL_DAYS[0] <= finite[0] <= _SERIAL_DAYS[1]:
        started = (_SERIAL_ZERO + timedelta(days=float(finite[0]))).astimezone()
    # A workbook's days are rounded to some microseconds; what is finer is noise.
    return Moments(np.round(DAY_S * (numbers - day), 4), started)


def _since_1970(time_s: NDArray[np.float64]) -> datetime | None:
    """The moment of the first sample where numbers can only be seconds since 1970."""
    finite = time_s[np.isfinite(time_s)]
    if finite.size == 0 or not _SECONDS_SINCE_1970[0] <= finite[0] <= _SECONDS_SINCE_1970[1]:
        return None
    return datetime.fromtimestamp(float(finite[0]), tz=UTC)


def _parts(written: pl.Series) -> dict[str, NDArray[np.float64]]:
    """Numbers of the clock, each (n,), NaN where the cell is no clock time."""
    import polars as pl

    found = written.struct
    numbers: dict[str, NDArray[np.float64]] = {
        name: found.field(name).cast(pl.Float64, strict=False).to_numpy() for name in ("first", "second")
    }
    read = np.isfinite(numbers["first"])
    numbers["has third"] = np.asarray(found.field("third").is_not_null().to_numpy(), dtype=np.float64)
    for name in ("third", "part"):
        text = found.field(name).str.replace(r"[,:]", ".")
        numbers[name] = np.where(read, np.nan_to_num(text.cast(pl.Float64, strict=False).to_numpy()), np.nan)
    half = found.field("half").str.to_lowercase()
    numbers["pm"] = (half == "p").fill_null(value=False).to_numpy().astype(np.float64)
    numbers["halved"] = half.is_not_null().to_numpy().astype(np.float64)
    return numbers


def _clock(parts: dict[str, NDArray[np.float64]]) -> NDArray[np.float64]:
    hours = np.where(parts["halved"] > 0, parts["first"] % 12 + 12 * parts["pm"], parts["first"])
    seconds = np.where(parts["has third"] > 0, parts["third"], 0.0)
    return np.asarray(3600.0 * hours + 60.0 * parts["second"] + seconds + parts["part"])


def _dated(clock: NDArray[np.float64], written: pl.Series, order: str) -> Moments:
    found = written.struct
    dates, zones = found.field("date"), found.field("zone")
    known = _in_orders(dates)
    fitting = (order,) if order in ORDERS else (fitting_orders(known) or ORDERS)
    offsets_s = _offsets_s(zones)
    readings = []
    for one in fitting:
        days = {text: as_float(each[ORDERS.index(one)]) for text, each in known.items()}
        time_s = clock + DAY_S * _looked_up(dates, days) - offsets_s
        if np.isfinite(time_s).any():
            readings.append(time_s)
    if not readings:
        return Moments(np.full(clock.size, np.nan))
    best = min(readings, key=_rising_span)
    sure = all(np.array_equal(best, other, equal_nan=True) for other in readings)
    return Moments(best, _first_moment(best, zones) if sure else None)


def _looked_up(texts: pl.Series, values: dict[str, float]) -> NDArray[np.float64]:
    import polars as pl

    if not values:
        return np.full(len(texts), np.nan)
    found = texts.replace_strict(list(values), list(values.values()), default=None, return_dtype=pl.Float64)
    return found.fill_null(np.nan).to_numpy()


def _offsets_s(zones: pl.Series) -> NDArray[np.float64]:
    """Seconds by which each row's clock is ahead of universal time (n,), 0 where no zone is written."""
    if zones.null_count() == len(zones):
        return np.zeros(len(zones))
    known = {text: _offset(text).total_seconds() for text in zones.drop_nulls().unique()}
    return np.nan_to_num(_looked_up(zones, known))


def _offset(zone: str) -> timedelta:
    if zone in ("Z", "UTC"):
        return timedelta()
    digits = zone[1:].replace(":", "").ljust(4, "0")
    sign = -1 if zone[0] == "-" else 1
    return sign * timedelta(hours=int(digits[:2]), minutes=int(digits[2:4]))


def _rising_span(time_s: NDArray[np.float64]) -> tuple[bool, int, float]:
    finite = time_s[np.isfinite(time_s)]
    return bool((np.diff(finite) < 0).any()), -finite.size, float(np.ptp(finite))


def _first_moment(time_s: NDArray[np.float64], zones: Sequence[str | None] | pl.Series) -> datetime | None:
    first = int(np.flatnonzero(np.isfinite(time_s))[0])
    if not 0.0 <= time_s[first] <= DAY_S * _MOST_DAYS:
        return None
    moment = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=float(time_s[first]))
    # Loggers keep local time; the workshop's clock is the best guess at which.
    return moment if zones[first] is not None else moment.replace(tzinfo=None).astimezone()
