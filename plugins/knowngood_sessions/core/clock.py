"""The time column in seconds: elapsed numbers, clock times across midnight, dates with times."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import Kind, unit

from .cells import ISO_DATE, OTHER_DATE, is_moment
from .units import written_unit

if TYPE_CHECKING:
    import polars as pl
    from numpy.typing import NDArray

    from .reader import Column

CLOCK = "h:min:s"
MINUTES = "min:s"
DATED = "date and time"
ELAPSED = ("s", "min", "ms", "h")
TIME_UNITS = (*ELAPSED, CLOCK, MINUTES, DATED)
"""How a time column can be read."""

SHORTEST_S, LONGEST_S = 20.0, 4.0 * 3600.0
"""Between these a session is likely to last; outside, the unit of its time is in doubt."""

_DAY_S = 86_400.0
_MOST_DAYS = 36_500
_PATTERN = (
    rf"^\s*(?:(?P<iso>{ISO_DATE})|(?P<other>{OTHER_DATE}))?[T\s]*"
    r"(?P<first>\d{1,3}):(?P<second>\d{2})(?::(?P<third>\d{2}))?(?P<part>[.,]\d+)?"
    r"\s*(?P<half>[AaPp])?\.?[Mm]?\.?\s*(?P<zone>Z|[+-]\d\d:?\d\d)?\s*$"
)


@dataclass(frozen=True, slots=True, eq=False)
class Moments:
    """Times in seconds (n,), NaN where unread, and the date and time of the first one where it is known."""

    time_s: NDArray[np.float64]
    started_at: datetime | None = None


def moments(column: Column, unit_name: str) -> Moments:
    """The times of a column read in a unit of `TIME_UNITS`, starting where the file's do.

    Clock times that fall by more than half a day have crossed midnight. Dates with a slash are read
    with the day or the month first, whichever gives the shorter session.
    """
    if unit_name in ELAPSED:
        return Moments(unit(unit_name, Kind.TIME).to_si(column.numbers))
    if column.cells is None:
        return Moments(np.full(len(column.numbers), np.nan))
    parts = _parts(column.cells)
    if unit_name == MINUTES:
        return Moments(60.0 * parts["first"] + parts["second"] + parts["part"])
    clock = _clock(parts)
    if unit_name == CLOCK:
        return Moments(_past_midnight(clock))
    return _dated(clock, column.cells)


def likely_units(column: Column) -> tuple[str, ...]:
    """The units in which a time column gives a session of likely length, the likeliest first."""
    stated = stated_unit(column)
    if stated:
        return (stated,)
    candidates = ELAPSED if column.holds_numbers else (CLOCK, MINUTES)
    likely = tuple(name for name in candidates if SHORTEST_S <= _span_s(column, name) <= LONGEST_S)
    return likely or candidates


def stated_unit(column: Column) -> str:
    """The unit that header or cells state beyond doubt, else nothing."""
    if column.holds_moments:
        first = next((cell for cell in column.examples if is_moment(cell)), "")
        if re.match(rf"\s*(?:{ISO_DATE}|{OTHER_DATE})", first):
            return DATED
        return CLOCK if first.count(":") == 2 or first.strip()[-1:] in "mM." else _two_part(column, first)
    known = written_unit(column.unit)
    return known.unit.symbol if known is not None and known.kind is Kind.TIME else ""


def _two_part(column: Column, first: str) -> str:
    if "." in first or "," in first:
        return MINUTES
    return {"hh:mm": CLOCK, "mm:ss": MINUTES}.get(column.unit.strip().casefold(), "")


def _span_s(column: Column, unit_name: str) -> float:
    time_s = moments(column, unit_name).time_s
    finite = time_s[np.isfinite(time_s)]
    return float(finite.max() - finite.min()) if finite.size else 0.0


def _parts(cells: pl.Series) -> dict[str, NDArray[np.float64]]:
    """Numbers of the clock, each (n,), NaN where the cell is no clock time."""
    import polars as pl

    found = cells.str.extract_groups(_PATTERN).struct
    numbers: dict[str, NDArray[np.float64]] = {
        name: found.field(name).cast(pl.Float64, strict=False).to_numpy() for name in ("first", "second")
    }
    read = np.isfinite(numbers["first"])
    numbers["has third"] = np.asarray(found.field("third").is_not_null().to_numpy(), dtype=np.float64)
    for name in ("third", "part"):
        text = found.field(name).str.replace(",", ".", literal=True)
        numbers[name] = np.where(read, np.nan_to_num(text.cast(pl.Float64, strict=False).to_numpy()), np.nan)
    half = found.field("half").str.to_lowercase()
    numbers["pm"] = (half == "p").fill_null(value=False).to_numpy().astype(np.float64)
    numbers["halved"] = half.is_not_null().to_numpy().astype(np.float64)
    return numbers


def _clock(parts: dict[str, NDArray[np.float64]]) -> NDArray[np.float64]:
    hours = np.where(parts["halved"] > 0, parts["first"] % 12 + 12 * parts["pm"], parts["first"])
    seconds = np.where(parts["has third"] > 0, parts["third"], 0.0)
    return np.asarray(3600.0 * hours + 60.0 * parts["second"] + seconds + parts["part"])


def _past_midnight(clock_s: NDArray[np.float64]) -> NDArray[np.float64]:
    read = np.isfinite(clock_s)
    steps = np.diff(clock_s[read])
    days = np.concatenate([[0.0], np.cumsum(steps < -0.5 * _DAY_S)]) if read.any() else np.zeros(0)
    result = clock_s.copy()
    result[read] += _DAY_S * days
    return result


def _dated(clock: NDArray[np.float64], cells: pl.Series) -> Moments:
    found = cells.str.extract_groups(_PATTERN).struct
    read = np.isfinite(clock)
    iso = found.field("iso").to_list() if found.field("iso").null_count() < len(cells) else None
    written = iso if iso is not None else found.field("other").to_list()
    known = {text: _dates(text) for text in set(written) if text}
    results = []
    for order in (0, 1):
        days = np.array([_day(known.get(text), order) for text in written], dtype=np.float64)
        time_s = np.where(read, clock + _DAY_S * days, np.nan)
        if np.isfinite(time_s).any():
            results.append(time_s)
    if not results:
        return Moments(np.full(len(cells), np.nan))
    best = min(results, key=_rising_span)
    sure = all(np.array_equal(best, other, equal_nan=True) for other in results)
    return Moments(best, _first_moment(best, found.field("zone").to_list()) if sure else None)


def _rising_span(time_s: NDArray[np.float64]) -> tuple[bool, int, float]:
    finite = time_s[np.isfinite(time_s)]
    return bool((np.diff(finite) < 0).any()), -finite.size, float(np.ptp(finite))


def _dates(text: str) -> tuple[int | None, int | None]:
    """Days since 1970 with the day first and with the month first; an ISO date gives the same twice."""
    numbers = [int(piece) for piece in text.replace("/", "-").replace(".", "-").split("-")]
    if numbers[0] > 31:
        orders = [(numbers[0], numbers[1], numbers[2])] * 2
    else:
        day_first = (numbers[2], numbers[1], numbers[0])
        orders = [day_first, day_first if "." in text else (numbers[2], numbers[0], numbers[1])]
    return _ordinal(*orders[0]), _ordinal(*orders[1])


def _ordinal(year: int, month: int, day: int) -> int | None:
    try:
        return date(year, month, day).toordinal() - date(1970, 1, 1).toordinal()
    except ValueError:
        return None


def _day(dates: tuple[int | None, int | None] | None, order: int) -> float:
    day = dates[order] if dates else None
    return np.nan if day is None else float(day)


def _first_moment(time_s: NDArray[np.float64], zones: list[str | None]) -> datetime | None:
    first = int(np.flatnonzero(np.isfinite(time_s))[0])
    if not 0.0 <= time_s[first] <= _DAY_S * _MOST_DAYS:
        return None
    moment = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=float(time_s[first]))
    zone = zones[first]
    if zone is None:
        # Loggers keep local time; the workshop's clock is the best guess at which.
        return moment.replace(tzinfo=None).astimezone()
    if zone == "Z":
        return moment
    sign = -1 if zone[0] == "-" else 1
    offset = timedelta(hours=int(zone[1:3]), minutes=int(zone[-2:]))
    return moment - sign * offset
